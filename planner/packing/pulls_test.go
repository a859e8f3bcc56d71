package packing_test

import (
	"fmt"
	"testing"

	"headtally/domain"
	"headtally/domain/planning"
)

func TestPulls(t *testing.T) {
	for _, c := range []struct {
		name  string
		make  func(p *planning.Problem)
		pulls []string
		says  []string
	}{
		{"the rest of a raft is used first on the next day",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 100, 5)
				order(p, "wed", "HEAD", 11, 30)
				order(p, "thu", "HEAD", 12, 25)
			},
			[]string{"2026-03-10 L1: 30 heads, stop at 30, rafts 2 up to 2, 40 lifted",
				"2026-03-11 L1: 25 heads, stop at 15, rafts 1 up to 1, 20 lifted"}, nil},
		{"a rest that supplies the whole next day needs no lifting",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 100, 5)
				order(p, "wed", "HEAD", 11, 30)
				order(p, "thu", "HEAD", 12, 10)
			},
			[]string{"2026-03-10 L1: 30 heads, stop at 30, rafts 2 up to 2, 40 lifted"}, nil},
		{"a rest too old for the next line stays in the cooler",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 100, 5)
				order(p, "wed", "HEAD", 11, 30)
				order(p, "thu", "HEAD", 12, 25).MinShelfDays = 9
			},
			[]string{"2026-03-10 L1: 30 heads, stop at 30, rafts 2 up to 2, 40 lifted",
				"2026-03-11 L1: 25 heads, stop at 25, rafts 2 up to 2, 40 lifted"}, nil},
		{"the half raft is the last one",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 49, 2.5)
				order(p, "wed", "HEAD", 11, 20)
				order(p, "thu", "HEAD", 12, 25)
			},
			[]string{"2026-03-10 L1: 20 heads, stop at 20, rafts 2 up to 2, 39 lifted",
				"2026-03-11 L1: 25 heads, stop at 6, rafts 0.5 up to 0.5, 10 lifted"}, nil},
		{"a raft is lifted in part where later lines would miss its heads",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 20, 2)
				order(p, "wed", "HEAD", 11, 11)
				order(p, "thu", "HEAD", 12, 9).MinShelfDays = 9
			},
			[]string{"2026-03-10 L1: 11 heads, stop at 11, rafts 2 up to 2, 11 lifted",
				"2026-03-11 L1: 9 heads, stop at 9, rafts 1 up to 1, 9 lifted"},
			[]string{"Tuesday 10 March: of the 20 heads on the next 2 rafts of lot L1 lift 11 and leave the rest standing, for a later day"}},
		{"by the cautious count more rafts may be needed",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 100, 5).CautiousHeads = new(60)
				order(p, "wed", "HEAD", 11, 30)
			},
			[]string{"2026-03-10 L1: 30 heads, stop at 30, rafts 2 up to 3, 40 lifted"}, nil},
		{"by the cautious count all that is left, where even that does not do",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 100, 5).CautiousHeads = new(40)
				order(p, "wed", "HEAD", 11, 90)
			},
			[]string{"2026-03-10 L1: 90 heads, stop at 90, rafts 5 up to 5, 100 lifted"}, nil},
		{"a lot without rafts is lifted head by head",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 100, 0)
				order(p, "wed", "HEAD", 11, 30)
			},
			[]string{"2026-03-10 L1: 30 heads, stop at 30, rafts 0 up to 0, 30 lifted"}, nil},
		{"heads that must come out early are held",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 40, 2).Last = on(10)
				order(p, "sat", "HEAD", 14, 40)
			},
			[]string{"2026-03-10 L1: 40 heads, stop at 40, rafts 2 up to 2, 40 lifted"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := smallFarm()
			c.make(p)
			plan := packed(t, p)
			same(t, "pulls", pulls(plan), c.pulls...)
			same(t, "warnings", sentences(plan), c.says...)
		})
	}
}

