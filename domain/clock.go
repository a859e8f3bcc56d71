package domain

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"database/sql/driver"
)

// Clock is a time of day on the farm's clock, in minutes after midnight.
type Clock int16

// ParseClock reads HH:MM of a 24-hour clock.
func ParseClock(text string) (Clock, error) {
	t, err := time.Parse("15:04", text)
	if err != nil || len(text) != 5 {
		return 0, fmt.Errorf("%q is no time of day written HH:MM", text)
	}
	return Clock(60*t.Hour() + t.Minute()), nil
}

// String is HH:MM.
func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", c/60, c%60) }

// MarshalText writes HH:MM.
func (c Clock) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads HH:MM.
func (c *Clock) UnmarshalText(b []byte) (err error) {
	*c, err = ParseClock(string(b))
	return err
}

func isZone(name string) bool {
	_, err := time.LoadLocation(name)
	return err == nil && name != ""
}

// Weekdays is a set of days of the week.
type Weekdays uint8

var weekdayNames = [7]string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// EveryDay is all seven.
const EveryDay Weekdays = 127

// WeekdaysOf is the set of the days given.
func WeekdaysOf(days ...time.Weekday) (w Weekdays) {
	for _, d := range days {
		w |= 1 << d
	}
	return w
}

// Has says whether the set holds a day.
func (w Weekdays) Has(d time.Weekday) bool { return w>>d&1 == 1 }

// Days lists the set from Monday to Sunday.
func (w Weekdays) Days() (days []time.Weekday) {
	for i := range 7 {
		if d := time.Weekday((i + 1) % 7); w.Has(d) {
			days = append(days, d)
		}
	}
	return days
}

// Names lists the set as "mon", "tue", ... from Monday to Sunday.
func (w Weekdays) Names() []string {
	names := []string{}
	for _, d := range w.Days() {
		names = append(names, weekdayNames[d])
	}
	return names
}

// ParseWeekday reads "mon" or "Monday", in any case.
func ParseWeekday(text string) (time.Weekday, bool) {
	s := strings.ToLower(strings.TrimSpace(text))
	for i, name := range weekdayNames {
		if s == name || s == strings.ToLower(time.Weekday(i).String()) {
			return time.Weekday(i), true
		}
	}
	return 0, false
}

// String is the names with commas.
func (w Weekdays) String() string { return strings.Join(w.Names(), ",") }

// MarshalJSON writes the list of names.
func (w Weekdays) MarshalJSON() ([]byte, error) { return json.Marshal(w.Names()) }

// UnmarshalJSON reads a list of names.
func (w *Weekdays) UnmarshalJSON(b []byte) error {
	var names []string
	if err := json.Unmarshal(b, &names); err != nil {
		return err
	}
	set, err := ParseWeekdays(names)
	*w = set
	return err
}

// ParseWeekdays reads names of days; the same day twice is refused.
func ParseWeekdays(names []string) (w Weekdays, err error) {
	for _, name := range names {
		d, ok := ParseWeekday(name)
		if !ok {
			return 0, fmt.Errorf("%q is no day of the week (mon, tue, wed, thu, fri, sat, sun)", name)
		}
		if w.Has(d) {
			return 0, fmt.Errorf("%s stands twice", weekdayNames[d])
		}
		w |= 1 << d
	}
	return w, nil
}

// Value stores the set as text.
func (w Weekdays) Value() (driver.Value, error) { return w.String(), nil }

// Scan reads what Value stored.
func (w *Weekdays) Scan(v any) error {
	s, ok := v.(string)
	if b, isBytes := v.([]byte); isBytes {
		s, ok = string(b), true
	}
	if !ok {
		return fmt.Errorf("domain: weekdays cannot be read from a %T", v)
	}
	*w = 0
	if s == "" {
		return nil
	}
	set, err := ParseWeekdays(strings.Split(s, ","))
	*w = set
	return err
}
