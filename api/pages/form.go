package pages

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"headtally/api/words"
	"headtally/domain"
)

// Field is one thing a form asks. Its name is the place that faults of it have.
type Field struct {
	Name   string
	Code   string // the catalogue's: page.f.<Code>, and page.f.<Code>.how where there is more to say
	Kind   string // text, area, count, tel, email, clock, day, pick, ticks, tick, rows, head, fixed, hidden
	Value  string
	Ticked []string // the ticks that are set
	Picks  []Pick
	Rows   [][]Field // of rows: a list of small forms
	Heads  []string  // of rows: the catalogue's codes of the columns
	Titles []string  // of rows: what the columns are called, after those of Heads
	Label  string    // what the field is called, where the catalogue's word is not enough; only in rows
	Fault  string
	Now    string // what stands in the book, where somebody changed it meanwhile
	Needed bool
	Fill   string // what a browser may fill in by itself (HTML, autofill); "": nothing
}

// Pick is one choice of a field.
type Pick struct{ Value, Word string }

// Form is a record's form.
type Form struct {
	Fields []Field
	Action string
	Base   int64  // the revision it was made from
	End    string // the address that ends the record; "": there is none to end
	Stale  bool   // somebody changed the record meanwhile
}

// Err says whether a field is wrong.
func (f Field) Err() bool { return f.Fault != "" }

// Has says whether a tick is set.
func (f Field) Has(value string) bool { return slices.Contains(f.Ticked, value) }

// mind puts faults to the fields they concern, and gives those that concern none.
func (f *Form) mind(v *visit, faults domain.Faults) (rest []string) {
	for _, fault := range faults {
		said := sentence(v.speech.Fault(fault))
		if field := f.find(fault.Place); field != nil {
			field.Fault = strings.TrimSpace(field.Fault + " " + said)
			if field.Value == "" && field.Name == fault.Place {
				field.Value = v.FormValue(fault.Place) // what could not be read stays as it was typed
			}
		} else {
			rest = append(rest, said)
		}
	}
	return rest
}

// find is the field of a place, or the nearest one that holds it.
func (f *Form) find(place string) *Field {
	for ; place != ""; place = place[:max(0, strings.LastIndexAny(place, ".["))] {
		if field := findIn(f.Fields, place); field != nil {
			return field
		}
	}
	return nil
}

func findIn(fields []Field, place string) *Field {
	for i := range fields {
		if fields[i].Name == place {
			return &fields[i]
		}
		for _, row := range fields[i].Rows {
			if found := findIn(row, place); found != nil {
				return found
			}
		}
	}
	return nil
}

// against notes beside each field what stands in the book now, where it differs
// from what was typed.
func (f *Form) against(now []Field) {
	f.Stale = true
	for i := range f.Fields {
		mine := &f.Fields[i]
		if at := findIn(now, mine.Name); at != nil && mine.Kind != "rows" && at.shown() != mine.shown() {
			mine.Now = at.shown()
		}
	}
}

// shown is a field's value as its reader sees it.
func (f Field) shown() string {
	switch f.Kind {
	case "pick":
		for _, p := range f.Picks {
			if p.Value == f.Value {
				return p.Word
			}
		}
	case "ticks":
		var words []string
		for _, p := range f.Picks {
			if f.Has(p.Value) {
				words = append(words, p.Word)
			}
		}
		return strings.Join(words, ", ")
	}
	return f.Value
}

// reader takes a form's values apart and gathers what cannot be read.
type reader struct {
	url.Values
	faults domain.Faults
}

func (r *reader) text(name string) string {
	return strings.TrimSpace(strings.ReplaceAll(r.Get(name), "\r\n", "\n"))
}

// number reads a whole number; nothing typed is 0.
func (r *reader) number(name string) int {
	if n := r.maybe(name); n != nil {
		return *n
	}
	return 0
}

// maybe reads a whole number; nothing typed is none.
func (r *reader) maybe(name string) *int {
	text := r.text(name)
	if text == "" {
		return nil
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		r.faults.Add(name, "whole_number", "value", text)
		return nil
	}
	return &n
}

