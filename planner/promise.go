package planner

import (
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/allocation"
)

// Standing is a planned problem of which promises can be asked again and
// again. Asking changes nothing; several goroutines may ask at once.
type Standing struct {
	Problem *planning.Problem
	Plan    *planning.Plan

	book       *planning.Book
	allocation *allocation.Allocation
}

// NewStanding plans a problem and keeps what promises are asked of. The
// problem must not be changed while the Standing is in use.
func NewStanding(p *planning.Problem) *Standing {
	b := planning.Index(p)
	a := allocation.Allocate(b)
	return &Standing{Problem: p, Plan: complete(b, a), book: b, allocation: a}
}

// Promise is the answer to "how many more cases could you give me".
type Promise struct {
	Sure     int        // cases by the cautious count
	AllIn    int        // cases if all comes in as expected
	FirstDay domain.Day // the first pickup day, on or after the day asked, for the whole number by the heads expected; none: no day planned
}

// Quote answers for a line that is in no order yet: of its fields, product,
// pickup day, cases, all-or-none, substitutes, refusals, least shelf life and
// lead days count. The cases come out of lots, on top of every grant as it is;
// offers and leftover packed cases are left aside. A word can be given only for
// a day that is planned.
func (s *Standing) Quote(line planning.Line) (Promise, planning.Faults) {
	return s.quote(line, func(product string, _ domain.Day) string { return product })
}

// quote is Quote of a product that goes by a code of its own on each day.
func (s *Standing) quote(line planning.Line, on func(product string, pickup domain.Day) string) (Promise, planning.Faults) {
	p, faults := s.quoteDay(line, on)
	if len(faults) > 0 || p.AllIn == line.Cases {
		return p, faults
	}
	product := line.Product
	asked, _ := slices.BinarySearch(s.Problem.PickupDays, line.Pickup)
	for _, t := range s.Problem.PickupDays[asked+1:] {
		line.Pickup, line.Product = t, on(product, t)
		if s.allocation.MoreExpected(&line, line.Cases) == line.Cases {
			p.FirstDay = t
			break
		}
	}
	return p, nil
}

// quoteDay is quote for the line's own day: no later day is looked at.
func (s *Standing) quoteDay(line planning.Line, on func(product string, pickup domain.Day) string) (p Promise, _ planning.Faults) {
	line.Product = on(line.Product, line.Pickup)
	if faults := planning.CheckLine(s.Problem, &line); len(faults) > 0 {
		return p, faults
	}
	p.AllIn, p.Sure = s.allocation.More(&line, line.Cases)
	if p.AllIn == line.Cases {
		p.FirstDay = line.Pickup
	}
	return p, nil
}
