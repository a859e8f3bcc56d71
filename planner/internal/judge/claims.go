package judge

import (
	"cmp"
	"iter"
	"slices"

	"headtally/domain/planning"
)

// Claim is something a solver can confirm: the program's value is not below
// Least and not above Most.
type Claim struct {
	Says        string
	Program     *Program
	Least, Most int
}

// Claims are what the ruling's grants rest on: every set of cases it refused
// lacks so many heads, and all that it granted together lacks none.
func (r *Ruling) Claims() (claims []Claim) {
	for _, q := range r.questions {
		value := r.farm.demand(q.cases) - q.missing
		claims = append(claims, Claim{"the most heads that can be assigned",
			r.farm.program(q.heads, q.cases, wish{head: 1}), value, value})
	}
	return append(claims, r.farm.optimumClaims(r.cases, r.Substitution, r.ExpiringUsed)...)
}

// optimumClaims are the values of steps 1 and 2 for these cases out of lots.
func (f *farm) optimumClaims(cases map[kind]int, substitution, expiring int) []Claim {
	heads := f.heads()
	return []Claim{
		{"step 1", f.program(heads, cases, wish{all: true, place: -1}), -substitution, -substitution},
		{"step 2", f.program(heads, cases, wish{all: true, expiring: 1, substitution: &substitution}), expiring, expiring},
	}
}

// ClaimsOf are what a plan says of its problem that a solver can confirm by
// itself: its grants are feasible, no short line could have one case more
// beside them, and steps 1 and 2 have their optimum. Of the short lines the
// first twenty are put to the solver.
func ClaimsOf(p *planning.Problem, plan *planning.Plan) (claims []Claim) {
	f := newFarm(p)
	heads := f.heads()
	cases := f.fromLots(plan)
	all := f.demand(cases)
	claims = append(claims, Claim{"the grants are feasible", f.program(heads, cases, wish{head: 1}), all, all})
	for i := range plan.Lines {
		if more := f.refusedTo(plan, i); more > 0 && len(claims) <= 20 {
			k := f.kindOf(&p.Lines[i])
			cases[k] += more
			needs := f.demand(cases)
			claims = append(claims, Claim{"line " + plan.Lines[i].ID + " could have no more",
				f.program(heads, cases, wish{head: 1}), 0, needs - 1})
			cases[k] -= more
		}
	}
	e := AnswerOf(plan)
	return append(claims, f.optimumClaims(cases, e.Substitution, e.ExpiringUsed)...)
}

// StepOne is the linear program of step 1 alone, with a plan's grants given.
func StepOne(p *planning.Problem, plan *planning.Plan) *Program {
	f := newFarm(p)
	return f.program(f.heads(), f.fromLots(plan), wish{all: true, place: -1})
}

// fromLots adds up the cases that a plan grants out of lots, by class.
func (f *farm) fromLots(plan *planning.Plan) map[kind]int {
	cases := map[kind]int{}
	for i := range plan.Lines {
		if n := newlyPacked(&plan.Lines[i]); n > 0 {
			cases[f.kindOf(&f.p.Lines[i])] += n
		}
	}
	return cases
}

// newlyPacked is a line's cases out of lots.
func newlyPacked(l *planning.LinePlan) int {
	n := l.Filled
	for _, c := range l.Packed {
		n -= c.Cases
	}
	return n
}

// refusedTo is how many cases more a line was refused for want of heads.
func (f *farm) refusedTo(plan *planning.Plan, i int) int {
	l := &plan.Lines[i]
	if l.Short == 0 || l.Reason == nil || l.Reason.Code == planning.CoolerFull {
		return 0
	}
	if f.p.Lines[i].AllOrNone {
		return l.Short
	}
	return 1
}

func sortedKinds(kinds iter.Seq[kind]) []kind {
	return slices.SortedFunc(kinds, func(a, b kind) int {
		free := func(k kind) int {
			if k.free {
				return 1
			}
			return 0
		}
		return cmp.Or(cmp.Compare(a.pickup, b.pickup), a.product-b.product, a.lead-b.lead,
			free(a)-free(b), a.shelf-b.shelf, cmp.Compare(a.refuse, b.refuse))
	})
}
