package book

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"headtally/domain"
)

// misread is why a cell could not be read: a fault without its place.
type misread struct {
	code string
	args []any
}

func unread(code string, args ...any) *misread { return &misread{code, args} }

// at is the fault at a cell's place.
func (m *misread) at(sheet string, row, column int, what column) domain.Fault {
	return cellFault(sheet, row, column, string(what), m.code, m.args...)
}

// noValue is the misreading of a cell that shows nothing that could be read.
func noValue(c TableCell) *misread {
	switch c.Kind {
	case CellNoValue:
		return unread("formula_without_value")
	case CellBroken:
		return unread("formula_broken", "value", c.Text)
	case CellBadDay:
		return unread("no_such_day", "value", c.Text)
	}
	return nil
}

// readLine reads one line of text of at most so many characters.
func readLine(c TableCell, limit int) (string, *misread) {
	if m := noValue(c); m != nil {
		return "", m
	}
	text := strings.Join(strings.FieldsFunc(c.Text, unicode.IsSpace), " ")
	if utf8.RuneCountInString(text) > limit {
		return "", unread("too_long", "limit", limit)
	}
	if strings.ContainsFunc(text, unicode.IsControl) {
		return "", unread("line")
	}
	return text, nil
}

// readWhole reads a count from least to most; blank is given for a blank cell.
func readWhole(c TableCell, least, most int) (n int, blank bool, m *misread) {
	if c.Kind == CellBlank {
		return 0, true, nil
	}
	value, m := readNumber(c)
	switch {
	case m != nil:
		return 0, false, m
	case value != math.Trunc(value):
		return 0, false, unread("not_whole", "value", c.Text)
	case value < float64(least):
		return 0, false, unread("at_least", "limit", least)
	case value > float64(most):
		return 0, false, unread("at_most", "limit", most)
	}
	return int(value), false, nil
}

// readNumber reads a number, written with a decimal point if at all.
func readNumber(c TableCell) (float64, *misread) {
	if m := noValue(c); m != nil {
		return 0, m
	}
	switch {
	case c.Spread:
		return 0, unread("merged_figure")
	case c.Kind == CellDay:
		return 0, unread("day_for_number", "value", c.Text)
	case c.Kind == CellNumber:
		return c.Number, nil
	}
	text := strings.TrimSpace(c.Text)
	for i, r := range text {
		if (r < '0' || r > '9') && r != '.' && (r != '-' || i > 0) {
			return 0, unread("no_number", "value", text)
		}
	}
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || len(text) > 20 {
		return 0, unread("no_number", "value", text)
	}
	return n, nil
}

// readRafts reads a number of rafts, whole or ending in .5.
func readRafts(c TableCell) (domain.HalfRafts, *misread) {
	if c.Kind == CellBlank {
		return 0, nil
	}
	value, m := readNumber(c)
	switch {
	case m != nil:
		return 0, m
	case 2*value != math.Trunc(2*value):
		return 0, unread("no_half_rafts", "value", c.Text)
	case value < 0:
		return 0, unread("at_least", "limit", 0)
	case value > domain.MaxCount:
		return 0, unread("at_most", "limit", domain.MaxCount)
	}
	return domain.HalfRafts(2 * value), nil
}

// DayOrder is the order in which a sheet writes the parts of its dates, where it
// does not write them as ISO dates or keep them as dates. It is told, never
// guessed.
type DayOrder string

// The orders there are; "" means that only dates that are clear of themselves
// are read.
const (
	DayMonthYear DayOrder = "dmy"
	MonthDayYear DayOrder = "mdy"
	YearMonthDay DayOrder = "ymd"
)

// readDay reads a day: a date cell, an ISO date (with a midnight after it, as
// programs write that), or a date in the order told. A year of two digits is
// one of this century.
func readDay(c TableCell, order DayOrder) (domain.Day, *misread) {
	if m := noValue(c); m != nil {
		return 0, m
	}
	switch c.Kind {
	case CellBlank:
		return 0, unread("required")
	case CellDay:
		return c.Day, nil
	case CellNumber:
		return 0, unread("number_for_day", "value", c.Text)
	}
	text := strings.TrimSpace(c.Text)
	date, clock, _ := strings.Cut(strings.Replace(text, "T", " ", 1), " ")
	if clock != "" && strings.Trim(clock, "0:.Z") == "" {
		text = date
	}
	if d, err := domain.ParseDay(text); err == nil {
		return d, nil
	} else if isISOShape(text) {
		return 0, unread("no_such_day", "value", text)
	}
	parts := dateParts(text)
	switch {
	case parts == nil:
		return 0, unread("no_day", "value", text)
	case order == "":
		d, ok := dayInOneOrder(parts)
		if !ok {
			return 0, unread("day_order_not_told", "value", text)
		}
		return d, nil
	}
	d, ok := dayInOrder(parts, order)
	if !ok {
		return 0, unread("no_such_day_in_order", "value", text, "order", string(order))
	}
	return d, nil
}

