// Package words makes every sentence a person reads, from a code and figures,
// in the farm's language. What lies below hands up codes only; no sentence for a
// reader is written anywhere else.
//
// The catalogue is a folder a language (en, es), a file a subject. A sentence
// holds its figures as {name}; {n|case|cases} takes the first form for one and
// the second for any other number.
package words

import (
	"embed"
	"encoding/json"
	"fmt"
	"maps"
	"path"
	"slices"
	"sort"
	"strconv"
	"strings"
	"sync"
	"time"

	"headtally/domain"
)

//go:embed en es
var catalogue embed.FS

// Languages lists the languages there are, the first being the default.
var Languages = []string{"en", "es"}

// Speech speaks one language.
type Speech struct {
	Language  string
	us        bool // days are written as the United States do
	sentences map[string]string
}

var speeches = sync.OnceValue(func() map[string]*Speech {
	all := map[string]*Speech{}
	for _, language := range Languages {
		all[language] = load(language)
	}
	return all
})

// In is the speech of a language, or the default's where there is none.
func In(language string) *Speech {
	if s := speeches()[language]; s != nil {
		return s
	}
	return speeches()[Languages[0]]
}

// For is the speech of a farm: its language, with days as its units have them.
func For(f domain.Farm) *Speech {
	s := In(f.Language)
	if f.Units != "us" || s.Language != "en" {
		return s
	}
	return &Speech{s.Language, true, s.sentences}
}

// load reads a language's folder. A catalogue that cannot be read is a fault of
// the program itself.
func load(language string) *Speech {
	s := &Speech{Language: language, sentences: map[string]string{}}
	files, err := catalogue.ReadDir(language)
	if err != nil {
		panic("words: " + err.Error())
	}
	for _, f := range files {
		raw, err := catalogue.ReadFile(path.Join(language, f.Name()))
		if err != nil {
			panic("words: " + err.Error())
		}
		var part map[string]string
		if err := json.Unmarshal(raw, &part); err != nil {
			panic("words: " + language + "/" + f.Name() + ": " + err.Error())
		}
		for code, sentence := range part {
			if _, twice := s.sentences[code]; twice {
				panic("words: " + language + "/" + f.Name() + ": " + code + " stands twice")
			}
			s.sentences[code] = sentence
		}
	}
	return s
}

// Codes lists every code the language has, in order.
func (s *Speech) Codes() []string {
	codes := make([]string, 0, len(s.sentences))
	for code := range s.sentences {
		codes = append(codes, code)
	}
	sort.Strings(codes)
	return codes
}

// Has says whether the language has a code.
func (s *Speech) Has(code string) bool { _, ok := s.sentences[code]; return ok }

// Say is the sentence of a code; args are pairs of a name and a figure. A code
// the catalogue lacks is given as it is, for it is better than nothing; a test
// sees that none is lacking.
func (s *Speech) Say(code string, args ...any) string {
	values := make(map[string]any, len(args)/2)
	for i := 0; i+1 < len(args); i += 2 {
		values[args[i].(string)] = args[i+1]
	}
	return s.SayWith(code, values)
}

// SayWith is Say with the figures in a map.
func (s *Speech) SayWith(code string, values map[string]any) string {
	sentence, ok := s.sentences[code]
	if !ok {
		return code
	}
	var b strings.Builder
	for {
		open := strings.IndexByte(sentence, '{')
		if open < 0 {
			break
		}
		end := strings.IndexByte(sentence[open:], '}')
		if end < 0 {
			break
		}
		b.WriteString(sentence[:open])
		b.WriteString(s.figure(sentence[open+1:open+end], values))
		sentence = sentence[open+end+1:]
	}
	b.WriteString(sentence)
	return b.String()
}

