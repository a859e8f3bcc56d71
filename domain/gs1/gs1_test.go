package gs1

import (
	"strings"
	"testing"

	"github.com/boombuler/barcode/code128"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCheckDigits(t *testing.T) {
	for digits, want := range map[string]byte{
		"629104150021": '3', // GS1, "How to calculate a check digit manually": sum 57
		"730001100001": '7', // GS1 Sweden, a worked example: 23
		"890400021003": '7', // GS1 India, a worked example: 63
		"03600024145":  '7', // the usual example of a 12-digit number, second hand
		"501234567890": '0', // GS1 UK's example number; a sum that is a multiple of ten
	} {
		got, err := CheckDigit(digits)
		require.NoError(t, err)
		assert.Equal(t, string(want), string(got), digits)
		assert.NoError(t, CheckNumber(digits+string(want)))
	}
	// GS1 Barcode Syntax Dictionary, unit tests of its check digit linter.
	for _, good := range []string{"02345673", "416000336108", "1234567890128", "12345678901231", "123456789012345675"} {
		assert.NoError(t, CheckNumber(good), good)
	}
	for _, bad := range []string{"12345673", "416000336109", "1234567890129", "12345678901232", "123456789012345670"} {
		assert.ErrorIs(t, CheckNumber(bad), ErrCheck, bad)
	}
	for _, bad := range []string{"", "1", "1234567 ", "12345A78"} {
		assert.Error(t, CheckNumber(bad), bad)
	}
	assert.NoError(t, CheckNumber("40987650000223"), "a GTIN of 14 digits from IBM's support pages")
}

func TestLots(t *testing.T) {
	for _, good := range []string{"1152KMB", "a", letters82[:20], letters82[62:]} {
		assert.NoError(t, CheckLot(good), good)
	}
	// GS1 Barcode Syntax Dictionary, unit tests of its character set 82 linter.
	for _, bad := range []string{"ABC ", "AB C", " ABC"} {
		assert.ErrorIs(t, CheckLot(bad), ErrLetters, bad)
	}
	for _, bad := range []string{"", strings.Repeat("1", 21)} {
		assert.ErrorIs(t, CheckLot(bad), ErrLength, bad)
	}
	assert.ErrorIs(t, CheckLot("Ñandú"), ErrLetters)
}

// GS1 Barcode Syntax Dictionary, unit tests of its YYMMD0 linter.
func TestDates(t *testing.T) {
	for _, good := range []string{"200131", "200229", "240229", "000229", "210228", "260300"} {
		assert.NoError(t, CheckDate(good), good)
	}
	for _, bad := range []string{"210229", "220229", "200230", "240230", "200431", "200132", "200010", "201310", "11111", "1111111", "2x0131"} {
		assert.ErrorIs(t, CheckDate(bad), ErrDate, bad)
	}
}

// GS1 Barcode Syntax Engine, unit tests of src/c-lib/ai.c; ^ stands for FNC1.
func TestElementStrings(t *testing.T) {
	for text, data := range map[string]string{
		"(01)12345678901231":          "^0112345678901231",
		"(01)12345678901231(10)12345": "^01123456789012311012345",
		"(3100)123456(10)12345":       "^31001234561012345",
		"(10)12345(11)991225":         "^1012345^11991225",
	} {
		elements, err := ReadText(text)
		require.NoError(t, err, text)
		got, err := Data(elements)
		require.NoError(t, err, text)
		assert.Equal(t, data, strings.ReplaceAll(got, FNC1, "^"))
		back, err := ReadData(got)
		require.NoError(t, err)
		assert.Equal(t, elements, back, "what a scanner reads")
		again, err := Text(back)
		require.NoError(t, err)
		assert.Equal(t, text, again)
	}
	for _, bad := range []string{"(10)(11)98765", "(10)12345(11)", "(1A)12345", "(1)12345", "(12345)12345", "12345", "(01)123456789012312(10)12345"} {
		_, err := ReadText(bad)
		assert.Error(t, err, bad)
	}
	for _, bad := range []string{"^0112345678901234", "^01123456789012345^", "0112345678901231", "^", "^9"} {
		_, err := ReadData(strings.ReplaceAll(bad, "^", FNC1))
		assert.Error(t, err, bad)
	}
	_, err := ReadData(strings.ReplaceAll("^0112345678901231^", "^", FNC1))
	assert.NoError(t, err, "a needless FNC1 is let pass")
	lot, err := ReadText("(01)12345678901231(10)A(1)B")
	require.NoError(t, err)
	assert.Equal(t, "A(1)B", lot[1].Value, "a lot may hold brackets")
}

// GS1 Barcode Syntax Dictionary: 01 excludes 37 (its entry "ex=255,37"), 02
// requires 37.
func TestElementsThatDoNotGoTogether(t *testing.T) {
	for _, bad := range []string{"(01)12345678901231(37)5", "(02)12345678901231", "(01)12345678901231(02)12345678901231(37)5"} {
		_, err := ReadText(bad)
		assert.ErrorIs(t, err, ErrElement, bad)
	}
	_, err := ReadText("(02)12345678901231(37)5(10)A")
	assert.NoError(t, err)
}

func TestCheckWords(t *testing.T) {
	for _, c := range []struct {
		source string
		words  []int
		check  int
	}{
		{"PJJ123C from start A: the encyclopedia's example, sum 878", []int{103, 48, 42, 42, 17, 18, 19, 35}, 54},
		{"HI345678: barcodeisland.com, sum 1406", []int{103, 40, 41, 99, 34, 56, 78}, 67},
		{"AIM: ISO/IEC 15417:2007, figure 1", []int{104, 33, 41, 45}, 45},
		{"[90]12[90]12: zint, test_gs1_128_input", []int{105, 102, 90, 12, 102, 90, 12}, 14},
		{"GS1 General Specifications, figure 4.15.1-1", []int{105, 102, 1, 10, 85, 76, 74, 0, 20, 17, 10, 11, 52, 100, 43, 45, 34}, 17},
		{"GS1 General Specifications, figure 5.1-3", []int{105, 102, 1, 9, 50, 11, 1, 53, 0, 3}, 71},
		{"GS1 General Specifications, figure 5.4.2-1", []int{105, 102, 0, 39, 51, 23, 45, 12, 34, 56, 78, 95}, 96},
	} {
		assert.Equal(t, c.check, CheckWord(c.words), c.source)
	}
}

func TestWordsAreThePublishedOnes(t *testing.T) {
	for text, want := range map[string][]int{
		"(01)10857674002017(10)1152KMB": {105, 102, 1, 10, 85, 76, 74, 0, 20, 17, 10, 11, 52, 100, 43, 45, 34, 17, 106},
		"(01)09501101530003":            {105, 102, 1, 9, 50, 11, 1, 53, 0, 3, 71, 106},
		"(00)395123451234567895":        {105, 102, 0, 39, 51, 23, 45, 12, 34, 56, 78, 95, 96, 106},
		"(90)12(90)12":                  {105, 102, 90, 12, 102, 90, 12, 14, 106},
	} {
		elements, err := ReadText(text)
		require.NoError(t, err)
		data, err := Data(elements)
		require.NoError(t, err)
		words, err := Words(data)
		require.NoError(t, err)
		assert.Equal(t, want, words, text)
	}
	words, err := Words("AIM")
	require.NoError(t, err)
	assert.Equal(t, []int{104, 33, 41, 45, 45, 106}, words, "ISO/IEC 15417:2007, figure 1")
}

// The bars of GS1 General Specifications, figure 4.15.1-1, as zint's tests hold
// them (211 modules).
const publishedBars = "1101001110011110101110110011011001100100010010011110010110010100001000011001011011001100110010011101001110011011001000100110001001001101110001010111101110101100011101011101100010001011000100111001101100011101011"

func TestSymbolIsThePublishedOne(t *testing.T) {
	modules, err := Symbol([]Element{{"01", "10857674002017"}, {"10", "1152KMB"}})
	require.NoError(t, err)
	var drawn strings.Builder
	for _, black := range modules {
		drawn.WriteByte("01"[map[bool]int{false: 0, true: 1}[black]])
	}
	assert.Equal(t, publishedBars, drawn.String())
}

// Every code word's bars are those of another program's table, which is asked by
// drawing symbols that hold them.
func TestBarsAgreeWithAnotherTable(t *testing.T) {
	for _, text := range []string{"HELLO-world 0123", "12345678901234567890", "~}|{zyxwvut!\"#$%&'()", "ABCDEFGHIJKLMNOPQRSTUVWXYZ[]^_`", "00112233445566778899"} {
		other, err := code128.EncodeWithoutChecksum(text)
		require.NoError(t, err)
		words := wordsDrawn(t, other.Bounds().Dx(), func(x int) bool { r, _, _, _ := other.At(x, 0).RGBA(); return r == 0 })
		mine := Bars(words)
		require.Len(t, mine, other.Bounds().Dx())
		for x, black := range mine {
			r, _, _, _ := other.At(x, 0).RGBA()
			require.Equal(t, r == 0, black, "%s at %d", text, x)
		}
	}
}

// wordsDrawn reads bars back by this package's own table; bars that are in no
// code word fail.
func wordsDrawn(t *testing.T, wide int, black func(int) bool) (words []int) {
	t.Helper()
	for x := 0; x < wide; {
		size := 11
		if x+13 == wide {
			size = 13
		}
		runs, last := []byte{}, false
		for i := range size {
			if b := black(x + i); i == 0 || b != last {
				runs, last = append(runs, '1'), b
			} else {
				runs[len(runs)-1]++
			}
		}
		found := -1
		for w, have := range widths {
			if have == string(runs) {
				found = w
			}
		}
		require.GreaterOrEqual(t, found, 0, "bars %s are in the table", runs)
		words = append(words, found)
		x += size
	}
	return words
}

func TestEveryCodeWordHasElevenModules(t *testing.T) {
	require.Len(t, widths, 107)
	seen := map[string]bool{}
	for w, pattern := range widths {
		sum := 0
		for _, c := range pattern {
			sum += int(c - '0')
		}
		assert.Equal(t, map[bool]int{true: 13, false: 11}[w == stop], sum, w)
		assert.False(t, seen[pattern], pattern)
		seen[pattern] = true
	}
}

// zint's tests: "requires 52 characters (maximum 48)".
func TestTooLongForASymbol(t *testing.T) {
	_, err := Words(FNC1 + strings.Repeat("1", 49))
	assert.ErrorIs(t, err, ErrLength)
	_, err = Words(FNC1 + strings.Repeat("1", 48))
	assert.NoError(t, err)
	_, err = Words("ñ")
	assert.ErrorIs(t, err, ErrLetters)
}

func TestVoicePick(t *testing.T) {
	for _, c := range []struct{ source, gtin, lot, date, code string }{
		{"tek-tips.com, thread 184-1767704; CRC 26359", "10850510002011", "46587443HG234", "", "6359"},
		{"a label vendor's support article KA-02292; its GTIN does not check", "65457886676767", "2", "100126", "5836"},
	} {
		code, err := VoicePick(c.gtin, c.lot, c.date)
		require.NoError(t, err)
		assert.Equal(t, c.code, code, c.source)
	}
	assert.Equal(t, uint16(26359), crc16("1085051000201146587443HG234"))
	assert.Equal(t, uint16(0xBB3D), crc16("123456789"), "the standard check value of CRC-16/ARC, from memory")
	for _, bad := range [][3]string{{"1085051000201", "A", ""}, {"1085051000201X", "A", ""}, {"10850510002011", "", ""}, {"10850510002011", "A", "2601"}} {
		_, err := VoicePick(bad[0], bad[1], bad[2])
		assert.Error(t, err, bad)
	}
}
