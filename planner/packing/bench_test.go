package packing_test

import (
	"fmt"
	"slices"
	"testing"

	"headtally/domain/planning"
	"headtally/planner/allocation"
	"headtally/planner/internal/judge"
	"headtally/planner/packing"
)

// allocated is a problem with its grants made, ready to be packed any number
// of times.
type allocated struct {
	book *planning.Book
	got  *allocation.Allocation
}

func allocate(p *planning.Problem) allocated {
	b := planning.Index(p)
	return allocated{b, allocation.Allocate(b)}
}

// pack packs a copy of what was allocated.
func (a allocated) pack() *planning.Plan {
	plan, _ := a.packAndServed()
	return plan
}

// packAndServed is the plan, and the heads of each class as they were packed.
func (a allocated) packAndServed() (*planning.Plan, *planning.Served) {
	s := &planning.Served{Classes: slices.Clone(a.got.Served.Classes)}
	for i := range s.Classes {
		s.Classes[i].Lots = slices.Clone(s.Classes[i].Lots)
	}
	plan := &planning.Plan{Lines: a.got.Lines()}
	plan.Totals.Substitution, plan.Totals.ExpiringUsed = a.got.Substitution, a.got.ExpiringUsed
	packing.Pack(a.book, s, plan)
	return plan, s
}

func BenchmarkPack(b *testing.B) {
	for _, c := range judge.Cases(b, "../../testdata/planning", "farm-*") {
		for _, limit := range []int{0, 2, 1} {
			p := *c.Problem
			p.MaxRecipes = limit
			a := allocate(&p)
			b.Run(fmt.Sprint(c.Name, "/max_recipes=", limit), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					a.pack()
				}
			})
		}
	}
}
