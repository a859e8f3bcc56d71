package packing

import (
	"cmp"
	"slices"
)

// merge packs the cases of three recipes to two, those of fewest cases first,
// until the batch keeps the limit or no three can be merged.
func (l *limit) merge(b *batch) {
	for merged := true; merged && len(b.packed) > max(2, l.MaxRecipes); {
		merged = false
		for _, three := range threes(b.packed) {
			if merged = l.mergeThree(b, three); merged {
				break
			}
		}
	}
}

// mergeThree packs three of a batch's recipes to two, beside the others.
func (l *limit) mergeThree(b *batch, three [3]int) bool {
	var some, others packing
	left := make([]int, len(b.orders))
	for i, s := range b.packed {
		if !slices.Contains(three[:], i) {
			others = append(others, s)
			continue
		}
		some = append(some, s)
		for o, n := range s.cases {
			left[o] += n
		}
	}
	l.stock.giveBackAll(b, some)
	h := newHunt(b, l.stock, left, testsAmong)
	two := h.best(left, others, 2, anyCost)
	l.spend(h, testsAmong)
	if two == nil {
		two = some
	} else {
		b.packed = join(others, two)
		l.changed[b] = true
	}
	if !l.stock.takeAll(b, two) {
		panic("packing: heads that were assigned are not there")
	}
	return len(two) < len(some)
}

// threes lists all threes of a packing's recipes, those of fewest cases first.
func threes(p packing) (list [][3]int) {
	for i := range p {
		for j := range i {
			for k := range j {
				list = append(list, [3]int{i, j, k})
			}
		}
	}
	cases := func(three [3]int) (sum int) {
		for _, i := range three {
			sum += total(p[i].cases)
		}
		return sum
	}
	slices.SortStableFunc(list, func(x, y [3]int) int { return cmp.Compare(cases(x), cases(y)) })
	return list
}
