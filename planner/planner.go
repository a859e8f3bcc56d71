package planner

import (
	"headtally/domain/planning"
	"headtally/planner/allocation"
	"headtally/planner/packing"
)

// Plan plans a problem that Read or Check found without fault. Being short is
// a result, not an error. The problem is not changed, and the plan shares
// nothing with it.
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
