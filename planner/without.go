package planner

import (
	"fmt"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/allocation"
)

// Hit is a line that gets less when some lots are thrown away.
type Hit struct {
	Line, Customer, Product string
	Pickup                  domain.Day
	Filled, FilledWithout   int // cases
	Firm, FirmWithout       int // cases by the cautious count too
	Broken                  int // cases of its word that could not be kept any more
}

// Without says who would be hit, and on which days, if these lots were thrown
// away, by pickup day, then rank. Nothing is thrown away by asking.
func (s *Standing) Without(lots ...string) ([]Hit, planning.Faults) {
	less := *s.Problem
	less.Lots = slices.Clone(less.Lots)
	var faults planning.Faults
	for k, code := range lots {
		i, known := s.book.LotIx[code]
		if !known {
			faults = append(faults, planning.Fault{Place: fmt.Sprintf("lots[%d]", k), Text: fmt.Sprintf("%q is not among the lots", code)})
			continue
		}
		less.Lots[i].Heads, less.Lots[i].CautiousHeads = 0, nil
	}
	if len(faults) > 0 {
		return nil, faults
	}
	return s.hits(allocation.Allocate(planning.Index(&less)).Lines()), nil
}

func (s *Standing) hits(without []planning.LinePlan) (hits []Hit) {
	for _, i := range s.book.Ranked {
		line, now, then := &s.Problem.Lines[i], &s.Plan.Lines[i], &without[i]
		if then.Filled < now.Filled || then.Firm < now.Firm || then.Broken > now.Broken {
			hits = append(hits, Hit{
				Line:          line.ID,
				Customer:      line.Customer,
				Product:       line.Product,
				Pickup:        line.Pickup,
				Filled:        now.Filled,
				FilledWithout: then.Filled,
				Firm:          now.Firm,
				FirmWithout:   then.Firm,
				Broken:        max(0, then.Broken-now.Broken),
			})
		}
	}
	slices.SortStableFunc(hits, func(a, b Hit) int { return int(a.Pickup - b.Pickup) })
	return hits
}
