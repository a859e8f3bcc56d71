package packing

import (
	"cmp"
	"slices"
)

// pair is two recipes of which a batch could be packed, as far as the bounds
// tell: from least to most cases of the first, the one of less substitution.
// With one recipe alone both are the same.
type pair struct {
	a, b        int // options
	least, most int // cases of a
	bound       int // least substitution
}

// pairs lists the pairs that the bounds let pass, least substitution first.
func (h *hunt) pairs(left []int, recipes, below int) (pairs []pair) {
	cases := total(left)
	usable := h.usable(left)
	for n, a := range usable {
		x := &h.options[a]
		if x.substitution*cases >= below {
			break
		}
		last := len(usable)
		if recipes == 1 {
			last = n + 1
		}
		for _, b := range usable[n:last] {
			p := pair{a: a, b: b, least: 0, most: cases}
			y := h.options[b].recipe
			for k := 0; k < len(y) && p.least <= p.most; k++ {
				p.least, p.most = narrow(p.least, p.most, cases, x.recipe[k], y[k], h.upToAll[k])
			}
			if a == b {
				p.least = cases
			}
			p.bound = p.most*x.substitution + (cases-p.most)*h.options[b].substitution
			if p.least <= p.most && p.bound < below {
				pairs = append(pairs, p)
			}
		}
	}
	slices.SortStableFunc(pairs, func(p, q pair) int { return cmp.Compare(p.bound, q.bound) })
	return pairs
}

// usable lists the options of which some order could take a case.
func (h *hunt) usable(left []int) (usable []int) {
	for n := range h.options {
		for i := range h.orders {
			if left[i] > 0 && h.options[n].suits[i] && fits(h.options[n].recipe, h.upTo[i]) {
				usable = append(usable, n)
				break
			}
		}
	}
	return usable
}

func fits(mix recipe, upTo []int) bool {
	for k, n := range mix {
		if n > upTo[k] {
			return false
		}
	}
	return true
}

// narrow is the numbers n of cases for which n*a + (cases-n)*b <= most, out of
// those from least to up; none where least comes out above up.
func narrow(least, up, cases, a, b, most int) (int, int) {
	room := most - cases*b // n*(a-b) <= room
	switch {
	case a > b && room >= 0:
		return least, min(up, room/(a-b))
	case a < b:
		return max(least, (-room+b-a-1)/(b-a)), up
	case room < 0:
		return 1, 0
	}
	return least, up
}

// tryPair tries a pair on the stock, from most cases of the first recipe to
// least, each number dealt out to the orders in a few ways.
func (h *hunt) tryPair(p pair, left []int, below int, see seen) (int, bool) {
	a, b := &h.options[p.a], &h.options[p.b]
	low, high := h.ranges(p, left)
	if low == nil {
		return below, false
	}
	cases := total(left)
	for n := min(p.most, total(high)); n >= max(p.least, total(low)); n-- {
		if n*a.substitution+(cases-n)*b.substitution >= below {
			break
		}
		for first := range deals(low, high, n) {
			if h.tests <= 0 {
				return below, false
			}
			two := packing{{a.recipe, a.substitution, first}, {b.recipe, b.substitution, less(left, first)}}
			next, kept := h.try(two.used(), below, see)
			if kept {
				return next, true
			}
			if next < below {
				below = next
				break
			}
		}
	}
	return below, false
}

// ranges is how many cases of the pair's first recipe each order can have; nil
// where an order can have no such number.
func (h *hunt) ranges(p pair, left []int) (low, high []int) {
	a, b := &h.options[p.a], &h.options[p.b]
	low, high = make([]int, len(left)), make([]int, len(left))
	for i, n := range left {
		high[i] = n
		for k, most := range h.upTo[i] {
			low[i], high[i] = narrow(low[i], high[i], n, a.recipe[k], b.recipe[k], most)
		}
		if !a.suits[i] {
			high[i] = min(high[i], 0)
		}
		if !b.suits[i] || p.a == p.b {
			low[i] = max(low[i], n)
		}
		if low[i] > high[i] {
			return nil, nil
		}
	}
	return low, high
}

// less is what is left of counts beside some of them.
func less(counts, some []int) []int {
	rest := make([]int, len(counts))
	for i := range rest {
		rest[i] = counts[i] - some[i]
	}
	return rest
}

// mostDeals bounds the ways in which a number of cases is dealt out to orders.
const mostDeals = 40

// deals gives ways to deal n cases out to orders, each from low to high; the
// first fills the orders in rank.
func deals(low, high []int, n int) func(yield func([]int) bool) {
	return func(yield func([]int) bool) {
		count := 0
		deal := make([]int, len(low))
		var walk func(i, left int) bool
		walk = func(i, left int) bool {
			if i == len(low) {
				count++
				return yield(slices.Clone(deal)) && count < mostDeals
			}
			later := total(high[i+1:]) - total(low[i+1:])
			for more := min(left, high[i]-low[i]); more >= max(0, left-later); more-- {
				deal[i] = low[i] + more
				if !walk(i+1, left-more) {
					return false
				}
			}
			return true
		}
		walk(0, n-total(low))
	}
}
