package prints

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// replacement stands for a letter that cannot be drawn.
const replacement = '\uFFFD'

// strange is a letter that the faces cannot draw, and in whose text it stands.
type strange struct {
	owner  string
	letter rune
}

// inspector makes texts fit to be drawn and keeps what it could not keep.
type inspector struct{ found []strange }

// fit is a text with its accents joined to their letters, its white space made
// plain, signs without a shape left out, and every letter that cannot be drawn
// replaced and noted under its owner.
func (i *inspector) fit(owner, text string) string {
	if plain(text) {
		return text
	}
	faces := letters()
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.In(r, unicode.Cc, unicode.Cf, unicode.Variation_Selector):
			return -1
		case r == replacement || faces.has(r):
			return r
		}
		if s := (strange{owner, r}); !slices.Contains(i.found, s) {
			i.found = append(i.found, s)
		}
		return replacement
	}, norm.NFC.String(text))
}

// plain says whether a text is printable ASCII, as nearly all are.
func plain(text string) bool {
	for k := range len(text) {
		if text[k] < ' ' || text[k] > '~' {
			return false
		}
	}
	return true
}

// number names a letter by its place in Unicode, for it cannot be shown.
func (s strange) number() string { return fmt.Sprintf("U+%04X", s.letter) }
