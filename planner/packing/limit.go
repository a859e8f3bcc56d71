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
//  1. every batch over the limit by itself, what others hold left to them;
//  2. a batch for which that fails together with one, two or all of the
//     batches that want heads of the same varieties;
//  3. where that fails too, as few recipes as can be found;
//  4. batch by batch, less substitution with what the others have let go.
type limit struct {
	*bench
	stock   *stock
	batches []*batch
	tests   int // packings that may still be tried on the stock
	changed map[*batch]bool
}

// Bounds of the search, in packings tried on the stock: for one batch by
// itself, for one among others, and in all.
const (
	testsAlone  = 400
	testsAmong  = 60
	testsInAll  = 6000
	testsToHelp = 2500 // of these, for one batch with its neighbours
)

const anyCost = math.MaxInt / 2

// keepLimit packs batches that have too many recipes anew, and deals out the
// heads as they are then wanted. Grants stay as they are.
func (w *bench) keepLimit() {
	l := &limit{bench: w, batches: w.batches(), tests: testsInAll, changed: map[*batch]bool{}}
	over := l.over()
	if len(over) > 0 {
		l.stock = w.newStock()
		for _, b := range l.batches {
			l.mustTake(b)
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
		l.repack(b, l.MaxRecipes, anyCost, testsAlone)
	}
	for progress := true; progress; {
		progress = false
		for _, b := range l.over() {
			if l.repack(b, l.MaxRecipes, anyCost, testsAlone) || l.withOthers(b) {
				progress = true
			}
		}
	}
	for _, b := range l.over() {
		for n := l.MaxRecipes + 1; n < len(b.packed); n++ {
			l.repack(b, n, anyCost, testsAlone)
		}
	}
}

// repack packs a batch to at most so many recipes with the least substitution
// below a bound that can be found beside what others hold; else it stays as it
// is.
func (l *limit) repack(b *batch, recipes, below, tests int) bool {
	l.stock.giveBackAll(b, b.packed)
	h := l.hunt(b, tests)
	found := h.best(b.left(), recipes, below)
	l.spend(h, tests)
	if found != nil {
		b.packed = found
		l.changed[b] = true
	}
	l.mustTake(b)
	return found != nil
}

func (l *limit) hunt(b *batch, tests int) *hunt {
	return newHunt(b, l.stock, b.left(), min(tests, l.tests))
}

// spend counts the tests of a hunt, and one for looking at the stock.
func (l *limit) spend(h *hunt, given int) { l.tests -= min(given, l.tests) - h.tests + 1 }

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
	until := max(0, l.tests-testsToHelp)
	others := l.neighbours(b)
	for _, other := range others {
		if l.tests > until && l.together(b, other) {
			return true
		}
	}
	for i, one := range others {
		for _, two := range others[i+1:] {
			if l.tests > until && l.together(b, one, two) {
				return true
			}
		}
	}
	return len(others) > 2 && l.tests > until && l.together(append([]*batch{b}, others...)...)
}

// neighbours are the batches that take heads of a variety the batch could use:
// those over the limit first, then the nearest pickup days.
func (l *limit) neighbours(b *batch) (others []*batch) {
	for _, other := range l.batches {
		if other != b && l.share(b, other) {
			others = append(others, other)
		}
	}
	away := func(o *batch) int {
		days := o.orders[0].Pickup.Sub(b.orders[0].Pickup)
		return max(days, -days)
	}
	slices.SortStableFunc(others, func(x, y *batch) int {
		return cmp.Or(-compareBool(len(x.packed) > l.MaxRecipes, len(y.packed) > l.MaxRecipes), cmp.Compare(away(x), away(y)))
	})
	return others
}

// share says whether one batch uses heads of a lot that the other could take.
func (l *limit) share(b, other *batch) bool {
	for _, o := range other.orders {
		for k, c := range l.stock.calls[o] {
			if o.heads[k] > 0 && slices.ContainsFunc(b.orders, func(mine *order) bool { return l.reaches(mine, o.rules.varieties[k], c.lots) }) {
				return true
			}
		}
	}
	return false
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
	if l.chain(batches, l.MaxRecipes) {
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

// chain packs the first batch in one way after another until the others find
// theirs beside it. Each may stay as it was.
func (l *limit) chain(batches []*batch, recipes int) bool {
	if len(batches) == 0 {
		return true
	}
	b, rest := batches[0], batches[1:]
	next := func() bool {
		return len(rest) == 0 || l.chain(rest, max(l.MaxRecipes, len(rest[0].packed)))
	}
	if len(b.packed) <= recipes && l.stock.takeAll(b, b.packed) {
		if next() {
			return true
		}
		l.stock.giveBackAll(b, b.packed)
	}
	was := b.packed
	h := l.hunt(b, testsAmong)
	l.tests -= min(testsAmong, l.tests)
	kept := h.each(b.left(), recipes, anyCost, func(p packing) (int, bool) {
		b.packed = p
		return anyCost, next()
	})
	l.tests += h.tests - 1
	if !kept {
		b.packed = was
	}
	return kept
}

// soften looks, batch by batch, for less substitution within the limit.
func (l *limit) soften() {
	for better := true; better; {
		better = false
		for _, b := range l.batches {
			if cost := b.packed.substitution(); cost > 0 && l.tests > 0 && l.touched(b) {
				better = l.repack(b, max(l.MaxRecipes, len(b.packed)), cost, testsAmong) || better
			}
		}
	}
}

// touched says whether a batch was packed anew or shares heads with one that was.
func (l *limit) touched(b *batch) bool {
	if l.changed[b] {
		return true
	}
	for _, other := range l.batches {
		if l.changed[other] && l.share(b, other) {
			return true
		}
	}
	return false
}
