package packing_test

import (
	"fmt"
	"slices"
	"testing"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/internal/judge"
)

// on is a day of March 2026; the 10th, a Tuesday, is the day of the plan.
func on(day int) domain.Day { return domain.MustDay(fmt.Sprintf("2026-03-%02d", day)) }

// smallFarm is a problem to which a test adds what it is about: butterhead B,
// oakleaf O and romaine R, that keep ten days, in trays of twelve.
func smallFarm() *planning.Problem {
	p := &planning.Problem{AsOf: on(10), LeadDays: 1, ShareRule: planning.FirstCome,
		PickupDays: []domain.Day{on(11), on(12), on(14)}, Cooler: planning.Cooler{CaseSpaces: 96, TraySpaces: 40}}
	for _, code := range []string{"B", "O", "R"} {
		p.Varieties = append(p.Varieties, planning.Variety{Code: code, ShelfDays: 10, HeadsPerTray: 12})
	}
	p.Products = []planning.Product{
		{Code: "HEAD", Name: "Butterhead", Slots: []planning.Slot{{Heads: 1, Accept: []string{"B"}}}},
		{Code: "MIX", Name: "Mixed case", Slots: []planning.Slot{{Heads: 2, Accept: []string{"B"}}, {Heads: 2, Accept: []string{"O", "R"}}}},
	}
	return p
}

// bed adds a lot that stands ready; rafts may be given in halves.
func bed(p *planning.Problem, code, variety string, heads int, rafts float64) *planning.Lot {
	p.Lots = append(p.Lots, planning.Lot{Code: code, Variety: variety, Place: planning.Bed, Heads: heads, Ready: on(1), Last: on(20)})
	l := &p.Lots[len(p.Lots)-1]
	if rafts > 0 {
		l.Rafts = new(domain.HalfRafts(2 * rafts))
	}
	return l
}

// order adds a line; lines rank in the order in which they are added.
func order(p *planning.Problem, id, product string, pickup, cases int) *planning.Line {
	p.Lines = append(p.Lines, planning.Line{ID: id, Customer: "Customer " + id, Product: product, Pickup: on(pickup), Cases: cases,
		Received: on(1).Time().AddDate(0, 0, len(p.Lines))})
	return &p.Lines[len(p.Lines)-1]
}

// packed packs a problem, and fails on any fault that the checker finds.
func packed(t *testing.T, p *planning.Problem) *planning.Plan {
	t.Helper()
	if err := planning.Check(p); err != nil {
		t.Fatal(err)
	}
	plan := allocate(p).pack()
	for _, fault := range judgedWithoutTally(p, plan) {
		t.Error(fault)
	}
	return plan
}

// judgedWithoutTally is the checker's faults, but for the tally and the totals
// of lines, which the planner and not packing makes.
func judgedWithoutTally(p *planning.Problem, plan *planning.Plan) []string {
	return slices.DeleteFunc(judge.Check(p, plan), func(fault string) bool {
		return len(fault) > 5 && (fault[:5] == "tally" || fault[:5] == "total")
	})
}

// same fails unless two lists print alike.
func same[T any](t *testing.T, what string, got []T, want ...string) {
	t.Helper()
	var lines []string
	for _, row := range got {
		lines = append(lines, fmt.Sprint(row))
	}
	if !slices.Equal(lines, want) {
		t.Errorf("%s:\n got %q\nwant %q", what, lines, want)
	}
}

// pull is a row of the pulls in short.
type pull planning.Pull

func (p pull) String() string {
	return fmt.Sprintf("%s %s: %d heads, stop at %d, rafts %s up to %s, %d lifted", p.Day, p.Lot, p.Heads, p.StopAt, p.Rafts, p.RaftsUpTo, p.HeadsLifted)
}

func pulls(plan *planning.Plan) (rows []pull) {
	for _, p := range plan.Pulls {
		rows = append(rows, pull(p))
	}
	return rows
}

// sentences are the warnings' texts.
func sentences(plan *planning.Plan) (texts []string) {
	for _, w := range plan.Warnings {
		texts = append(texts, w.Text)
	}
	return texts
}

// run is a row of the runs in short.
type run planning.Run

func (r run) String() string { return fmt.Sprint(r.Cases, " of ", r.Contents, " for ", r.Lines) }

func runs(plan *planning.Plan) (rows []run) {
	for _, r := range plan.Runs {
		rows = append(rows, run(r))
	}
	return rows
}

// trays is the trays in use, day by day.
func trays(plan *planning.Plan) (counts []int) {
	for _, c := range plan.Cooler {
		counts = append(counts, c.Trays)
	}
	return counts
}
