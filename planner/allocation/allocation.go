package allocation

import (
	"sync"

	"headtally/domain/planning"
)

// Allocation is who got what, with the heads that fill it, and the ledgers
// that further questions are asked of.
type Allocation struct {
	Served       *planning.Served
	Substitution int // of the heads served: the sum of their places
	ExpiringUsed int // heads served out of lots that expire

	book     *planning.Book
	menus    *menus
	expected *ledger
	cautious *ledger // nil where the cautious count is the expected one

	asking sync.Mutex
}

// Allocate decides who gets what. The book is not changed.
func Allocate(b *planning.Book) *Allocation {
	ms := &menus{Book: b, known: map[menuName]*menu{}}
	w := newLayout(b)
	o := newOrder(w, ms)
	a := &Allocation{book: b, menus: ms}

	// The cautious grants depend on nothing but the problem, so they are made
	// beside the others. Their passes only read the order and the classes in it;
	// what is built on later, for reasons and offers, they never look at.
	var cautious sync.WaitGroup
	if anyCautious(b) {
		a.cautious = newLedger(w, o, (*planning.Lot).Cautious)
		cautious.Go(a.cautious.run)
	}
	a.expected = newLedger(w, o, func(l *planning.Lot) int { return l.Heads })
	a.expected.explain = true
	a.expected.run()
	a.expected.findOffers()
	a.assign(w.net.Clone())
	cautious.Wait()
	return a
}

func anyCautious(b *planning.Book) bool {
	for i := range b.Lots {
		if b.Lots[i].Cautious() != b.Lots[i].Heads {
			return true
		}
	}
	return false
}

// Lines is what every line gets, in the problem's order, its heads left out.
func (a *Allocation) Lines() []planning.LinePlan {
	l := a.expected
	lines := make([]planning.LinePlan, len(a.book.Lines))
	for i := range lines {
		line := &a.book.Lines[i]
		lines[i] = planning.LinePlan{
			ID:     line.ID,
			Cases:  line.Cases,
			Cut:    line.Cases - line.Asked(),
			Filled: l.granted[i],
			Firm:   l.granted[i],
			Short:  l.lacks(i),
			Broken: l.broken[i],
			Offer:  l.offers[i],
			Reason: l.reasons[i],
			Packed: l.packedOf(i),
			Heads:  []planning.SlotLot{},
		}
		if a.cautious != nil {
			lines[i].Firm = min(l.granted[i], a.cautious.granted[i])
		}
	}
	return lines
}

// packedOf is the packed cases a line takes, by pulled, then code.
func (l *ledger) packedOf(line int) []planning.PackedCases {
	list := make([]planning.PackedCases, 0, len(l.taken[line]))
	if len(l.taken[line]) == 0 {
		return list
	}
	for _, k := range l.packed {
		for _, t := range l.taken[line] {
			if t.packed == k {
				list = append(list, planning.PackedCases{Code: l.Packed[k].Code, Cases: t.cases})
			}
		}
	}
	return list
}

// More is how many more cases out of lots, up to so many, could be granted for
// a line last of all, beside every grant as it is: by the heads expected, and
// sure, by the cautious count too. The line need not be in the problem; what
// it was granted before does not count. It changes nothing and may be asked by
// several goroutines at once.
func (a *Allocation) More(line *planning.Line, cases int) (all, sure int) {
	a.asking.Lock()
	defer a.asking.Unlock()
	k := a.menus.kindOf(line)
	all = a.expected.more(k, cases, line.AllOrNone)
	if a.cautious == nil || all == 0 {
		return all, all
	}
	return all, min(all, a.cautious.more(k, cases, line.AllOrNone))
}

// MoreExpected is More by the heads expected alone.
func (a *Allocation) MoreExpected(line *planning.Line, cases int) int {
	a.asking.Lock()
	defer a.asking.Unlock()
	return a.expected.more(a.menus.kindOf(line), cases, line.AllOrNone)
}

func (l *ledger) more(k kind, cases int, all bool) (n int) {
	c := l.class(k)
	m := l.net.Mark()
	n = l.most(c, cases, all)
	l.net.Undo(m)
	l.unbook(c, n)
	return n
}
