package allocation

import (
	"slices"

	"headtally/domain/planning"
)

// findOffers finds, in rank, what short lines that want to be asked could have
// with substitutes, beside all grants and the offers made before. All is taken
// back in the end: an offer grants nothing.
func (l *ledger) findOffers() {
	var asking []int
	var classes []*class
	for _, i := range l.Ranked {
		if l.Lines[i].Substitutes == planning.SubstituteAsk && l.lacks(i) > 0 {
			asking = append(asking, i)
			classes = append(classes, l.class(l.menus.offered(&l.Lines[i])))
		}
	}
	l.aside(func() {
		for k, i := range asking {
			l.offers[i] = l.most(classes[k], l.lacks(i), l.Lines[i].AllOrNone)
		}
	})
}

// aside does something with the ledger and takes back all that it granted.
func (l *ledger) aside(do func()) {
	m := l.net.Mark()
	cases := slices.Clone(l.cases)
	spaces := make([]int, len(l.PickupDays))
	for i, t := range l.PickupDays {
		spaces[i] = l.spaces[t]
	}
	do()
	l.net.Undo(m)
	copy(l.cases, cases)
	for i, t := range l.PickupDays {
		if l.spaces != nil {
			l.spaces[t] = spaces[i]
		}
	}
}
