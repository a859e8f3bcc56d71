package planner

import (
	"headtally/domain/planning"
	"headtally/planner/allocation"
	"headtally/planner/packing"
)

// Plan plans a problem that Read or Check found without fault. Being short is
// a result, not an error. The problem is not changed, and the plan shares
// nothing with it but texts.
//
// A problem in which one line changed is planned anew from the start. Measured
// on the farm-size cases, of what could be kept only the layout of the network
// is left (a tenth of the time): one line more or less may move heads between
// any two lots, so the passes after it, the assignment of heads and the packing
// have to be done again in any case. A tenth is not worth a second way to make
// a plan, which would have to be proven equal to the first.
func Plan(p *planning.Problem) *planning.Plan { return NewStanding(p).Plan }

// complete makes the plan of what was allocated.
func complete(b *planning.Book, a *allocation.Allocation) *planning.Plan {
	plan := &planning.Plan{Lines: a.Lines()}
	plan.Tally = tally(b, plan.Lines, a.Served)
	plan.Totals = totals(plan.Lines)
	plan.Totals.Substitution, plan.Totals.ExpiringUsed = a.Substitution, a.ExpiringUsed
	packing.Pack(b, a.Served, plan)
	return plan
}

func totals(lines []planning.LinePlan) (t planning.Totals) {
	for i := range lines {
		l := &lines[i]
		t.Asked += l.Cases - l.Cut
		t.Cut += l.Cut
		t.Filled += l.Filled
		t.Firm += l.Firm
		t.Short += l.Short
		t.Broken += l.Broken
	}
	return t
}
