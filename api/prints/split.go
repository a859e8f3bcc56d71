package prints

// split parts a row that is higher than a page: as many lines of each cell as
// room allows, and a row with the rest. Boxes to tick stay with the first part.
// It gives no rest where nothing is gained by splitting.
func (r *row) split(w, room float64) (first, rest *row) {
	head, tail := *r, *r
	head.cells, tail.cells = nil, nil
	head.least, tail.least, head.under, tail.over = 0, 0, 0, 0
	moved, stayed := false, false
	at := 0
	widths := r.widths(w)
	for i := range r.cells {
		c := r.cells[i]
		wide := 0.0
		for range max(c.span, 1) {
			wide += widths[at]
			at++
		}
		lines := c.lines(wide - 2*padSide)
		n := fitting(lines, room-2*padTop-c.tickHeight(wide-2*padSide))
		moved, stayed = moved || n < len(lines), stayed || n > 0
		head.cells = append(head.cells, cell{texts: lines[:n], ticks: c.ticks, span: c.span})
		tail.cells = append(tail.cells, cell{texts: lines[n:], span: c.span})
	}
	if !moved || !stayed {
		return r, nil
	}
	return &head, &tail
}

// lines are a cell's texts, a line each.
func (c *cell) lines(w float64) (lines []text) {
	for _, t := range c.texts {
		s := t.shrunk(t.words, w)
		for _, words := range s.wrap(t.words, w) {
			lines = append(lines, text{s, words})
		}
	}
	return lines
}

// fitting is how many lines stand in a height.
func fitting(lines []text, room float64) (n int) {
	for n < len(lines) && lines[n].line() <= room {
		room -= lines[n].line()
		n++
	}
	return n
}
