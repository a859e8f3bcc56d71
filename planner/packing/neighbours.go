package packing

import (
	"cmp"
	"slices"
)

// withOthers packs a batch within the limit by packing others anew beside it,
// none of them to more recipes than the limit or than it had.
func (l *limit) withOthers(b *batch) bool {
	if l.effort <= 0 {
		return false
	}
	until := max(0, l.effort-effortAmong)
	lacked, others := l.neighbours(b, anyCost)
	others = append(lacked, others...)
	for _, other := range others {
		if l.effort > until && l.withOther(b, other, testsAmong, anyCost, anyCost) {
			return true
		}
	}
	for i, one := range others {
		for _, two := range others[i+1:] {
			if l.effort > until && l.together(b, one, two) {
				return true
			}
		}
	}
	return len(others) > 2 && l.effort > until && l.together(append([]*batch{b}, others...)...)
}

// neighbours are the batches that hold heads which a batch lacks for a packing
// with less substitution than a bound, those that hold most first; then the
// others that hold heads it could use.
func (l *limit) neighbours(b *batch, below int) (lacked, others []*batch) {
	lacks := l.lacks(b, below)
	if lacks == nil {
		return nil, nil
	}
	held, all := map[*batch]int{}, slices.Repeat([]bool{true}, len(lacks))
	for _, other := range l.batches {
		if other == b {
			continue
		}
		if held[other] = l.holds(other, b, lacks); held[other] > 0 {
			lacked = append(lacked, other)
		} else if l.holds(other, b, all) > 0 {
			others = append(others, other)
		}
	}
	slices.SortStableFunc(lacked, func(x, y *batch) int { return cmp.Compare(held[y], held[x]) })
	return lacked, others
}

// lacks says of which varieties a batch lacks heads for that packing within the
// limit, with less substitution than a bound, which lacks the fewest of all that
// could be had if every lot were its own; all it could use, where none lacks
// any; nil where there is no such packing.
func (l *limit) lacks(b *batch, below int) (lacks []bool) {
	l.stock.giveBackAll(b, b.packed)
	now := newHunt(b, l.stock, b.left(), 0)
	l.mustTake(b)
	h := newHunt(b, l.full, b.left(), testsAmong)
	fewest := anyCost
	h.each(b.left(), l.MaxRecipes, below, func(p packing) (int, bool) {
		missing, of := 0, make([]bool, len(now.upToAll))
		for k, have := range now.upToAll {
			over := p.headsOf(k) - have
			of[k] = over > 0
			missing += max(0, over)
		}
		if missing < fewest {
			fewest, lacks = missing, of
		}
		return below, false
	})
	l.spend(h, testsAmong)
	if fewest == 0 {
		lacks = slices.Repeat([]bool{true}, len(lacks))
	}
	return lacks
}

// headsOf is the heads of one variety in all cases of a packing.
func (p packing) headsOf(k int) (heads int) {
	for _, s := range p {
		heads += s.recipe[k] * total(s.cases)
	}
	return heads
}

// holds is how many heads of some varieties a batch holds that could come out
// of lots which serve the other.
func (l *limit) holds(b, other *batch, of []bool) (heads int) {
	for i, o := range b.orders {
		for k, n := range b.packed.headsFor(i, len(o.heads)) {
			wanted := slices.Index(other.orders[0].rules.varieties, o.rules.varieties[k])
			if n == 0 || wanted < 0 || !of[wanted] {
				continue
			}
			lots := l.stock.calls[o][k].lots
			if slices.ContainsFunc(other.orders, func(mine *order) bool { return l.reaches(mine, o.rules.varieties[k], lots) }) {
				heads += n
			}
		}
	}
	return heads
}

// reaches says whether an order can be served by one of the lots of a variety.
func (l *limit) reaches(o *order, variety int, lots []int) bool {
	k := slices.Index(o.rules.varieties, variety)
	return k >= 0 && slices.ContainsFunc(l.stock.calls[o][k].lots, func(lot int) bool { return slices.Contains(lots, lot) })
}
