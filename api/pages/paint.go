package pages

import (
	"embed"
	"fmt"
	"html/template"
	"reflect"
	"time"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
)

//go:embed templates
var templates embed.FS

// manner is how a farm reads: its language and its units.
type manner struct{ language, units string }

// prints holds every template, once for each manner, since words and figures are
// written while a page is made.
type prints map[manner]*template.Template

func parse() prints {
	all := prints{}
	for _, language := range words.Languages {
		for _, units := range []string{"metric", "us"} {
			w := writer{words.For(domain.Farm{Language: language, Units: units})}
			all[manner{language, units}] = template.Must(template.New("").Option("missingkey=error").
				Funcs(w.funcs()).ParseFS(templates, "templates/*.html"))
		}
	}
	return all
}

func (p prints) of(f domain.Farm) *template.Template {
	if t := p[manner{f.Language, f.Units}]; t != nil {
		return t
	}
	return p[manner{words.Languages[0], "metric"}]
}

// writer writes words and figures as one farm reads them.
type writer struct{ *words.Speech }

func (v *visit) writer() writer { return writer{v.speech} }

func (w writer) funcs() template.FuncMap {
	return template.FuncMap{
		"say": w.Say, "day": w.Day, "short": w.ShortDay, "weekday": w.wday, "near": w.near, "date": w.Figures, "num": w.Number, "dec": w.Decimal, "rafts": w.Rafts,
		"clock": w.Clock, "moment": w.moment, "mark": mark, "file": fileAddress, "list": w.List, "state": w.state,
		"minus": minus, "percent": percent, "round": round, "lostHeads": lostHeads, "sentence": sentence,
		"lates": func() []book.Late { return book.Lates },
		"code":  func(s string) string { return "page.f." + s }, "how": howCode, "hasHow": func(s string) bool { return w.Has(howCode(s)) },
		"page": func(word, what string) string { return "page." + word + "." + what },
		"dict": dict,
	}
}

// howCode is the code of what more there is to say about a field.
func howCode(field string) string { return "page.f." + field + ".how" }

// minus is the difference of two counts.
func minus(a, b any) int { return int(reflect.ValueOf(a).Int() - reflect.ValueOf(b).Int()) }

// dict makes a map of pairs, for a template that is handed several things.
func dict(pairs ...any) (map[string]any, error) {
	m := map[string]any{}
	if len(pairs)%2 != 0 {
		return nil, fmt.Errorf("pages: dict of %d values", len(pairs))
	}
	for i := 0; i < len(pairs); i += 2 {
		m[fmt.Sprint(pairs[i])] = pairs[i+1]
	}
	return m, nil
}

// wday is the first three letters of a day of the week.
func (w writer) wday(d domain.Day) string { return words.FirstLetters(w.Weekday(d.Weekday())) }

// near is a day of the coming week: "Thu 12/3".
func (w writer) near(d domain.Day) string { return w.wday(d) + " " + w.Figures(d) }

// moment is the day and time of an instant, already in the farm's zone; none has
// no words.
func (w writer) moment(t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	return w.ShortDay(domain.DayOf(t)) + " " + w.Clock(domain.Clock(60*t.Hour()+t.Minute()))
}

// state is the word of a state.
func (w writer) state(s book.LineState) string { return w.Say("page.state." + string(s)) }

// Marks are told apart by shape: a full raft, a raft half there, a wedge that
// lacks, a broken ring, and a dotted ring where nobody has looked.
var marks = map[book.LineState]string{
	book.StateSure:       `<rect x="2" y="2" width="12" height="12" rx="2"/>`,
	book.StateAtRisk:     `<rect class="open" x="2.75" y="2.75" width="10.5" height="10.5" rx="1.5"/><path d="M3 13.5 13.5 3v10.5z"/>`,
	book.StateShort:      `<path d="M1 3h14L8 15z"/>`,
	book.StateBroken:     `<path class="open thick" d="M12.5 4.2A6 6 0 1 0 14 8M9 1l4 3-4 3"/><path class="open thick" d="M5.5 8h5"/>`,
	book.StateNotCounted: `<circle class="open dots" cx="8" cy="8" r="5.8"/>`,
	"promised":           `<path class="open thick" d="M2 8.5 6.5 13 14 4"/>`,
	"none":               `<circle cx="8" cy="8" r="1.6"/>`,
}

// mark draws a state; its word stands beside it or in it for those who do not see.
func mark(s any) template.HTML {
	name := book.LineState(fmt.Sprint(s))
	shape, known := marks[name]
	if !known {
		name, shape = "none", marks["none"]
	}
	return template.HTML(`<svg class="mark ` + string(name) + `" viewBox="0 0 16 16" width="14" height="14" aria-hidden="true" focusable="false">` + shape + `</svg>`) //nolint:gosec // no part comes from outside
}
