package prints

import (
	"slices"
	"strings"

	"headtally/domain"
	"headtally/domain/gs1"
)

// Stock is what case labels are printed on.
type Stock string

// Six to a sheet, or a label printer's roll of labels of 4 by 6 inches.
const (
	LabelSheet Stock = "sheet"
	LabelRoll  Stock = "4x6"
)

// CaseLabels are a label for every case of the runs packed on a day: product,
// contents, pack date, the farm and how to reach it, how to keep it, and the
// traceability lot code. A product with a GTIN has a GS1-128 symbol of GTIN,
// pack date and lot with its text line, and the voice pick code.
//
// With the farm's name, complete address and telephone a label holds what US
// rules ask of packages that reach the consumer unopened (21 CFR 1.1305(c)).
func CaseLabels(f *domain.Facts, packed domain.Day, runs []domain.PackedRun, stock Stock, o Options) (*Paper, error) {
	d := begin(f.Farm, o, office)
	if stock != LabelSheet && stock != LabelRoll {
		d.faults.Add("stock", "one_of", "allowed", []string{string(LabelSheet), string(LabelRoll)})
	}
	if err := d.faults.Err(); err != nil {
		return nil, err
	}
	p := &Paper{title: d.say("case_labels"), language: d.speech.Language, made: o.PrintedAt}
	var seen inspector
	wide := labelPlaces(stock, d.size)[0].w - 2*labelEdge
	var labels []label
	for _, run := range runs {
		l := d.label(f, packed, run, wide, &seen)
		if l.tooLong {
			p.warnings = append(p.warnings, d.say("lot_too_long", "lot", run.Trace, "product", l.product))
		}
		labels = append(labels, slices.Repeat([]label{l}, int(run.Cases))...)
	}
	p.stick(labels, stock, d.size)
	d.warnOfLetters(p, &seen)
	return p, nil
}

// warnOfLetters tells of the letters that labels could not show: there is no room
// for it on them.
func (d *document) warnOfLetters(p *Paper, seen *inspector) {
	for _, s := range seen.found {
		p.warnings = append(p.warnings, d.say("letter", "whose", s.owner, "letter", string(s.letter), "number", s.number()))
	}
}

// stick lays labels out one after another on pages of a stock.
func (p *Paper) stick(labels []label, stock Stock, size paperSize) {
	places := labelPlaces(stock, size)
	for i, l := range labels {
		if i%len(places) == 0 {
			p.pages = append(p.pages, newLabelPage(stock, size))
		}
		l.draw(&p.pages[len(p.pages)-1], places[i%len(places)])
	}
}

// rect is a place on a page.
type rect struct{ x, y, w, h float64 }

// labelEdge is the white at the edges of a label.
const labelEdge = 10.0

// labelPlaces are the labels on a page of a stock. The sheets are the common
// ones of six: 4 by 3 1/3 inches on Letter, 99.1 by 93.1 mm on A4.
func labelPlaces(stock Stock, size paperSize) (places []rect) {
	if stock == LabelRoll {
		return []rect{{0, 0, 6 * inch, 4 * inch}}
	}
	w, h := 4*inch, 10.0/3*inch
	if size == paperSizes["a4"] {
		w, h = 99.1*mm, 93.1*mm
	}
	between := (size.w - 2*w) / 3 // beside and between alike
	top := (size.h - 3*h) / 2
	for i := range 6 {
		places = append(places, rect{between + float64(i%2)*(w+between), top + float64(i/2)*h, w, h})
	}
	return places
}

func newLabelPage(stock Stock, size paperSize) page {
	if stock == LabelRoll {
		return page{w: 6 * inch, h: 4 * inch}
	}
	return page{w: size.w, h: size.h}
}

// label is what stands on the label of one run's cases.
type label struct {
	product  string
	contents string
	packed   string
	lot      string
	farm     string
	storage  string
	modules  []bool  // of the symbol; none where the product has no GTIN
	module   float64 // how wide one is
	under    string  // the symbol's text line
	voice    string
	voiceFor string // what the voice pick code is called
	tooLong  bool   // the symbol does not fit the label
}

func (d *document) label(f *domain.Facts, packed domain.Day, run domain.PackedRun, wide float64, seen *inspector) label {
	product := domain.Product{Name: run.Product}
	for _, x := range f.Products {
		if x.Code == run.Product {
			product = x
		}
	}
	names := map[string]string{}
	for _, v := range f.Varieties {
		names[v.Code] = v.Name
	}
	var contents []string
	for _, c := range run.Contents {
		name := c.Variety
		if names[name] != "" {
			name = names[name]
		}
		contents = append(contents, d.say("heads_of", "heads", int(c.Heads), "variety", name))
	}
	fit := func(s string) string { return seen.fit(product.Name, s) }
	farm := strings.Join(nonEmpty(f.Farm.Name, f.Farm.Address, f.Farm.Phone), " · ")
	l := label{product: fit(product.Name), contents: fit(strings.Join(contents, ", ")), packed: d.say("packed_on", "day", d.speech.DayYear(packed)),
		lot: fit(d.say("lot", "lot", run.Trace)), farm: seen.fit(d.say("case_labels"), farm),
		storage: d.say("keep_cold"), voiceFor: d.say("voice_pick")}
	if d.options.Number > 0 {
		l.farm += " · " + d.say("label_issue", "number", d.options.Number)
	}
	if product.GTIN != "" {
		l.symbol(product.GTIN, packed, run.Trace, wide)
	}
	return l
}