func TestWhatStandsInFrontIsNamed(t *testing.T) {
	p := smallFarm()
	for at, code := range []string{"first", "second", "third"} {
		l := bed(p, code, "B", 20, 2)
		l.BedName, l.At = "bed 1", new(at+1)
	}
	p.Lots[1].Variety, p.Lots[2].Variety = "O", "R"
	p.Products = append(p.Products, planning.Product{Code: "ROMAINE", Slots: []planning.Slot{{Heads: 1, Accept: []string{"R"}}}})
	order(p, "wed", "HEAD", 11, 20)
	order(p, "thu", "ROMAINE", 12, 5)
	plan := packed(t, p)
	if len(plan.Pulls) != 2 || plan.Pulls[0].InFront != nil {
		t.Fatalf("pulls %+v", plan.Pulls)
	}
	same(t, "in front of the third lot, the first being out by then", plan.Pulls[1].InFront, "second")
	same(t, "nothing stands in the way that could not be lifted", sentences(plan))

	p.Lots[1].Ready = on(12)
	plan = packed(t, p)
	same(t, "in front of the third lot, and not ready", plan.Pulls[1].InFront, "second")
	same(t, "warnings", sentences(plan),
		"Wednesday 11 March: 20 heads stand in front of lot third and cannot be lifted that day (second); move them aside first")
}

