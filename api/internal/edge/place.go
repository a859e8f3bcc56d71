package edge

import (
	"net/url"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
)

// placeOf writes a JSON pointer as a place: /lines/3/cases is lines[3].cases.
// A member whose name looks like a number, or could not be told from the
// place's own signs, stands in quotes.
func placeOf(p jsontext.Pointer) string {
	var b strings.Builder
	for token := range p.Tokens() {
		_, err := strconv.Atoi(token)
		switch {
		case err == nil:
			b.WriteString("[" + token + "]")
			continue
		case b.Len() > 0:
			b.WriteByte('.')
		}
		if token == "" || strings.ContainsAny(token, ` .[]"`) {
			token = strconv.Quote(token)
		}
		b.WriteString(token)
	}
	return b.String()
}

// Pointer writes a place as the JSON pointer of a problem document, in the form
// for the fragment of an address (RFC 6901, 6): lines[3].cases is #/lines/3/cases.
func Pointer(place string) string {
	var b strings.Builder
	b.WriteByte('#')
	for place != "" && place != "document" {
		token, rest := place, ""
		switch {
		case place[0] == '.':
			place = place[1:]
			continue
		case place[0] == '[':
			token, rest, _ = strings.Cut(place[1:], "]")
		case place[0] == '"':
			quoted, err := strconv.QuotedPrefix(place)
			if err != nil {
				quoted = strconv.Quote(place)
				rest = ""
			} else {
				rest = place[len(quoted):]
			}
			token, _ = strconv.Unquote(quoted)
		default:
			if end := strings.IndexAny(place, ".["); end >= 0 {
				token, rest = place[:end], place[end:]
			}
		}
		b.WriteString("/" + url.PathEscape(pointerEscape.Replace(token)))
		place = rest
	}
	return b.String()
}

// pointerEscape writes a member's name as a part of a pointer (RFC 6901, 3).
var pointerEscape = strings.NewReplacer("~", "~0", "/", "~1")
