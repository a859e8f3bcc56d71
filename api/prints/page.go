package prints

// All measures are points, 72 to the inch, from the upper left corner.

// inch and mm are in points.
const (
	inch = 72.0
	mm   = 72 / 25.4
)

// margin is left white on all four sides of a sheet: half an inch, which every
// office printer can do without.
const margin = inch / 2

// The three weights of a rule.
const (
	fine  = 0.75
	bold  = 1.5
	heavy = 3.0
)

// markKind is what a mark is.
type markKind uint8

const (
	word markKind = iota // text in a style
	line                 // from (x, y) to (x+w, y+h), so thick
	box                  // an outline, so thick
	bar                  // filled
)

// mark is one thing drawn on a page.
type mark struct {
	kind       markKind
	x, y, w, h float64 // a word's y is the line its letters stand on
	thick      float64
	style      style
	text       string
}

// page is one side of paper with all that is drawn on it.
type page struct {
	w, h  float64
	marks []mark
}

// word writes a text whose line's top left corner is (x, y).
func (p *page) word(x, y float64, s style, text string) {
	if text != "" {
		p.marks = append(p.marks, mark{kind: word, x: x, y: y + s.size*baseline, style: s, text: text})
	}
}

// wordRight writes a text that ends at x.
func (p *page) wordRight(x, y float64, s style, text string) { p.word(x-s.width(text), y, s, text) }

// wordMiddle writes a text in the middle of the width w that begins at x.
func (p *page) wordMiddle(x, y, w float64, s style, text string) {
	p.word(x+(w-s.width(text))/2, y, s, text)
}

// across draws a level rule.
func (p *page) across(x, y, w, thick float64) {
	p.marks = append(p.marks, mark{kind: line, x: x, y: y, w: w, thick: thick})
}

// down draws an upright rule.
func (p *page) down(x, y, h, thick float64) {
	p.marks = append(p.marks, mark{kind: line, x: x, y: y, h: h, thick: thick})
}

// box draws an outline whose outer edge is the rectangle given.
func (p *page) box(x, y, w, h, thick float64) {
	p.marks = append(p.marks, mark{kind: box, x: x + thick/2, y: y + thick/2, w: w - thick, h: h - thick, thick: thick})
}

// bar fills a rectangle.
func (p *page) bar(x, y, w, h float64) {
	p.marks = append(p.marks, mark{kind: bar, x: x, y: y, w: w, h: h})
}
