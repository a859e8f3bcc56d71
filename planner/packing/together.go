package packing

// withOther packs a batch within the limit, with less substitution than a
// bound, and another anew beside it, so that both together have the least
// substitution below a bound that is found.
func (l *limit) withOther(b, other *batch, tests, below, belowBoth int) bool {
	was := [2]packing{b.packed, other.packed}
	l.stock.giveBackAll(b, b.packed)
	l.stock.giveBackAll(other, other.packed)
	h := newHunt(b, l.stock, b.left(), tests)
	h.each(b.left(), l.MaxRecipes, below, func(p packing) (int, bool) {
		if !b.inBound(p) || l.effort <= 0 {
			return below, false
		}
		if beside := l.beside(other, was[1], tests, belowBoth-p.substitution()); beside != nil {
			b.packed, other.packed = p, beside
			belowBoth = p.substitution() + beside.substitution()
		}
		return min(below, belowBoth), false
	})
	l.spend(h, tests)
	l.mustTake(b)
	l.mustTake(other)
	if len(was[0]) == len(b.packed) && was[0].substitution() == b.packed.substitution() {
		return false
	}
	l.changed[b], l.changed[other] = true, true
	return true
}

// beside is a packing of a batch beside what is taken, as it was if that can
// be, with less substitution than a bound; nil where none is found.
func (l *limit) beside(b *batch, was packing, tests, below int) packing {
	if was.substitution() < below && l.stock.has(b, was) {
		return was
	}
	h := newHunt(b, l.stock, b.left(), tests)
	found := h.best(b.left(), nil, l.MaxRecipes, below)
	l.spend(h, tests)
	return found
}

// together packs batches anew, the first within the limit; all or none of them.
func (l *limit) together(batches ...*batch) bool {
	was := make([]packing, len(batches))
	for i, b := range batches {
		was[i] = b.packed
		l.stock.giveBackAll(b, b.packed)
	}
	if l.chain(batches, false) {
		for _, b := range batches {
			l.changed[b] = true
		}
		return true
	}
	for i, b := range batches {
		b.packed = was[i]
		l.mustTake(b)
	}
	return false
}

// chain packs the first batch within the limit in one way after another until
// the others find theirs beside it; one that may stay is left as it was first.
func (l *limit) chain(batches []*batch, mayStay bool) bool {
	if len(batches) == 0 {
		return true
	}
	b, rest := batches[0], batches[1:]
	was := b.packed
	if mayStay && l.stock.takeAll(b, was) {
		if l.chain(rest, true) {
			return true
		}
		l.stock.giveBackAll(b, was)
	}
	if l.effort <= 0 {
		return false
	}
	h := newHunt(b, l.stock, b.left(), testsAmong)
	kept := h.each(b.left(), l.MaxRecipes, anyCost, func(p packing) (int, bool) {
		b.packed = p
		return anyCost, b.inBound(p) && l.chain(rest, true)
	})
	l.spend(h, testsAmong)
	if !kept {
		b.packed = was
	}
	return kept
}
