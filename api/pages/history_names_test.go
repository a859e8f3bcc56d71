package pages

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"headtally/api/words"
)

func TestNameThatIsTooLongIsCutBetweenLetters(t *testing.T) {
	names := words.Names{Customers: map[string]string{"INN": "ññññññññññññññññññññññññññ", "CAFE": "ñandú café de la esquina"}}
	_, cut := teller{names: names}.record("customer", "INN")
	require.True(t, utf8.ValidString(cut))
	require.Equal(t, longestValue+1, utf8.RuneCountInString(cut), "with the sign that there is more")
	_, whole := teller{names: names}.record("customer", "CAFE")
	require.Equal(t, "ñandú café de la esquina", whole, "as many letters as are shown")
}
