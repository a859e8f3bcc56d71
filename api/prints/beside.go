package prints

// beside is two columns of blocks next to each other, never parted by a page
// break.
type beside struct {
	left, right []block
	share       float64 // of the width, that the left column takes
}

// gutter is the white between the two columns.
const gutter = 14.0

func (b *beside) widths(w float64) (left, right float64) {
	left = (w - gutter) * b.share
	return left, w - gutter - left
}

func stacked(blocks []block, w float64) (h float64) {
	for _, x := range blocks {
		h += x.height(w)
	}
	return h
}

func (b *beside) height(w float64) float64 {
	left, right := b.widths(w)
	return max(stacked(b.left, left), stacked(b.right, right))
}

func (b *beside) draw(p *page, x, y, w float64) {
	left, right := b.widths(w)
	drawStacked(p, b.left, x, y, left)
	drawStacked(p, b.right, x+left+gutter, y, right)
}

func drawStacked(p *page, blocks []block, x, y, w float64) {
	for _, block := range blocks {
		block.draw(p, x, y, w)
		y += block.height(w)
	}
}

func (b *beside) inspect(i *inspector) {
	for _, x := range b.left {
		x.inspect(i)
	}
	for _, x := range b.right {
		x.inspect(i)
	}
}