func isISOShape(text string) bool {
	return len(text) == 10 && text[4] == '-' && text[7] == '-'
}

// dateParts are the three numbers of a date written with / . or -, the same
// between all of them.
func dateParts(text string) []string {
	at := strings.IndexAny(text, "/.-")
	if at < 0 {
		return nil
	}
	parts := strings.Split(text, text[at:at+1])
	if len(parts) != 3 {
		return nil
	}
	for _, p := range parts {
		if p == "" || len(p) > 4 || strings.Trim(p, "0123456789") != "" {
			return nil
		}
	}
	return parts
}

// dayInOneOrder reads a date that is a day in one order alone, such as
// 26/11/2026 or 2026/11/26; 3/4/2026 is two days, and 4/4/2026 one day twice.
// A year of two digits could stand at either end and is never guessed.
func dayInOneOrder(parts []string) (domain.Day, bool) {
	if len(parts[0]) != 4 && len(parts[2]) != 4 {
		return 0, false
	}
	var found []domain.Day
	for _, order := range []DayOrder{DayMonthYear, MonthDayYear, YearMonthDay} {
		if d, ok := dayInOrder(parts, order); ok && !slices.Contains(found, d) {
			found = append(found, d)
		}
	}
	if len(found) != 1 {
		return 0, false
	}
	return found[0], true
}

func dayInOrder(parts []string, order DayOrder) (domain.Day, bool) {
	at := map[DayOrder][3]int{DayMonthYear: {2, 1, 0}, MonthDayYear: {2, 0, 1}, YearMonthDay: {0, 1, 2}}
	places, ok := at[order]
	if !ok {
		return 0, false
	}
	year, month, day := parts[places[0]], parts[places[1]], parts[places[2]]
	switch len(year) {
	case 2:
		year = "20" + year
	case 4:
	default:
		return 0, false
	}
	if len(month) > 2 || len(day) > 2 {
		return 0, false
	}
	pad := func(s string) string { return strings.Repeat("0", 2-len(s)) + s }
	d, err := domain.ParseDay(year + "-" + pad(month) + "-" + pad(day))
	return d, err == nil
}

// dayWords are the days of the week by the first letters people write them with.
var dayWords = map[string]time.Weekday{"mo": time.Monday, "lu": time.Monday, "tu": time.Tuesday, "ma": time.Tuesday, "we": time.Wednesday, "mi": time.Wednesday,
	"th": time.Thursday, "ju": time.Thursday, "fr": time.Friday, "vi": time.Friday, "sa": time.Saturday, "su": time.Sunday, "do": time.Sunday}

// readWeekdays reads days of the week, by their names or the first letters of
// those, or "every day".
func readWeekdays(c TableCell) (domain.Weekdays, *misread) {
	if m := noValue(c); m != nil {
		return 0, m
	}
	if key := foldKey(c.Text); key == "everyday" || key == "daily" || key == "todoslosdias" {
		return domain.EveryDay, nil
	}
	var set domain.Weekdays
	for _, word := range strings.FieldsFunc(c.Text, func(r rune) bool { return !unicode.IsLetter(r) }) {
		key := foldKey(word)
		if key == "and" || key == "y" {
			continue
		}
		if len(key) < 2 {
			return 0, unread("no_weekday", "value", word)
		}
		d, known := dayWords[key[:2]]
		if !known {
			return 0, unread("no_weekday", "value", word)
		}
		set |= domain.WeekdaysOf(d)
	}
	return set, nil
}

// readClock reads a time of day: HH:MM, or a cell that keeps it as a part of a
// day.
func readClock(c TableCell) (domain.Clock, *misread) {
	if m := noValue(c); m != nil {
		return 0, m
	}
	if c.Kind == CellNumber && c.Number >= 0 && c.Number < 1 {
		return domain.Clock(math.Round(c.Number * 24 * 60)), nil
	}
	text := strings.TrimSpace(c.Text)
	if len(text) == 4 && text[1] == ':' {
		text = "0" + text
	}
	clock, err := domain.ParseClock(text)
	if err != nil {
		return 0, unread("clock", "value", c.Text)
	}
	return clock, nil
}

// yes and no as people write them.
var yesses = map[string]bool{"yes": true, "y": true, "x": true, "true": true, "1": true, "si": true, "s": true, "✓": true,
	"no": false, "n": false, "false": false, "0": false, "": false}

// readYes reads yes or no; blank is no.
func readYes(c TableCell) (bool, *misread) {
	if m := noValue(c); m != nil {
		return false, m
	}
	yes, known := yesses[foldKey(c.Text)]
	if !known {
		return false, unread("one_of", "allowed", []string{"yes", "no"})
	}
	return yes, nil
}
