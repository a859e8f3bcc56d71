package planner_test

import (
	"reflect"
	"testing"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// twoBeds is a farm of one variety in two beds, for two pickups.
func twoBeds() *planning.Problem {
	day := domain.MustDay
	received := time.Date(2027, 1, 30, 8, 0, 0, 0, time.UTC)
	bed := func(code string, heads int, ready, last string) planning.Lot {
		return planning.Lot{Code: code, Variety: "RB", Place: planning.Bed, Heads: heads, CautiousHeads: new(heads - heads/5),
			Rafts: new(domain.HalfRafts(4)), Ready: day(ready), Last: day(last)}
	}
	line := func(id, customer, pickup string, cases int) planning.Line {
		return planning.Line{ID: id, Customer: customer, Product: "ONE", Pickup: day(pickup), Cases: cases, Received: received}
	}
	return &planning.Problem{
		AsOf:       day("2027-02-01"),
		LeadDays:   1,
		PickupDays: []domain.Day{day("2027-02-03"), day("2027-02-05")},
		Cooler:     planning.Cooler{CaseSpaces: 40, TraySpaces: 60},
		Varieties:  []planning.Variety{{Code: "RB", Name: "Red butterhead", ShelfDays: 12, HeadsPerTray: 12}},
		Products:   []planning.Product{{Code: "ONE", Name: "One", Slots: []planning.Slot{{Heads: 12, Accept: []string{"RB"}}}}},
		Lots:       []planning.Lot{bed("north", 60, "2027-02-01", "2027-02-02"), bed("south", 48, "2027-02-04", "2027-02-08")},
		Lines:      []planning.Line{line("L1", "C1", "2027-02-03", 3), line("L2", "C2", "2027-02-05", 4)},
	}
}

func TestCompareTellsWhatIsDifferent(t *testing.T) {
	p := twoBeds()
	was := planner.Plan(p)
	if d := planner.Compare(was, planner.Plan(p)); !d.None() {
		t.Errorf("the same problem planned twice differs: %+v", d)
	}
	p.Lines[0].Cases = 2
	p.Lines[1].ID = "L3"
	p.Lines[1].Cases = 6
	got := planner.Compare(was, planner.Plan(p))
	heads := func(n int) []planning.VarietyHeads { return []planning.VarietyHeads{{Variety: "RB", Heads: n}} }
	figures := func(cases, firm int) planner.LineFigures {
		return planner.LineFigures{Cases: cases, Filled: cases, Firm: firm, Contents: heads(12 * cases), Packed: []planning.PackedCases{}}
	}
	want := []planner.LineChange{
		{ID: "L1", Was: figures(3, 3), Is: figures(2, 2)},
		{ID: "L3", Added: true, Is: figures(6, 5)},
		{ID: "L2", Dropped: true, Was: figures(4, 4)},
	}
	if !reflect.DeepEqual(got.Lines, want) {
		t.Errorf("lines\n got %+v\nwant %+v", got.Lines, want)
	}
	// A case fewer on one line and two more on the other are twelve heads more,
	// from whichever bed.
	more := 0
	for _, c := range got.Pulls {
		if c.Was == c.Is {
			t.Errorf("a pull that is as it was: %+v", c)
		}
		more += c.Is.Heads - c.Was.Heads
	}
	if more != 12 {
		t.Errorf("%d heads more are lifted, want 12: %+v", more, got.Pulls)
	}
}

func TestWithoutALotTellsWhoIsHit(t *testing.T) {
	s := planner.NewStanding(twoBeds())
	hits, faults := s.Without("north")
	want := []planner.Hit{{Line: "L1", Customer: "C1", Product: "ONE", Pickup: domain.MustDay("2027-02-03"), Filled: 3, Firm: 3},
		{Line: "L2", Customer: "C2", Product: "ONE", Pickup: domain.MustDay("2027-02-05"), Filled: 4, FilledWithout: 4, Firm: 4, FirmWithout: 3}}
	if len(faults) > 0 || !reflect.DeepEqual(hits, want) {
		t.Errorf("without the north bed %+v (%v), want %+v", hits, faults, want)
	}
	if hits, _ := s.Without(); len(hits) > 0 {
		t.Errorf("nothing thrown away hits %+v", hits)
	}
	if _, faults := s.Without("north", "west"); faults.Error() != `lots[1]: "west" is not among the lots` {
		t.Errorf("faults %v", faults)
	}
}
