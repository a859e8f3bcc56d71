package packing

import (
	"cmp"
	"math"
	"slices"
)

// limit keeps each product to so many recipes a pickup day. Whether that can
// be done is a cutting-stock question, for which no fast exact method is known;
// so it is searched, within bounds that depend on nothing but the problem:
//
//  1. every batch over the limit by itself, what others hold left to them; where
//     that fails, as few recipes as it can be brought to;
//  2. a batch for which that is still too many, together with one, two or all of
//     the batches that hold heads it could take;
//  3. batch by batch, less substitution with what the others have let go.
type limit struct {
	*bench
	stock   *stock
	full    *stock // nothing is taken from it
	batches []*batch
	effort  int // calls that may still be filled
	changed map[*batch]bool
	free    map[*batch]int // substitution without the limit
}

// Bounds of the search: packings tried on the stock for a batch by itself and
// for one among others; and calls filled in all, and for a batch among others.
const (
	testsAlone  = 400
	testsAmong  = 60
	effortInAll = 60_000
	effortAmong = 15_000
)

const anyCost = math.MaxInt / 2

// keepLimit packs batches that have too many recipes anew, and deals out the
// heads as they are then wanted. Grants stay as they are.
func (w *bench) keepLimit() {
	l := &limit{bench: w, batches: w.batches(), effort: effortInAll, changed: map[*batch]bool{}, free: map[*batch]int{}}
	over := l.over()
	if len(over) > 0 {
		l.stock, l.full = w.newStock(), w.newStock()
		for _, b := range l.batches {
			l.mustTake(b)
			l.free[b] = b.packed.substitution()
		}
		l.bring(over)
		l.soften()
		for b := range l.changed {
			b.writePacked()
		}
		w.settle(l.changed)
	}
	for _, b := range l.over() {
		w.warnOfRecipes(b.orders[0].Pickup, b.orders[0].Product, len(b.packed))
	}
}

func (l *limit) over() (over []*batch) {
	for _, b := range l.batches {
		if len(b.packed) > l.MaxRecipes {
			over = append(over, b)
		}
	}
	return over
}

// bring brings batches within the limit, or near it.
func (l *limit) bring(over []*batch) {
	for _, b := range over {
		if !l.repack(b, l.MaxRecipes, anyCost, testsAlone) {
			l.merge(b)
		}
	}
	for progress := true; progress; {
		progress = false
		for _, b := range over {
			if len(b.packed) > l.MaxRecipes && (l.repack(b, l.MaxRecipes, anyCost, testsAlone) || l.withOthers(b)) {
				progress = true
			}
		}
	}
}

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

// repack packs a batch to at most so many recipes with the least substitution
// below a bound that can be found beside what others hold; else it stays as it
// is.
func (l *limit) repack(b *batch, recipes, below, tests int) bool {
	if l.effort <= 0 {
		return false
	}
	l.stock.giveBackAll(b, b.packed)
	h := newHunt(b, l.stock, b.left(), tests)
	found := h.best(b.left(), nil, recipes, below)
	l.spend(h, tests)
	if found != nil {
		b.packed = found
		l.changed[b] = true
	}
	l.mustTake(b)
	return found != nil
}

// spend counts the calls that a hunt has filled: to look at the stock, and with
// every test.
func (l *limit) spend(h *hunt, given int) {
	l.effort -= (given - h.tests + 2) * len(h.orders) * len(h.upToAll)
}

// left is the cases by order.
func (b *batch) left() []int {
	left := make([]int, len(b.orders))
	for i, o := range b.orders {
		left[i] = o.cases
	}
	return left
}

func (l *limit) mustTake(b *batch) {
	if !l.stock.takeAll(b, b.packed) {
		panic("packing: heads that were assigned are not there")
	}
}

// withOthers packs a batch within the limit by packing others anew beside it,
// none of them to more recipes than the limit or than it had.
func (l *limit) withOthers(b *batch) bool {
	until := max(0, l.effort-effortAmong)
	lacked, others := l.neighbours(b, anyCost)
	others = append(lacked, others...)
	for _, other := range others {
		if l.effort > until && l.withOther(b, other, anyCost, anyCost) {
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

// withOther packs a batch within the limit, with less substitution than a
// bound, and another anew beside it, so that both together have the least
// substitution below a bound that is found.
func (l *limit) withOther(b, other *batch, below, belowBoth int) bool {
	was := [2]packing{b.packed, other.packed}
	l.stock.giveBackAll(b, b.packed)
	l.stock.giveBackAll(other, other.packed)
	h := newHunt(b, l.stock, b.left(), testsAmong)
	h.each(b.left(), l.MaxRecipes, below, func(p packing) (int, bool) {
		if !b.inBound(p) || l.effort <= 0 {
			return below, false
		}
		if beside := l.beside(other, was[1], belowBoth-p.substitution()); beside != nil {
			b.packed, other.packed = p, beside
			belowBoth = p.substitution() + beside.substitution()
		}
		return min(below, belowBoth), false
	})
	l.spend(h, testsAmong)
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
func (l *limit) beside(b *batch, was packing, below int) packing {
	if was.substitution() < below && l.stock.takeAll(b, was) {
		l.stock.giveBackAll(b, was)
		return was
	}
	h := newHunt(b, l.stock, b.left(), testsAmong)
	found := h.best(b.left(), nil, l.MaxRecipes, below)
	l.spend(h, testsAmong)
	return found
}

// soften looks, batch by batch, for less substitution within the limit: by
// itself, or where the limit costs it something, together with another.
func (l *limit) soften() {
	for better := true; better; {
		better = false
		for _, b := range l.batches {
			cost := b.packed.substitution()
			if cost == 0 || len(b.packed) > l.MaxRecipes || !l.touched(b) {
				continue
			}
			better = l.repack(b, l.MaxRecipes, cost, testsAmong) || better
			if b.packed.substitution() > l.free[b] {
				better = l.softenWithOthers(b) || better
			}
		}
	}
}

func (l *limit) softenWithOthers(b *batch) (better bool) {
	lacked, _ := l.neighbours(b, b.packed.substitution())
	for _, other := range lacked {
		cost := b.packed.substitution()
		if cost > l.free[b] && l.effort > 0 {
			better = l.withOther(b, other, cost, cost+other.packed.substitution()) || better
		}
	}
	return better
}

// touched says whether a batch was packed anew or shares heads with one that was.
func (l *limit) touched(b *batch) bool {
	if l.changed[b] {
		return true
	}
	for _, other := range l.batches {
		if l.changed[other] && l.holds(other, b, slices.Repeat([]bool{true}, len(b.orders[0].heads))) > 0 {
			return true
		}
	}
	return false
}
