package allocation

import "headtally/domain/planning"

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
	m := l.net.Mark()
	for k, i := range asking {
		l.offers[i] = l.most(classes[k], l.lacks(i), l.Lines[i].AllOrNone)
	}
	l.net.Undo(m)
	for k, i := range asking {
		l.unbook(classes[k], l.offers[i])
	}
}

// unbook takes cases of a class out of the books whose flows are taken back.
func (l *ledger) unbook(c *class, cases int) {
	l.cases[c.number] -= cases
	l.occupy(c.pickup, -cases)
}