func (r *reader) decimal(name string) float64 {
	text := strings.Replace(r.text(name), ",", ".", 1)
	if text == "" {
		return 0
	}
	n, err := strconv.ParseFloat(text, 64)
	if err != nil {
		r.faults.Add(name, "a_number", "value", text)
	}
	return n
}

func (r *reader) rafts(name string) domain.HalfRafts {
	text := strings.Replace(r.text(name), ",", ".", 1)
	text = strings.Replace(text, "½", ".5", 1)
	if text == "" {
		return 0
	}
	if strings.HasPrefix(text, ".") {
		text = "0" + text
	}
	h, err := domain.ParseHalfRafts(text)
	if err != nil {
		r.faults.Add(name, "half_rafts", "value", text)
	}
	return h
}

func (r *reader) clock(name string) domain.Clock {
	c, err := domain.ParseClock(r.text(name))
	if err != nil {
		r.faults.Add(name, "clock")
	}
	return c
}

// day reads a day; nothing typed is no day.
func (r *reader) day(name string) domain.Day {
	text := r.text(name)
	if text == "" {
		return 0
	}
	d, err := domain.ParseDay(text)
	if err != nil {
		r.faults.Add(name, "a_day", "value", text)
	}
	return d
}

func (r *reader) weekdays(name string) domain.Weekdays {
	w, err := domain.ParseWeekdays(r.Values[name])
	if err != nil {
		r.faults.Add(name, "weekdays")
	}
	return w
}

// codes reads codes that stand in one field, parted by commas.
func (r *reader) codes(name string) []string {
	var list []string
	for part := range strings.SplitSeq(r.Get(name), ",") {
		if part = strings.TrimSpace(part); part != "" {
			list = append(list, part)
		}
	}
	return list
}

// count is how many rows of a list were sent.
func (r *reader) count(list string) int {
	n := 0
	for name := range r.Values {
		if rest, ok := strings.CutPrefix(name, list+"["); ok {
			if i, err := strconv.Atoi(rest[:max(0, strings.IndexByte(rest, ']'))]); err == nil && i < 1000 {
				n = max(n, i+1)
			}
		}
	}
	return n
}

// row is the place of a field of the i-th row of a list.
func row(list string, i int, field string) string { return list + "[" + strconv.Itoa(i) + "]." + field }

// The makers of fields.

func text(name, code, value string) Field {
	return Field{Name: name, Code: code, Kind: "text", Value: value}
}

func needed(f Field) Field {
	f.Needed = true
	return f
}

func count(name, code string, n int) Field {
	return Field{Name: name, Code: code, Kind: "count", Value: blankZero(n)}
}

func maybeCount(name, code string, n *int) Field {
	f := Field{Name: name, Code: code, Kind: "count"}
	if n != nil {
		f.Value = strconv.Itoa(*n)
	}
	return f
}

func kinded(kind, name, code, value string) Field {
	return Field{Name: name, Code: code, Kind: kind, Value: value}
}

func tick(name, code string, on bool) Field {
	f := Field{Name: name, Code: code, Kind: "tick"}
	if on {
		f.Value = "1"
	}
	return f
}

func blankZero(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// choice is a field of words of the catalogue: page.pick.<value>.
func (v *visit) choice(name, code, value string, values ...string) Field {
	f := Field{Name: name, Code: code, Kind: "pick", Value: value}
	for _, x := range values {
		f.Picks = append(f.Picks, Pick{x, v.say("page.pick." + x)})
	}
	return f
}

// weekdayTicks is a field of days of the week.
func (v *visit) weekdayTicks(name, code string, w domain.Weekdays) Field {
	f := Field{Name: name, Code: code, Kind: "ticks", Ticked: w.Names()}
	all := domain.EveryDay
	for i, d := range all.Days() {
		f.Picks = append(f.Picks, Pick{all.Names()[i], words.FirstLetters(v.speech.Weekday(d))})
	}
	return f
}