// figure fills one place of a sentence.
func (s *Speech) figure(spec string, values map[string]any) string {
	name, forms, choice := strings.Cut(spec, "|")
	v, ok := values[name]
	if !ok {
		return "{" + spec + "}"
	}
	if !choice {
		return s.Show(v)
	}
	one, many, _ := strings.Cut(forms, "|")
	if fmt.Sprint(v) == "1" {
		return one
	}
	return many
}

// Show writes a figure as the language does.
func (s *Speech) Show(v any) string {
	switch v := v.(type) {
	case domain.Day:
		return s.Day(v)
	case string:
		return s.written(v)
	case float64:
		return s.Decimal(v)
	case []string:
		return s.List(v)
	case time.Weekday:
		return s.Weekday(v)
	case domain.HalfRafts:
		return s.Rafts(v)
	case domain.SheetPlace:
		return s.sheetPlace(v)
	}
	return fmt.Sprint(v)
}

// written is text as a person reads it: a day that stands in it as documents and
// codes have days (2027-04-16, NORTH/2027-04-16) is written out.
func (s *Speech) written(text string) string {
	const iso = len("2006-01-02")
	if len(text) < iso {
		return text
	}
	if day, err := domain.ParseDay(text[len(text)-iso:]); err == nil {
		switch front := text[:len(text)-iso]; {
		case front == "":
			return s.DayYear(day)
		case strings.HasSuffix(front, "/"):
			return strings.ReplaceAll(front, "/", ", ") + s.DayYear(day)
		}
	}
	return text
}

// Decimal writes a number with at most one digit after the point.
func (s *Speech) Decimal(v float64) string {
	text := strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
	if s.Language == "es" {
		text = strings.Replace(text, ".", ",", 1)
	}
	return text
}

// Rafts writes a number of rafts, its half as ½.
func (s *Speech) Rafts(h domain.HalfRafts) string {
	whole := strconv.Itoa(int(h / 2))
	switch {
	case h%2 == 0:
		return whole
	case h == 1:
		return "½"
	}
	return whole + "½"
}

// List joins words: "a, b and c".
func (s *Speech) List(list []string) string { return s.join(list, "list.and") }

func (s *Speech) join(list []string, last string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + s.Say(last) + list[len(list)-1]
}

// Weekday is the name of a day of the week.
func (s *Speech) Weekday(d time.Weekday) string { return s.Say("weekday." + strconv.Itoa(int(d))) }

// Day is weekday first: "Thursday 12 March", or "Thursday, March 12".
func (s *Speech) Day(d domain.Day) string {
	return s.dated(d, "day.long", "day.us", func(word string) string { return word })
}

// DayYear is Day with the year.
func (s *Speech) DayYear(d domain.Day) string {
	year, _, _ := d.Date()
	code := "day.year"
	if s.us {
		code = "day.us.year"
	}
	return s.Say(code, "day", s.Day(d), "year", year)
}

// Date is a day without its weekday: "12 March 2026", or "March 12, 2026".
func (s *Speech) Date(d domain.Day) string {
	code := "day.date"
	if s.us {
		code = "day.us.date"
	}
	year, month, day := d.Date()
	return s.Say(code, "day", day, "month", s.Say("month."+strconv.Itoa(int(month))), "year", year)
}

// ShortDay is "Thu 12 Mar", or "Thu Mar 12".
func (s *Speech) ShortDay(d domain.Day) string {
	return s.dated(d, "day.short", "day.us.short", FirstLetters)
}

func (s *Speech) dated(d domain.Day, code, us string, cut func(string) string) string {
	if d == 0 {
		return ""
	}
	if s.us {
		code = us
	}
	_, month, day := d.Date()
	return s.Say(code, "weekday", cut(s.Weekday(d.Weekday())), "day", day, "month", cut(s.Say("month."+strconv.Itoa(int(month)))))
}

// Figures is day and month in figures: "12/3", or "3/12".
func (s *Speech) Figures(d domain.Day) string {
	_, month, day := d.Date()
	if s.us {
		return strconv.Itoa(int(month)) + "/" + strconv.Itoa(day)
	}
	return strconv.Itoa(day) + "/" + strconv.Itoa(int(month))
}

