package growth

import (
	"cmp"
	"math"
	"slices"

	"headtally/domain"
)

// past is a finished batch, as far as it teaches.
type past struct {
	batch                  *domain.Batch
	sown, set, ready, done domain.Day
	cells, plants          int        // sown, and set into rafts
	known, good            int        // plants whose end is known, and heads of them that were good
	nurseryGood, raftsGood float64    // shares
	waited                 bool       // it may have been ready long before it was lifted
	notYet                 domain.Day // else the last day on which it was not ready, where known
}

// forgottenAfter is how many days after its last good day a batch of which
// nothing more was told counts as finished.
const forgottenAfter = 14

// finished is what a batch teaches, if it has finished by a day and all three
// steps of it were told.
//
// A farm throws away heads that nobody ordered, so plants that were neither
// lifted nor lost say nothing of how a batch did: the share of good heads is of
// those lifted (all sites of the rafts lifted, where rafts were told) and lost.
// The first day of lifting is taken as the day it was ready, unless a count of
// the batch itself told that day; but see bound.
func (x *Figures) finished(b *domain.Batch, asOf domain.Day) *past {
	if len(b.Sets) == 0 || len(b.Lifts) == 0 {
		return nil
	}
	cells := x.cells(b)
	p := &past{batch: b, sown: b.Sown, set: b.FirstSet(), ready: b.Lifts[0].Day, cells: b.Trays * cells}
	for _, s := range b.Sets {
		p.plants += x.plants(s)
	}
	for _, l := range b.Lifts {
		p.good += int(l.Heads)
		p.known += max(int(l.Heads+l.Culls), int(l.Rafts)*int(x.growing.RaftSites)/2)
	}
	lost := int(b.LostAfterSet(cells))
	p.known += lost
	if p.done = x.doneOn(b, p); p.done == 0 || p.done > asOf || p.known == 0 || p.cells == 0 {
		return nil
	}
	if c := b.Counted; c != nil && c.Ready != 0 {
		p.ready = min(p.ready, c.Ready)
	}
	p.nurseryGood = min(1, float64(p.plants)/float64(p.cells))
	p.raftsGood = min(1, float64(p.good)/float64(p.known))
	return p
}

// bound says of each batch what its first day of lifting tells. A batch may have
// stood ready until its turn came: then it was ready by that day and no more is
// known. But where the one before it was used up on an earlier day it was not
// ready on that day, or it would have been lifted along with the last heads; nor
// on any later day on which the crew lifted and left it standing.
func bound(finished []*past, liftDays []domain.Day) {
	byLift := slices.Clone(finished)
	slices.SortStableFunc(byLift, func(a, b *past) int { return cmp.Or(a.first().Sub(b.first()), a.sown.Sub(b.sown)) })
	var before *past
	for _, p := range byLift {
		if before != nil && p.batch.Counted == nil {
			p.waited = before.last() >= p.ready || before.known < before.plants
			if !p.waited {
				i, _ := slices.BinarySearch(liftDays, p.ready)
				p.notYet = max(before.last(), liftDays[max(0, i-1)])
			}
		}
		if before == nil || p.last() >= before.last() {
			before = p
		}
	}
}

// daysLifted are the days on which anything was lifted, in order.
func daysLifted(batches []*domain.Batch) (days []domain.Day) {
	for _, b := range batches {
		for _, l := range b.Lifts {
			days = append(days, l.Day)
		}
	}
	slices.Sort(days)
	return slices.Compact(days)
}

// first and last are the first and last days of its lifting.
func (p *past) first() domain.Day { return p.batch.Lifts[0].Day }
func (p *past) last() domain.Day  { return p.batch.Lifts[len(p.batch.Lifts)-1].Day }

// doneOn is the day on which nothing of a batch stood any more: as told, else
// when all its rafts or plants were lifted or lost, else some time after its
// last good day. It is no day while something stands.
func (x *Figures) doneOn(b *domain.Batch, p *past) domain.Day {
	if b.Ended != 0 {
		return b.Ended
	}
	set, lifted := b.Rafts()
	if set > 0 && lifted >= set || p.known >= p.plants {
		return b.Lifts[len(b.Lifts)-1].Day
	}
	return x.forgotten(b)
}

// forgotten is the day on which a batch that was set counts as finished even if
// nobody said so.
func (x *Figures) forgotten(b *domain.Batch) domain.Day {
	last := b.Sets[len(b.Sets)-1].Day
	return last.Add(x.told(b.Variety, onRafts, last).Late + x.readyDays(b.Variety, last) + forgottenAfter)
}

// days is the days a part took.
func (p *past) days(of part) int {
	switch of {
	case nursery:
		return p.set.Sub(p.sown)
	case onRafts:
		return p.ready.Sub(p.set)
	}
	return p.ready.Sub(p.sown)
}

// reach is what is known of the days a part took: more than one figure, and the
// other at most.
func (p *past) reach(of part) (more, most float64) {
	days := float64(p.days(of))
	switch {
	case of == nursery:
	case p.waited:
		return math.Inf(-1), days
	case p.notYet != 0:
		return days - float64(p.ready.Sub(max(p.notYet, p.began(of)))), days
	}
	return days - 1, days
}

// share is the share that came through a part.
func (p *past) share(of part) float64 {
	switch of {
	case nursery:
		return p.nurseryGood
	case onRafts:
		return p.raftsGood
	}
	return p.nurseryGood * p.raftsGood
}

// seenOf is how many plants the share of a part was seen on.
func (p *past) seenOf(of part) int {
	if of == onRafts {
		return p.known
	}
	return p.cells
}

// began is the day on which a part began.
func (p *past) began(of part) domain.Day {
	if of == onRafts {
		return p.set
	}
	return p.sown
}
