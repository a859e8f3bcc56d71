package sheets

import (
	"math"
	"strings"

	"headtally/domain"
)

// A sheet keeps a day as a number of days: in the 1900 system 1 is 1900-01-01
// and there is a day 60, 29 February 1900, that never was; in the 1904 system 0
// is 1904-01-01 (ECMA-376 Part 4, section 3.17.4.1). The systems lie 1462 days
// apart.
var (
	zero1900 = domain.MustDay("1899-12-31") // up to day 59
	zero1904 = domain.MustDay("1904-01-01")
	lastDay  = domain.MustDay("9999-12-31")
)

// dayOf is the day of a serial number, without its part of a day. It is false
// for a number that is no day, such as the 29 February that never was.
func dayOf(serial float64, since1904 bool) (domain.Day, bool) {
	if math.IsNaN(serial) || serial < 0 || serial >= 2_958_466 {
		return 0, false
	}
	n := int(serial)
	d := zero1904.Add(n)
	switch {
	case since1904:
	case n == 0 || n == 60:
		return 0, false
	case n < 60:
		d = zero1900.Add(n)
	default:
		d = zero1900.Add(n - 1)
	}
	return d, d <= lastDay
}

// builtinDate says whether one of the number formats that every workbook has
// shows a day (ECMA-376 Part 1, section 18.8.30: 14 to 17 and 22, and those of
// East Asian languages, 27 to 36 and 50 to 58).
func builtinDate(id int) bool {
	return id >= 14 && id <= 17 || id == 22 || id >= 27 && id <= 36 || id >= 50 && id <= 58
}

// showsDay says whether a number format of a workbook's own shows a day: a year
// or a day of the month, or a month that is no minute, outside of quoted text,
// brackets and escapes.
func showsDay(format string) bool {
	format, _, _ = strings.Cut(format, ";")
	var letters []byte
	for i := 0; i < len(format); i++ {
		switch c := format[i]; c {
		case '"':
			i = skipTo(format, i, '"')
		case '[':
			i = skipTo(format, i, ']')
		case '\\', '_', '*':
			i++
		default:
			letters = append(letters, c|0x20)
		}
	}
	plain := string(letters)
	if plain == "general" || plain == "standard" {
		return false
	}
	if strings.ContainsAny(plain, "yd") {
		return true
	}
	return strings.Contains(plain, "m") && !strings.ContainsAny(plain, "hs#")
}

// skipTo is the place of the next c after i, or the end.
func skipTo(s string, i int, c byte) int {
	if n := strings.IndexByte(s[i+1:], c); n >= 0 {
		return i + 1 + n
	}
	return len(s)
}
