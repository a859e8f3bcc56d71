package prints

import (
	"strings"

	"headtally/domain"
)

// header is the head of every page: the weekday first and biggest, so that a
// sheet of another day is seen for what it is from across the room; then date,
// what the sheet is and for whom; number, page and hour of printing at the side.
type header struct {
	sizes    reading
	weekday  string
	title    string // with the date in front
	about    string // carrier and farm; may be ""
	number   string
	printed  string
	replaces string // "" where nothing is replaced
	page     func(n, of int) string
}

// band is the style in which a sheet says which one it replaces; below is the
// white under the head.
var band = style{28, true}

const below = 8

// header makes the head of a document for a day.
func (d *document) header(day domain.Day, title, about string) header {
	h := header{sizes: d.reading, title: title, about: about, number: d.say("draft"),
		page: func(n, of int) string { return d.say("page", "n", n, "of", of) }}
	if day != 0 {
		h.weekday = strings.ToUpper(d.speech.Weekday(day.Weekday()))
		h.title = d.speech.Date(day) + " · " + title
	}
	if d.options.Number > 0 {
		h.number = d.say("number", "number", d.options.Number)
	}
	if d.options.Replaces > 0 {
		h.replaces = d.say("replaces", "number", d.options.Replaces)
	}
	at := d.options.PrintedAt.In(d.zone)
	h.printed = d.say("printed", "day", d.speech.ShortDay(domain.DayOf(at)), "time", at.Format("15:04"))
	return h
}

// unissued is a header of what is no packing day's and never issued: it is no
// draft of anything.
func (d *document) unissued(day domain.Day, title, about string) header {
	h := d.header(day, title, about)
	if d.options.Number == 0 {
		h.number = ""
	}
	return h
}

// sideways is the width beside the title that page and hour of printing take.
func (h *header) sideways() float64 {
	return max(h.sizes.side.width(h.page(99, 99)), h.sizes.side.width(h.printed)) + 12
}

// lines are the texts below the weekday, broken to what width the side leaves.
func (h *header) lines(w float64) (lines []text) {
	for _, t := range []text{{h.sizes.title, h.title}, {h.sizes.about, h.about}} {
		if t.words == "" {
			continue
		}
		for _, words := range t.wrap(t.words, w-h.sideways()) {
			lines = append(lines, text{t.style, words})
		}
	}
	return lines
}

func (h *header) height(w float64) float64 {
	tall := 0.0
	for _, l := range h.lines(w) {
		tall += l.line()
	}
	tall = h.sizes.weekday.line() + max(tall, 2*h.sizes.side.line())
	if h.replaces != "" {
		tall += band.line() + 10
	}
	return tall + heavy + below
}

func (h *header) draw(p *page, x, y, w float64, n, of int) {
	p.word(x, y, h.sizes.weekday, h.weekday)
	p.wordRight(x+w, y+4, h.sizes.title, h.number)
	y += h.sizes.weekday.line()
	for i, words := range []string{h.page(n, of), h.printed} {
		p.wordRight(x+w, y+float64(i)*h.sizes.side.line(), h.sizes.side, words)
	}
	bottom := y + 2*h.sizes.side.line()
	for _, l := range h.lines(w) {
		p.word(x, y, l.style, l.words)
		y += l.line()
	}
	y = max(y, bottom)
	if h.replaces != "" {
		p.box(x, y+3, w, band.line()+4, heavy)
		p.wordMiddle(x, y+5, w, band, h.replaces)
		y += band.line() + 10
	}
	p.across(x, y+heavy/2, w, heavy)
}

func (h *header) inspect(i *inspector) {
	h.title, h.about = i.fit("", h.title), i.fit("", h.about)
}
