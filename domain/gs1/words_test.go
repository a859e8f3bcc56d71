package gs1

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// spell turns code words back into data.
func spell(words []int) (data string) {
	pairs := words[0] == startC
	for _, w := range words[1 : len(words)-2] {
		switch {
		case w == fnc1:
			data += FNC1
		case w == toB && pairs:
			pairs = false
		case w == toC && !pairs:
			pairs = true
		case pairs:
			data += fmt.Sprintf("%02d", w)
		default:
			data += string(rune(w + ' '))
		}
	}
	return data
}

// shortest is the fewest words for data in any mixture of the sets, by trying
// all of them.
func shortest(data string, pairs bool) int {
	if data == "" {
		return 0
	}
	if data[:1] == FNC1 {
		return 1 + shortest(data[1:], pairs)
	}
	best := 1 + shortest(data[1:], false)
	if pairs {
		best++
	}
	if len(data) > 1 && allDigits(data[:2]) {
		n := 1 + shortest(data[2:], true)
		if !pairs {
			n++
		}
		best = min(best, n)
	}
	return best
}

func TestWordsAreFewestAndSpellTheData(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data := rapid.StringMatching(`(\x1d|[0-9]|[0-9][0-9]|[A-Za-z/]){1,7}`).Draw(t, "data")
		words, err := Words(data)
		if len(data) == 0 || data == FNC1 || err != nil {
			return
		}
		require.Equal(t, data, spell(words))
		require.Equal(t, 1+min(shortest(data, true), shortest(data, false)), len(words)-2)
	})
}
