package prints

// item is a block on its way down the pages.
type item struct {
	block
	gap   float64 // white above it, left out at the head of a page
	keep  bool    // never parted from the next item
	fresh bool    // begins a page
	top   []block // drawn above it where it begins a page: the heading it stands under
}

// placed is a block with its place below the head of a page.
type placed struct {
	block
	y float64
}

// flow puts items on pages of a width and height. Items kept together stand on
// one page unless together they are higher than a whole one.
func flow(items []item, w, h float64) (pages [][]placed) {
	f := &filler{w: w, h: h}
	var fit []item
	for _, it := range items {
		fit = append(fit, f.fitted(it)...)
	}
	items = fit
	for len(items) > 0 {
		n := 1
		for n < len(items) && items[n-1].keep && !items[n].fresh {
			n++
		}
		f.together(items[:n])
		items = items[n:]
	}
	return append(f.pages, f.page)
}

// fitted splits what is higher than a page, for nothing may be cut off.
func (f *filler) fitted(it item) (parts []item) {
	for {
		r, isRow := it.block.(*row)
		room := f.h - f.topHeight(it)
		if !isRow || r.height(f.w) <= room {
			return append(parts, it)
		}
		first, rest := r.split(f.w, room)
		if rest == nil {
			return append(parts, it)
		}
		part := it
		part.block, part.keep = first, false
		parts = append(parts, part)
		it.block, it.fresh, it.gap = rest, false, 0
	}
}

// filler fills pages one after another.
type filler struct {
	w, h  float64
	pages [][]placed
	page  []placed
	y     float64
}

func (f *filler) together(items []item) {
	if items[0].fresh || f.y+f.need(items, len(f.page) > 0) > f.h {
		f.turn()
	}
	if len(items) > 1 && f.topHeight(items[0])+f.need(items, false) > f.h {
		for i := range items { // too much for any page
			alone := items[i]
			alone.fresh = false
			f.together([]item{alone})
		}
		return
	}
	headOfPage := len(f.page) == 0
	if headOfPage && len(f.pages) > 0 && !items[0].fresh {
		for _, b := range items[0].top {
			f.put(b)
		}
	}
	for i, it := range items {
		if i > 0 || !headOfPage {
			f.y += it.gap
		}
		f.put(it.block)
	}
}

// turn begins a new page, unless this one is still empty.
func (f *filler) turn() {
	if len(f.page) > 0 {
		f.pages, f.page, f.y = append(f.pages, f.page), nil, 0
	}
}

func (f *filler) put(b block) {
	f.page = append(f.page, placed{b, f.y})
	f.y += b.height(f.w)
}

// need is the height of items, with the first one's gap or without.
func (f *filler) need(items []item, gap bool) (h float64) {
	for i, it := range items {
		if i > 0 || gap {
			h += it.gap
		}
		h += it.height(f.w)
	}
	return h
}

func (f *filler) topHeight(it item) (h float64) {
	for _, b := range it.top {
		h += b.height(f.w)
	}
	return h
}
