package edge

import (
	"fmt"
	"strings"
	"unicode"
)

// longestName is how many letters of a file's name are sent.
const longestName = 100

// Named is the Content-Disposition of an answer that is shown (inline) or kept
// (attachment) under a name: first in letters that every program reads and that
// are no path, then, where the name has others, as it is (RFC 6266, 4.3 and
// appendix D; RFC 8187).
func Named(kind, name string) string {
	name = portable(name)
	ascii := strings.Map(func(r rune) rune {
		if inNames(r) {
			return r
		}
		return '-'
	}, name)
	out := kind + `; filename="` + ascii + `"`
	if ascii != name {
		out += "; filename*=UTF-8''" + escaped(name)
	}
	return out
}

// portable is a name without what is a path, an order to a terminal or to the
// eye: no slashes, no control or formatting characters, no dots before it.
func portable(name string) string {
	letters := []rune(strings.TrimLeft(strings.ToValidUTF8(name, "-"), "."))
	for i, r := range letters {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("-._", r) {
			letters[i] = '-'
		}
	}
	if over := len(letters) - longestName; over > 0 { // the end says what kind of file it is
		letters = append(letters[:longestName-10], letters[len(letters)-10:]...)
	}
	return string(letters)
}

func inNames(r rune) bool {
	return r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-._", r))
}

func escaped(name string) string {
	var b strings.Builder
	for i := range len(name) {
		if c := name[i]; inNames(rune(c)) {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "%%%02X", c)
		}
	}
	return b.String()
}
