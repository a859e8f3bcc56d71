package gs1

import (
	"fmt"
	"strings"
)

// Code words of Code 128 with a meaning of their own.
const (
	toC    = 99
	toB    = 100
	fnc1   = 102
	startB = 104
	startC = 105
	stop   = 106
	modulo = 103
)

// mostData is the most characters a GS1-128 symbol bears, FNC1 beside.
const mostData = 48

// Words are the code words of a symbol for data as Data writes it, from the
// start to the stop: as few as can be, and of those the ones that stay in
// pairs of digits longest.
func Words(data string) ([]int, error) {
	if n := len(strings.ReplaceAll(data, FNC1, "")); n > mostData || n == 0 {
		return nil, fmt.Errorf("%w: 1 to %d in a symbol", ErrLength, mostData)
	}
	for i := range len(data) {
		if c := data[i]; c != FNC1[0] && (c < ' ' || c > '~') {
			return nil, fmt.Errorf("%w: %q", ErrLetters, c)
		}
	}
	body := fewest(data)
	return append(append(body, CheckWord(body)), stop), nil
}

// CheckWord is the symbol's check character: the start's value and each word's
// value times its place, modulo 103.
func CheckWord(words []int) int {
	sum := words[0]
	for place, w := range words[1:] {
		sum += (place + 1) * w
	}
	return sum % modulo
}

// set is one of the two code sets in use: B, a word a character, and C, a word
// two digits.
type set int

const (
	setB set = iota
	setC
)

// fewest chooses between the sets by working back from the end: cost[i][s] is
// the fewest words for data[i:] when set s holds there.
func fewest(data string) []int {
	const far = 1 << 20
	n := len(data)
	cost := make([][2]int, n+1)
	stay := func(i int, s set) int { // the words for data[i:] without a change of set at i
		switch {
		case data[i] == FNC1[0]:
			return 1 + cost[i+1][s]
		case s == setB:
			return 1 + cost[i+1][setB]
		case i+1 < n && allDigits(data[i:i+2]):
			return 1 + cost[i+2][setC]
		}
		return far
	}
	for i := n - 1; i >= 0; i-- {
		b, c := stay(i, setB), stay(i, setC)
		cost[i] = [2]int{min(b, 1+c), min(c, 1+b)}
	}
	words, now := []int{startC}, setC
	if cost[0][setB] < cost[0][setC] {
		words, now = []int{startB}, setB
	}
	for i := 0; i < n; {
		if other := 1 - now; stay(i, now) > cost[i][now] || now == setB && 1+stay(i, other) == cost[i][now] && data[i] != FNC1[0] {
			words, now = append(words, [2]int{toB, toC}[other]), other
		}
		switch {
		case data[i] == FNC1[0]:
			words, i = append(words, fnc1), i+1
		case now == setC:
			words, i = append(words, int(data[i]-'0')*10+int(data[i+1]-'0')), i+2
		default:
			words, i = append(words, int(data[i]-' ')), i+1
		}
	}
	return words
}

// widths are the bars and spaces of every code word in modules, bar first
// (ISO/IEC 15417); the stop has a seventh.
var widths = strings.Fields(`
212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212 112232 122132 122231 113222
123122 123221 223211 221132 221231 213212 223112 312131 311222 321122 321221 312212 322112 322211 212123 212321
232121 111323 131123 131321 112313 132113 132311 211313 231113 231311 112133 112331 132131 113123 113321 133121
313121 211331 231131 213113 213311 213131 311123 311321 331121 312113 312311 332111 314111 221411 431111 111224
111422 121124 121421 141122 141221 112214 112412 122114 122411 142112 142211 241211 221114 413111 241112 134111
111242 121142 121241 114212 124112 124211 411212 421112 421211 212141 214121 412121 111143 111341 131141 114113
114311 411113 411311 113141 114131 311141 411131 211412 211214 211232 2331112`)

// Bars draws code words module by module; true is black. The white on both
// sides that a symbol needs, ten modules, is not in it.
func Bars(words []int) (modules []bool) {
	for _, w := range words {
		for i, c := range widths[w] {
			for range c - '0' {
				modules = append(modules, i%2 == 0)
			}
		}
	}
	return modules
}

// Symbol is the GS1-128 symbol of elements, module by module.
func Symbol(elements []Element) ([]bool, error) {
	data, err := Data(elements)
	if err != nil {
		return nil, err
	}
	words, err := Words(data)
	if err != nil {
		return nil, err
	}
	return Bars(words), nil
}
