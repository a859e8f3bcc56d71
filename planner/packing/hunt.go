package packing

import "slices"

// hunt looks for packings of one batch to few recipes, everything that other
// batches have taken being left to them.
type hunt struct {
	*batch
	stock *stock
	tests int // packings that may still be tried on the stock

	upTo    [][]int // order, variety -> most heads the order could take
	upToAll []int   // variety -> most heads all orders could take together
}

// newHunt looks at what the stock holds for the batch, whose own heads have
// been given back.
func newHunt(b *batch, s *stock, left []int, tests int) *hunt {
	b.listOptions()
	h := &hunt{batch: b, stock: s, tests: tests, upToAll: make([]int, len(b.orders[0].heads))}
	for range b.orders {
		h.upTo = append(h.upTo, make([]int, len(h.upToAll)))
	}
	for k := range h.upToAll {
		h.look(k, left)
	}
	return h
}

// look finds how many heads of a variety the orders could take. Orders with the
// same lots find the same, so the stock is asked once for each pool.
func (h *hunt) look(k int, left []int) {
	wanted, most := make([]int, len(h.orders)), map[int]int{}
	for i, o := range h.orders {
		wanted[i] = left[i] * o.rules.top[k]
		pool := h.stock.calls[o][k].pool
		most[pool] += wanted[i]
	}
	for i, o := range h.orders {
		c := &h.stock.calls[o][k]
		if n, asked := most[c.pool]; n > 0 && asked {
			most[c.pool] = 0
			found := h.stock.most(o, k, n)
			h.upToAll[k] += found
			for j, other := range h.orders[i:] {
				if h.stock.calls[other][k].pool == c.pool {
					h.upTo[i+j][k] = min(wanted[i+j], found)
				}
			}
		}
	}
	if len(most) > 1 {
		h.upToAll[k] = h.stock.mostOfAll(h.orders, k, wanted)
	}
}

// seen looks at a packing whose heads are taken in the stock, and says below
// what substitution another one would be of use. To keep it ends the hunt, with
// the heads taken; else they are given back.
type seen func(packing) (below int, keep bool)

// best finds the packing to at most so many recipes with the least
// substitution, below a bound, that is in order together with one of other
// cases; nil where it finds none. It takes nothing.
func (h *hunt) best(left []int, others packing, recipes, below int) (best packing) {
	h.each(left, recipes, below, func(p packing) (int, bool) {
		if !h.inBound(join(others, p)) {
			return below, false
		}
		best = p
		below = p.substitution()
		return below, false
	})
	return best
}

// each shows packings to at most so many recipes, of less substitution than a
// bound, until one is kept.
func (h *hunt) each(left []int, recipes, below int, see seen) (kept bool) {
	if recipes > 2 {
		return h.oneAndMore(left, recipes, below, see)
	}
	for _, p := range h.pairs(left, recipes, below) {
		if p.bound >= below || h.tests <= 0 {
			break
		}
		if below, kept = h.tryPair(p, left, below, see); kept {
			return true
		}
	}
	return false
}

// used leaves out recipes without cases.
func (p packing) used() packing {
	return slices.DeleteFunc(p, func(s served) bool { return total(s.cases) == 0 })
}

// try takes the heads of a packing and shows it.
func (h *hunt) try(p packing, below int, see seen) (int, bool) {
	h.tests--
	before := h.stock.net.Mark()
	kept := false
	if h.stock.takeAll(h.batch, p) {
		below, kept = see(p)
	}
	if kept {
		h.stock.net.Keep(before)
	} else {
		h.stock.net.Undo(before)
	}
	return below, kept
}

// takeAll takes the heads of a packing, all or none.
func (s *stock) takeAll(b *batch, p packing) bool {
	before := s.net.Mark()
	for i, o := range b.orders {
		if !s.take(o, p.headsFor(i, len(o.heads))) {
			s.net.Undo(before)
			return false
		}
	}
	s.net.Keep(before)
	return true
}

// has says whether the heads of a packing could be taken.
func (s *stock) has(b *batch, p packing) bool {
	before := s.net.Mark()
	defer s.net.Undo(before)
	return s.takeAll(b, p)
}

func (s *stock) giveBackAll(b *batch, p packing) {
	for i, o := range b.orders {
		s.giveBack(o, p.headsFor(i, len(o.heads)))
	}
}

// oneAndMore packs some cases to one recipe and hunts for a packing of the
// rest to the others. The more pairs there are for the rest, the more tests that
// counts.
func (h *hunt) oneAndMore(left []int, recipes, below int, see seen) (kept bool) {
	usable := h.usable(left)
	for _, n := range usable {
		x := &h.options[n]
		low, high := make([]int, len(left)), make([]int, len(left))
		for i := range left {
			if x.suits[i] {
				high[i] = casesOf(x.recipe, h.upTo[i], left[i])
			}
		}
		for cases := min(total(high), casesOf(x.recipe, h.upToAll, total(left))); cases > 0; cases-- {
			if h.tests <= 0 || cases*x.substitution >= below {
				break
			}
			for first := range deals(low, high, cases) {
				one := packing{{x.recipe, x.substitution, first}}
				h.tests -= len(usable) * len(usable) / pairsPerTest
				below, kept = h.try(one, below, func(packing) (int, bool) {
					return h.rest(one, less(left, first), recipes-1, below, see)
				})
				break // the first way to deal them out has to do
			}
			if kept {
				return true
			}
		}
	}
	return false
}

// rest hunts for a packing of the cases left beside one recipe that is taken.
func (h *hunt) rest(one packing, left []int, recipes, below int, see seen) (int, bool) {
	if total(left) == 0 {
		return see(one)
	}
	spent := one.substitution()
	inner := newHunt(h.batch, h.stock, left, h.tests)
	kept := inner.each(left, recipes, below-spent, func(p packing) (int, bool) {
		var keep bool
		below, keep = see(join(one, p))
		return below - spent, keep
	})
	h.tests = inner.tests
	return below, kept
}

// pairsPerTest is how many pairs can be looked through while one is tried.
const pairsPerTest = 400

// casesOf is how many cases of a recipe so many heads make, up to a number.
func casesOf(mix recipe, heads []int, most int) int {
	for k, n := range mix {
		if n > 0 {
			most = min(most, heads[k]/n)
		}
	}
	return most
}
