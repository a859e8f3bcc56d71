package packing

import "math"

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

// Bounds of the search: packings tried on the stock for a batch by itself, for
// one among others, and to take substitution back with another; calls filled for
// one among others; and calls filled to bring all within the limit, and then
// again to take substitution back: so many at least, and more by the order where
// there are many. A fifth of these calls takes a third of the time and left nine
// products and days over the limit on the three farm-size cases, not five.
const (
	testsAlone     = 400
	testsAmong     = 60
	testsSoften    = 30
	effortAmong    = 50_000
	effortInAll    = 100_000
	effortPerOrder = 100
	partOfEffort   = 10 // so that a tenth goes to softening one batch among others
)

func (l *limit) allowed() int { return max(effortInAll, effortPerOrder*len(l.orders)) }

const anyCost = math.MaxInt / 2

// keepLimit packs batches that have too many recipes anew, and deals out the
// heads as they are then wanted. Grants stay as they are.
func (w *bench) keepLimit() {
	l := &limit{bench: w, batches: w.batches(), changed: map[*batch]bool{}, free: map[*batch]int{}}
	l.effort = l.allowed()
	over := l.over()
	if len(over) > 0 {
		l.full = w.newStock()
		l.stock = l.full.copy()
		for _, b := range l.batches {
			l.mustTake(b)
			l.free[b] = b.packed.substitution()
		}
		l.bring(over)
		l.effort = max(l.effort, 0) + l.allowed()
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