func TestSpreading(t *testing.T) {
	for _, c := range []struct {
		name  string
		make  func(p *planning.Problem)
		pulls []string
		moved []string // day it came from, heads, why
		says  []string
	}{
		{"what is too much for Wednesday is lifted on Tuesday",
			func(p *planning.Problem) {
				p.Work.RaftsPerDay = 3
				bed(p, "L1", "B", 100, 5)
				order(p, "thu", "HEAD", 12, 80)
			},
			[]string{"2026-03-10 L1: 20 heads, stop at 20, rafts 1 up to 1, 20 lifted",
				"2026-03-11 L1: 60 heads, stop at 60, rafts 3 up to 3, 60 lifted"},
			[]string{"2026-03-11 20 rafts", " 0 "}, nil},
		{"not before the lot is ready",
			func(p *planning.Problem) {
				p.Work.RaftsPerDay = 3
				bed(p, "L1", "B", 100, 5).Ready = on(11)
				order(p, "thu", "HEAD", 12, 80)
			},
			[]string{"2026-03-11 L1: 80 heads, stop at 80, rafts 4 up to 4, 80 lifted"}, []string{" 0 "},
			[]string{"Wednesday 11 March: 4 rafts to lift, and the crew can lift 3; 1 too many"}},
		{"not where the heads would be too old for their line",
			func(p *planning.Problem) {
				p.Work.RaftsPerDay = 3
				bed(p, "L1", "B", 100, 5)
				order(p, "thu", "HEAD", 12, 80).MinShelfDays = 9
			},
			[]string{"2026-03-11 L1: 80 heads, stop at 80, rafts 4 up to 4, 80 lifted"}, []string{" 0 "},
			[]string{"Wednesday 11 March: 4 rafts to lift, and the crew can lift 3; 1 too many"}},
		{"not once that day's lifting is done",
			func(p *planning.Problem) {
				p.Work.RaftsPerDay, p.NextPull = 3, on(11)
				bed(p, "L1", "B", 100, 5)
				order(p, "thu", "HEAD", 12, 80)
			},
			[]string{"2026-03-11 L1: 80 heads, stop at 80, rafts 4 up to 4, 80 lifted"}, []string{" 0 "},
			[]string{"Wednesday 11 March: 4 rafts to lift, and the crew can lift 3; 1 too many"}},
		{"only as much as the earlier morning has room for",
			func(p *planning.Problem) {
				p.Work.RaftsPerDay = 2
				bed(p, "L1", "B", 100, 5)
				order(p, "wed", "HEAD", 11, 20)
				order(p, "thu", "HEAD", 12, 80)
			},
			[]string{"2026-03-10 L1: 40 heads, stop at 40, rafts 2 up to 2, 40 lifted",
				"2026-03-11 L1: 60 heads, stop at 60, rafts 3 up to 3, 60 lifted"},
			[]string{"2026-03-11 20 rafts", " 0 "},
			[]string{"Wednesday 11 March: 3 rafts to lift, and the crew can lift 2; 1 too many"}},
		{"an earlier morning that is full gives part of its own to one before it",
			func(p *planning.Problem) {
				p.Work.RaftsPerDay, p.PullDays = 2, []domain.Day{on(10), on(11), on(13)}
				bed(p, "L1", "B", 40, 2)
				bed(p, "L2", "O", 60, 3).Ready = on(11)
				p.Products = append(p.Products, planning.Product{Code: "OAK", Slots: []planning.Slot{{Heads: 1, Accept: []string{"O"}}}})
				order(p, "thu", "HEAD", 12, 40)
				order(p, "sat", "OAK", 14, 60)
			},
			[]string{"2026-03-10 L1: 20 heads, stop at 20, rafts 1 up to 1, 20 lifted",
				"2026-03-11 L1: 20 heads, stop at 20, rafts 1 up to 1, 20 lifted",
				"2026-03-11 L2: 20 heads, stop at 20, rafts 1 up to 1, 20 lifted",
				"2026-03-13 L2: 40 heads, stop at 40, rafts 2 up to 2, 40 lifted"},
			[]string{"2026-03-11 20 rafts", " 0 ", "2026-03-13 20 rafts", " 0 "}, nil},
		{"rather the lot whose heads the cooler has trays for",
			func(p *planning.Problem) {
				p.Work.RaftsPerDay, p.Cooler.TraySpaces = 2, 5
				p.Varieties[1].HeadsPerTray = 20
				bed(p, "L1", "B", 40, 2)
				bed(p, "L2", "O", 20, 1)
				p.Lots = append(p.Lots, planning.Lot{Code: "C1", Variety: "R", Place: planning.Chilled, Heads: 48, Pulled: on(9)})
				p.Products = append(p.Products, planning.Product{Code: "OAK", Slots: []planning.Slot{{Heads: 1, Accept: []string{"O"}}}})
				order(p, "sat", "HEAD", 14, 40)
				order(p, "sat, too", "OAK", 14, 20)
			},
			[]string{"2026-03-12 L2: 20 heads, stop at 20, rafts 1 up to 1, 20 lifted",
				"2026-03-13 L1: 40 heads, stop at 40, rafts 2 up to 2, 40 lifted"},
			[]string{"2026-03-13 20 rafts", " 0 "},
			[]string{"Friday 13 March: 9 trays of loose heads for 5 spaces; 4 trays need another place"}},
		{"hours of lifting count as rafts do",
			func(p *planning.Problem) {
				p.Work = planning.Work{HarvestHeadsPerHour: 20, HarvestHours: 3}
				bed(p, "L1", "B", 100, 0)
				order(p, "thu", "HEAD", 12, 70)
			},
			[]string{"2026-03-10 L1: 10 heads, stop at 10, rafts 0 up to 0, 10 lifted",
				"2026-03-11 L1: 60 heads, stop at 60, rafts 0 up to 0, 60 lifted"},
			[]string{"2026-03-11 10 hours", " 0 "}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := smallFarm()
			p.Cooler.CaseSpaces, p.Cooler.TraySpaces = 1000, 1000
			c.make(p)
			plan := packed(t, p)
			same(t, "pulls", pulls(plan), c.pulls...)
			same(t, "moves", moves(plan), c.moved...)
			same(t, "warnings", sentences(plan), c.says...)
		})
	}
}

// moves is, for every pull, the day some of its heads were moved from, how many
// and why.
func moves(plan *planning.Plan) (rows []string) {
	for _, p := range plan.Pulls {
		rows = append(rows, fmt.Sprint(p.MovedFrom, " ", p.MovedHeads, " ", p.MovedWhy))
	}
	return rows
}
