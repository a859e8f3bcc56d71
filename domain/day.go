package domain

import (
	"database/sql/driver"
	"fmt"
	"time"
)

// Day is a calendar day of the farm: Gregorian, without clock or zone.
// Its value counts days, 1 being 0001-01-01, so that days are subtracted and
// compared as whole numbers. The zero Day is "no day" and prints as "".
type Day int32

// unixDay is the Day of 1970-01-01.
const unixDay = 719163

// maxDay is 9999-12-31, the last day a document can name.
const maxDay Day = 3652059

// NewDay is the day of a Gregorian date; it refuses one that does not exist,
// such as 29 February of a common year.
func NewDay(year int, month time.Month, day int) (Day, error) {
	t := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	if y, m, d := t.Date(); y != year || m != month || d != day || year < 1 || year > 9999 {
		return 0, fmt.Errorf("there is no day %04d-%02d-%02d", year, int(month), day)
	}
	return DayOf(t), nil
}

// MustDay reads an ISO date that the program itself wrote; it panics on any other.
func MustDay(text string) Day {
	d, err := ParseDay(text)
	if err != nil {
		panic("domain: " + err.Error())
	}
	return d
}

// ParseDay reads YYYY-MM-DD and nothing else.
func ParseDay(text string) (Day, error) {
	if len(text) != 10 || text[4] != '-' || text[7] != '-' {
		return 0, fmt.Errorf("%q is not a date written YYYY-MM-DD", text)
	}
	number := func(s string) (n int) {
		for i := range len(s) {
			if s[i] < '0' || s[i] > '9' {
				return -1
			}
			n = n*10 + int(s[i]-'0')
		}
		return n
	}
	year, month, day := number(text[:4]), number(text[5:7]), number(text[8:])
	if year < 0 || month < 0 || day < 0 {
		return 0, fmt.Errorf("%q is not a date written YYYY-MM-DD", text)
	}
	d, err := NewDay(year, time.Month(month), day)
	if err != nil {
		return 0, fmt.Errorf("%q is no day of the calendar", text)
	}
	return d, nil
}

// DayOf is the calendar day that a clock in t's own zone shows.
func DayOf(t time.Time) Day {
	y, m, d := t.Date()
	return Day(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix()/86400) + unixDay
}

// Time is midnight UTC of the day, for libraries that want a time.
func (d Day) Time() time.Time { return time.Unix(int64(d-unixDay)*86400, 0).UTC() }

// Date is the day's year, month and day of the month.
func (d Day) Date() (year int, month time.Month, day int) { return d.Time().Date() }

// Weekday is the day of the week.
func (d Day) Weekday() time.Weekday { return time.Weekday((int(d)%7 + 7) % 7) }

// ISOWeek is the day's year and week by ISO 8601.
func (d Day) ISOWeek() (year, week int) { return d.Time().ISOWeek() }

// Add is the day so many days later.
func (d Day) Add(days int) Day { return d + Day(days) }

// Sub is the number of days from other to d.
func (d Day) Sub(other Day) int { return int(d - other) }

// IsZero says that this is no day.
func (d Day) IsZero() bool { return d == 0 }

// String is the day as YYYY-MM-DD, or "" for no day.
func (d Day) String() string {
	if d == 0 {
		return ""
	}
	b := make([]byte, 0, 10)
	return string(d.AppendTo(b))
}

// AppendTo appends the day as YYYY-MM-DD.
func (d Day) AppendTo(b []byte) []byte {
	y, m, dd := d.Date()
	return append(b, byte('0'+y/1000%10), byte('0'+y/100%10), byte('0'+y/10%10), byte('0'+y%10), '-',
		byte('0'+m/10), byte('0'+m%10), '-', byte('0'+dd/10), byte('0'+dd%10))
}

// MarshalText writes YYYY-MM-DD.
func (d Day) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads YYYY-MM-DD, or nothing for no day.
func (d *Day) UnmarshalText(text []byte) (err error) {
	if len(text) == 0 {
		*d = 0
		return nil
	}
	*d, err = ParseDay(string(text))
	return err
}

// Value stores the day as text, and no day as NULL.
func (d Day) Value() (driver.Value, error) {
	if d == 0 {
		return nil, nil
	}
	return d.String(), nil
}

// Scan reads what Value stored.
func (d *Day) Scan(v any) error {
	switch v := v.(type) {
	case nil:
		*d = 0
		return nil
	case string:
		return d.UnmarshalText([]byte(v))
	case []byte:
		return d.UnmarshalText(v)
	case time.Time:
		*d = DayOf(v)
		return nil
	}
	return fmt.Errorf("domain: a day cannot be read from a %T", v)
}