// moduleWidths are the widths tried for a symbol's modules, the widest that fits
// is taken: whole dots of a label printer with 8 dots to the millimetre, and
// none below 0.25 mm, the least that GS1 allows in general distribution (from
// memory).
var moduleWidths = []float64{0.5 * mm, 0.375 * mm, 0.25 * mm}

// quiet is the white on each side of a symbol, in modules.
const quiet = 10

// symbol gives the label its symbol, text line and voice pick code; where GTIN
// or lot are not fit for one, or the label is too narrow, there is none.
func (l *label) symbol(gtin string, packed domain.Day, lot string, wide float64) {
	date := packed.Time().Format("060102")
	elements := []gs1.Element{{AI: "01", Value: gtin}, {AI: "13", Value: date}, {AI: "10", Value: lot}}
	modules, err := gs1.Symbol(elements)
	if err != nil {
		l.tooLong = true
		return
	}
	for _, m := range moduleWidths {
		if float64(len(modules)+2*quiet)*m <= wide {
			l.modules, l.module = modules, m
			l.under, _ = gs1.Text(elements)
			l.voice, _ = gs1.VoicePick(gtin, lot, date)
			return
		}
	}
	l.tooLong = true
}

// leastBars is how high bars are at least, so that a hand scanner finds them;
// mostBars is the 32 mm asked for in general distribution (from memory).
const (
	leastBars = 14 * mm
	mostBars  = 32 * mm
)

// draw puts the label in its place, its letters as large as all of it allows.
func (l *label) draw(p *page, r rect) {
	inner := rect{r.x + labelEdge, r.y + labelEdge, r.w - 2*labelEdge, r.h - 2*labelEdge}
	scale := r.w / (6 * inch)
	if l.modules == nil {
		scale *= 1.8 // the letters fill what a symbol would take
	}
	for scale > 0.4 && l.upper(nil, inner, scale)+l.lower(nil, inner, scale)+l.least() > inner.h {
		scale -= 0.05
	}
	top, bottom := l.upper(p, inner, scale), l.lower(p, inner, scale)
	if l.modules == nil {
		return
	}
	text := style{9, false}
	bars := min(mostBars, inner.h-top-bottom-text.line()-6)
	wide := float64(len(l.modules)) * l.module
	x, y := inner.x+(inner.w-wide)/2, inner.y+top+4
	for i := 0; i < len(l.modules); {
		run := 1
		for i+run < len(l.modules) && l.modules[i+run] == l.modules[i] {
			run++
		}
		if l.modules[i] {
			p.bar(x+float64(i)*l.module, y, float64(run)*l.module, bars)
		}
		i += run
	}
	p.wordMiddle(inner.x, y+bars+1, inner.w, text, l.under)
}

// least is the height that the symbol needs.
func (l *label) least() float64 {
	if l.modules == nil {
		return 0
	}
	return leastBars + style{9, false}.line() + 6
}

// upper draws what stands above the symbol, or only measures it where p is nil.
func (l *label) upper(p *page, r rect, scale float64) (h float64) {
	side := 0.0
	if l.voice != "" {
		small, large := style{28 * scale, true}, style{44 * scale, true}
		side = small.width("00") + large.width("00") + 22
		if p != nil {
			l.drawVoice(p, r, small, large)
		}
	}
	lines := []text{{style{30 * scale, true}, l.product}, {style{18 * scale, false}, l.contents},
		{style{18 * scale, true}.inOneLine(l.packed, r.w-side), l.packed}, {style{22 * scale, true}, l.lot}}
	return drawLines(p, r.x, r.y, r.w-side, lines)
}

// drawVoice puts the voice pick code in a box at the upper right: its first two
// figures small, its last two large.
func (l *label) drawVoice(p *page, r rect, small, large style) {
	wide := small.width("00") + large.width("00") + 14
	name := style{8, false}
	x := r.x + r.w - wide
	p.box(x, r.y, wide, large.line()+name.line()+4, bold)
	p.wordMiddle(x, r.y+2, wide, name.shrunk(l.voiceFor, wide-4), l.voiceFor)
	y := r.y + name.line() + 2
	p.word(x+6, y+large.size*baseline-small.size*baseline, small, l.voice[:2])
	p.word(x+8+small.width("00"), y, large, l.voice[2:])
}

// lower draws what stands at the foot of the label: how to keep it and whose it is.
func (l *label) lower(p *page, r rect, scale float64) (h float64) {
	lines := []text{{style{max(14*scale, 8), true}, l.storage}, {style{max(14*scale, 8), false}, l.farm}}
	h = drawLines(nil, r.x, r.y, r.w, lines)
	if p != nil {
		drawLines(p, r.x, r.y+r.h-h, r.w, lines)
	}
	return h
}

// drawLines writes texts below each other and gives their height.
func drawLines(p *page, x, y, w float64, lines []text) (h float64) {
	for _, t := range lines {
		s := t.shrunk(t.words, w)
		for _, words := range s.wrap(t.words, w) {
			if p != nil {
				p.word(x, y+h, s, words)
			}
			h += s.line()
		}
	}
	return h
}
