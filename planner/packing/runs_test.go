package packing_test

import (
	"testing"

	"headtally/domain/planning"
)

func TestRuns(t *testing.T) {
	for _, c := range []struct {
		name string
		make func(p *planning.Problem)
		want []string
	}{
		{"least substitution to the best rank", func(p *planning.Problem) {
			bed(p, "L1", "B", 100, 0)
			bed(p, "L2", "O", 6, 0)
			bed(p, "L3", "R", 100, 0)
			order(p, "first", "MIX", 11, 2)
			order(p, "second", "MIX", 11, 2)
		}, []string{"3 of [{B 2} {O 2}] for [{first 2} {second 1}]", "1 of [{B 2} {R 2}] for [{second 1}]"}},
		{"lines that refuse different things share a run that suits both", func(p *planning.Problem) {
			bed(p, "L1", "B", 100, 0)
			bed(p, "L2", "O", 100, 0)
			order(p, "plain", "MIX", 11, 2)
			order(p, "no romaine", "MIX", 11, 3).Refuse = []string{"R"}
		}, []string{"5 of [{B 2} {O 2}] for [{plain 2} {no romaine 3}]"}},
		{"and change places so that the better rank has less substitution", func(p *planning.Problem) {
			bed(p, "L1", "B", 100, 0)
			bed(p, "L2", "O", 4, 0)
			bed(p, "L3", "R", 100, 0)
			order(p, "first", "MIX", 11, 2)
			order(p, "no butter soup", "MIX", 11, 2).Refuse = []string{"S"}
			p.Varieties = append(p.Varieties, planning.Variety{Code: "S", ShelfDays: 10, HeadsPerTray: 12})
		}, []string{"2 of [{B 2} {O 2}] for [{first 2}]", "2 of [{B 2} {R 2}] for [{no butter soup 2}]"}},
		{"heads too old for one of the lines make a run of their own", func(p *planning.Problem) {
			bed(p, "L1", "B", 100, 0)
			bed(p, "L2", "O", 4, 0)
			p.Lots = append(p.Lots, planning.Lot{Code: "C1", Variety: "O", Place: planning.Chilled, Heads: 4, Pulled: on(5)})
			order(p, "fresh", "MIX", 11, 2).MinShelfDays = 8
			order(p, "plain", "MIX", 11, 2)
		}, []string{"2 of [{B 2} {O 2}] for [{fresh 2}]", "2 of [{B 2} {O 2}] for [{plain 2}]"}},
		{"what is packed on different days is not one run", func(p *planning.Problem) {
			bed(p, "L1", "B", 100, 0)
			order(p, "thu", "HEAD", 12, 2)
			order(p, "thu early", "HEAD", 12, 2).LeadDays = new(2)
		}, []string{"2 of [{B 1}] for [{thu 2}]", "2 of [{B 1}] for [{thu early 2}]"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := smallFarm()
			c.make(p)
			same(t, "runs", runs(packed(t, p)), c.want...)
		})
	}
}

func TestWhoStandsInAndWhoGoesShortFirst(t *testing.T) {
	p := smallFarm()
	p.Products[1].Slots[1].Accept = []string{"O", "R", "B"}
	p.Products[1].MaxHeadsPerVariety = new(2)
	bed(p, "L1", "B", 100, 0)
	bed(p, "L2", "O", 100, 0)
	order(p, "best", "MIX", 11, 2)
	order(p, "word", "MIX", 11, 2).Promised = 2
	order(p, "never", "MIX", 11, 2).Substitutes = planning.SubstituteNever
	order(p, "last", "MIX", 11, 2)
	plan := packed(t, p)
	if len(plan.Runs) != 1 {
		t.Fatalf("runs %v", runs(plan))
	}
	// Butterhead may not stand in for oakleaf: two heads of it are in the case.
	same(t, "stand-ins", plan.Runs[0].StandIns, "{B [] [best word never last]}", "{O [R] [never]}")
	same(t, "short first", plan.Runs[0].DropFirst, "last", "never", "best", "word")
}

// The largest counts a document may hold are packed like any other.
func TestHugeCases(t *testing.T) {
	p := smallFarm()
	p.MaxRecipes = 1
	p.Products = append(p.Products, planning.Product{Code: "HUGE", Slots: []planning.Slot{{Heads: 1_000_000, Accept: []string{"B", "O", "R"}}}})
	bed(p, "L1", "B", 1_000_000, 0)
	bed(p, "L2", "O", 999_999, 0)
	bed(p, "L3", "R", 1_000_000, 0)
	p.Cooler.TraySpaces = 1_000_000
	order(p, "wed", "HUGE", 11, 2)
	plan := packed(t, p)
	if plan.Totals.Substitution != 1_000_001 && len(plan.Warnings) == 0 {
		t.Errorf("substitution %d, warnings %v", plan.Totals.Substitution, sentences(plan))
	}
}
