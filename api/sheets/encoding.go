package sheets

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// decode makes text of a file: UTF-8 with or without a byte order mark, UTF-16
// with one, and what is no valid UTF-8 as Windows-1252, which is then said: one
// letter may have been meant otherwise.
func decode(name string, data []byte) (string, Notes, error) {
	file := ofFile(name)
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		text, err := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(data)
		if err != nil || bytes.ContainsRune(text, utf8.RuneError) || bytes.IndexByte(text, 0) >= 0 {
			return "", nil, fault(file, "not_text")
		}
		return string(text), fault(file, "read_as_utf_16"), nil
	case bytes.IndexByte(data, 0) >= 0:
		return "", nil, fault(file, "not_text")
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if utf8.Valid(data) {
		return string(data), nil, nil
	}
	text, err := charmap.Windows1252.NewDecoder().Bytes(data)
	if err != nil || bytes.ContainsRune(text, utf8.RuneError) {
		return "", nil, fault(file, "not_text")
	}
	return string(text), fault(file, "read_as_windows_1252"), nil
}

// startsFormula are the first characters by which a spreadsheet program takes a
// cell for a formula or for the start of another cell: the union of OWASP's "CSV
// Injection" page (= + - @ tab CR LF) and ASVS 5.0 requirement 1.2.10 (= + - @
// tab NUL).
const startsFormula = "=+-@\t\r\n\x00"

// guard puts an apostrophe before text that would start a formula. Text that
// looks guarded already gets one more, so that unguard always gives back what
// was guarded.
func guard(text string) string {
	if rest := strings.TrimLeft(text, "'"); rest != "" && strings.IndexByte(startsFormula, rest[0]) >= 0 {
		return "'" + text
	}
	return text
}

// unguard takes guard's apostrophe off again.
func unguard(text string) string {
	if text == "" || text[0] != '\'' {
		return text
	}
	if rest := strings.TrimLeft(text, "'"); rest != "" && strings.IndexByte(startsFormula, rest[0]) >= 0 {
		return text[1:]
	}
	return text
}
