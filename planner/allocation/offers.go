package allocation

import (
	"headtally/domain/planning"
)

// findOffers finds, in rank, what short lines that want to be asked could have
// with substitutes, beside all grants and the offers made before. All is taken
// back in the end: an offer grants nothing.
func (l *ledger) findOffers() {
	var asking []int
	for _, i := range l.Ranked {
		if l.Lines[i].Substitutes == planning.SubstituteAsk && l.lacks(i) > 0 {
			asking = append(asking, i)
			l.class(l.menus.offered(&l.Lines[i]))
		}
	}
	l.aside(func() {
		for _, i := range asking {
			l.offers[i] = l.most(l.class(l.menus.offered(&l.Lines[i])), l.lacks(i), l.Lines[i].AllOrNone)
		}
	})
}

// aside does something with the ledger and takes back all that it granted.
func (l *ledger) aside(do func()) {
	m := l.net.Mark()
	cases := make([]int, len(l.classes))
	for i, c := range l.classes {
		cases[i] = c.cases
	}
	spaces := make([]int, len(l.PickupDays))
	for i, t := range l.PickupDays {
		spaces[i] = l.spaces[t]
	}
	do()
	l.net.Undo(m)
	for i := range cases {
		l.classes[i].cases = cases[i]
	}
	for i, t := range l.PickupDays {
		if l.spaces != nil {
			l.spaces[t] = spaces[i]
		}
	}
}
