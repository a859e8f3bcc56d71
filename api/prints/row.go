package prints

import "strconv"

// block is something that stands on a page over its whole width.
type block interface {
	height(w float64) float64
	draw(p *page, x, y, w float64)
	// inspect makes every text of the block fit to be drawn.
	inspect(*inspector)
}

type align uint8

const (
	left align = iota
	right
	middle
)

// column is a width of a table: fixed points, or a share of what is left.
type column struct {
	fixed float64
	share float64
	align align
}

// cell is what stands in one field of a row: texts one below the other, boxes to
// tick, or an empty field to write in (which is a cell with nothing in it).
type cell struct {
	texts []text
	ticks int // boxes to tick, one a case
	span  int // columns it takes; 0 is 1
}

// text is words in one style.
type text struct {
	style
	words string
}

// tickSize is the side of a box to tick with a gloved hand; tickStep from one
// to the next.
const (
	tickSize = 6 * mm
	tickStep = 7.5 * mm
	// tickMany is the number of boxes above which a box stands for ten.
	tickMany = 40
)

// padding is white beside and above what stands in a cell.
const (
	padSide = 3.0
	padTop  = 1.5
)

// row is one row of a table.
type row struct {
	owner   string // whose texts these are, should a letter not be drawable
	cols    []column
	cells   []cell
	least   float64 // height
	over    float64 // thickness of the rule above; 0 none
	under   float64
	upright float64 // of the rules between columns and at the sides; 0 none
}

// figureColumn is a column as wide as the widest of its figures.
func figureColumn(s style, figures ...string) column {
	c := column{align: right}
	for _, f := range figures {
		c.fixed = max(c.fixed, s.width(f)+2*padSide+2)
	}
	return c
}

// widths are the columns' widths within w.
func (r *row) widths(w float64) []float64 {
	shares := 0.0
	left := w
	for _, c := range r.cols {
		left -= c.fixed
		shares += c.share
	}
	widths := make([]float64, len(r.cols))
	for i, c := range r.cols {
		widths[i] = c.fixed
		if shares > 0 {
			widths[i] += max(left, 0) * c.share / shares
		}
	}
	return widths
}

// each calls for every cell with its place and width.
func (r *row) each(w float64, do func(c *cell, a align, x, w float64)) {
	widths := r.widths(w)
	x, at := 0.0, 0
	for i := range r.cells {
		c := &r.cells[i]
		a, wide := r.cols[at].align, 0.0
		for range max(c.span, 1) {
			wide += widths[at]
			at++
		}
		do(c, a, x, wide)
		x += wide
	}
}

func (r *row) height(w float64) float64 {
	tallest := 0.0
	r.each(w, func(c *cell, _ align, _, w float64) { tallest = max(tallest, c.height(w-2*padSide)) })
	return max(r.least, tallest+2*padTop)
}

func (r *row) draw(p *page, x, y, w float64) {
	h := r.height(w)
	r.each(w, func(c *cell, a align, dx, w float64) {
		c.draw(p, a, x+dx+padSide, y+(h-c.height(w-2*padSide))/2, w-2*padSide)
		if r.upright > 0 {
			p.down(x+dx, y, h, r.upright)
		}
	})
	if r.upright > 0 {
		p.down(x+w, y, h, r.upright)
	}
	if r.over > 0 {
		p.across(x, y, w, r.over)
	}
	if r.under > 0 {
		p.across(x, y+h, w, r.under)
	}
}

func (r *row) inspect(i *inspector) {
	for k := range r.cells {
		for t := range r.cells[k].texts {
			words := &r.cells[k].texts[t].words
			*words = i.fit(r.owner, *words)
		}
	}
}

// height is how high the cell's contents are at a width.
func (c *cell) height(w float64) float64 {
	h := c.tickHeight(w)
	for _, t := range c.lines(w) {
		h += t.line()
	}
	return h
}

func (c *cell) tickHeight(w float64) float64 {
	if c.ticks == 0 {
		return 0
	}
	return float64(tickRows(c.ticks, w)) * tickStep
}

func (c *cell) draw(p *page, a align, x, y, w float64) {
	for _, t := range c.lines(w) {
		switch a {
		case right:
			p.wordRight(x+w, y, t.style, t.words)
		case middle:
			p.wordMiddle(x, y, w, t.style, t.words)
		default:
			p.word(x, y, t.style, t.words)
		}
		y += t.line()
	}
	if wide := float64(c.ticks)*tickStep - (tickStep - tickSize); a == middle && wide < w {
		x += (w - wide) / 2
	}
	drawTicks(p, c.ticks, x, y, w)
}

// tickBoxes are the numbers that the boxes for n cases stand for: one each, or
// tens and the rest in ones where they would be too many.
func tickBoxes(n int) (boxes []int) {
	for n > tickMany {
		boxes = append(boxes, 10)
		n -= 10
	}
	for range n {
		boxes = append(boxes, 1)
	}
	return boxes
}

func ticksAcross(w float64) int { return max(1, int((w+tickStep-tickSize)/tickStep)) }

func tickRows(n int, w float64) int {
	across := ticksAcross(w)
	return (len(tickBoxes(n)) + across - 1) / across
}

func drawTicks(p *page, n int, x, y, w float64) {
	if n == 0 {
		return
	}
	across := ticksAcross(w)
	number := style{size: 9}
	for i, stands := range tickBoxes(n) {
		bx := x + float64(i%across)*tickStep
		by := y + float64(i/across)*tickStep + (tickStep-tickSize)/2
		p.box(bx, by, tickSize, tickSize, bold)
		if stands > 1 {
			p.wordMiddle(bx, by+(tickSize-number.line())/2, tickSize, number, strconv.Itoa(stands))
		}
	}
}