// Clock is a time of day: "14:30", or "2:30 pm". The very end of a day is "24:00",
// or "midnight".
func (s *Speech) Clock(c domain.Clock) string {
	switch {
	case !s.us:
		return c.String()
	case c == 24*60:
		return s.Say("clock.midnight")
	}
	return time.Date(2000, 1, 1, int(c)/60, int(c)%60, 0, 0, time.UTC).Format("3:04 pm")
}

// Number writes a whole number in groups of three.
func (s *Speech) Number(v any) string {
	text := fmt.Sprint(v)
	digits, sign := strings.TrimPrefix(text, "-"), ""
	if digits != text {
		sign = "−"
	}
	gap := "\u202f"
	if s.us {
		gap = ","
	}
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + gap + digits[i:]
	}
	return sign + digits
}

// FirstLetters are the three letters that a weekday or a month is cut to.
func FirstLetters(word string) string { return string([]rune(word)[:min(3, len([]rune(word)))]) }

// Fault is what is wrong in one sentence, without its place.
func (s *Speech) Fault(f domain.Fault) string {
	args := f.Args
	if what, ok := args["what"].(string); ok {
		args = maps.Clone(args)
		args["what"] = s.Kind(what)
	}
	return s.SayWith("fault."+f.Code, args)
}

// Faults is one line a fault: its place, and what is wrong.
func (s *Speech) Faults(faults domain.Faults) []string {
	lines := make([]string, len(faults))
	for i, f := range faults {
		lines[i] = s.Place(f) + ": " + s.Fault(f)
	}
	return lines
}

// Place is where a fault lies: a place in a sheet in words, a path as it is.
func (s *Speech) Place(f domain.Fault) string {
	if f.In == nil {
		return f.Place
	}
	return s.sheetPlace(*f.In)
}

func (s *Speech) sheetPlace(p domain.SheetPlace) string {
	var place string
	switch {
	case p.Kind != "":
		place = s.Kind(p.Kind) + " " + p.Code
	case p.Sheet == "":
		place = s.Say("place.file", "file", p.File)
	default:
		place = s.Say("place.sheet", "sheet", p.Sheet)
	}
	if p.Row > 0 {
		place += s.Say("place.row", "row", p.Row)
	}
	if p.Column != "" {
		place += s.Say("place.column", "column", p.Column)
	}
	if code := "column." + p.What; s.Has(code) {
		return place + " (" + s.Say(code) + ")"
	} else if p.What != "" {
		place += " (" + p.What + ")"
	}
	return place
}

// refusalCodes are the sentences of the kinds of refusal.
var refusalCodes = map[error]string{domain.ErrNotFound: "not_found", domain.ErrStale: "stale", domain.ErrNoMatch: "no_base",
	domain.ErrDenied: "denied", domain.ErrFull: "disk_full", domain.ErrConflict: "conflict", domain.ErrSignIn: "sign_in", domain.ErrWait: "wait"}

// reasoned are the kinds that say why by a reason of their own.
var reasoned = []error{domain.ErrConflict, domain.ErrWait, domain.ErrSignIn}

// Refusal is the sentence of a refusal that concerns one record.
func (s *Speech) Refusal(r *domain.Refusal) string {
	args := map[string]any{"what": s.Kind(r.What), "code": r.Code}
	for name, v := range r.Args {
		args[name] = v
	}
	if by, ok := args["by"].(string); ok {
		args["by"] = s.Kind(by)
	}
	code := refusalCodes[r.Kind]
	if reason, ok := r.Args["reason"].(string); ok && slices.Contains(reasoned, r.Kind) {
		code = reason
	}
	return s.SayWith("refused."+code, args)
}

// Kind is what a kind of record is called.
func (s *Speech) Kind(name string) string {
	if code := "kind." + name; s.Has(code) {
		return s.Say(code)
	}
	return name
}
