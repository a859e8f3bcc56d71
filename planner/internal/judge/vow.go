package judge

import (
	"headtally/domain"
	"headtally/domain/planning"
)

// Vow is the answer to a question for a promise.
type Vow struct {
	Sure       int        // cases that could be granted also by the cautious count
	IfAllIn    int        // cases that could be granted by the expected count
	FirstWhole domain.Day // first pickup day on which all could be, if any
}

// VowFor answers for a line that is not in the problem: how many of its cases
// out of lots could be granted last of all.
func VowFor(p *planning.Problem, line planning.Line) (v Vow) {
	f := newFarm(p)
	var kinds []kind
	for _, day := range p.PickupDays {
		later := line
		later.Pickup = day
		kinds = append(kinds, f.kindOf(&later))
	}
	own := f.kindOf(&line)
	kinds = append(kinds, own)
	first := newRound(f, f.heads(), kinds...)
	first.grant()
	sure := newRound(f, f.cautious(), kinds...)
	sure.grant()
	v.IfAllIn = first.couldHave(own, line.Cases, line.AllOrNone)
	v.Sure = min(v.IfAllIn, sure.couldHave(own, line.Cases, line.AllOrNone))
	for _, k := range kinds[:len(p.PickupDays)] {
		if k.pickup >= line.Pickup && first.couldHave(k, line.Cases, true) == line.Cases {
			v.FirstWhole = k.pickup
			break
		}
	}
	return v
}

// couldHave is the most cases of a class, up to a number, that are feasible
// beside all grants.
func (r *round) couldHave(k kind, cases int, allOrNone bool) int {
	for n := cases; n > 0; n-- {
		if _, ok := r.fits(k, n); ok {
			return n
		}
		if allOrNone {
			break
		}
	}
	return 0
}
