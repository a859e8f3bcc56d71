package planner

import (
	"bytes"
	"encoding/json"
	"testing"

	"headtally/domain"
	"headtally/domain/planning"
)

// A word makes the plan reach to its day for as long as that is within a year:
// plans as of a day long ago do not take in all the years since.
func TestAWordIsPlannedWithinAYear(t *testing.T) {
	wednesday := handTuesday.Add(365) // 2028-03-01; the truck comes on Wednesdays and Thursdays
	for _, c := range []struct {
		word    domain.Day
		planned bool
	}{
		{wednesday, true},
		{wednesday.Add(1), true}, // 366 days ahead
		{wednesday.Add(7), false},
		{handWednesday.Add(40 * 364), false},
	} {
		f := twoLeaves()
		f.Orders = append(f.Orders, order("O3", "INN", "SA", c.word, 1))
		f.Decisions = []domain.Decision{{Line: domain.LineID("O3", "SA", "TRUCK", c.word), Promised: 1}}
		w := planned(t, f)
		last, want := w.Problem.PickupDays[len(w.Problem.PickupDays)-1], handThursday
		if c.planned {
			want = c.word
		}
		if last != want || len(w.Lines) == 3 != c.planned {
			t.Errorf("a word for %s: planned to %s with %d lines, want to %s", c.word, last, len(w.Lines), want)
		}
		if lifts := len(w.Problem.PullDays); lifts > wordReach+1 {
			t.Errorf("a word for %s: %d days of lifting", c.word, lifts)
		}
	}
}

// What the line's own day is asked is what is answered with later days, but for
// the first day on which all could be had.
func TestQuoteOfTheDayAlone(t *testing.T) {
	f := twoLeaves()
	f.Orders = f.Orders[:1] // 8 A are left for four mixed cases
	w := planned(t, f)
	for cases := 1; cases < 9; cases++ {
		line := planning.Line{Product: "MIX", Pickup: handWednesday, Cases: cases}
		all, _ := w.Quote(line)
		got, faults := w.QuoteDay(line)
		if len(faults) > 0 || got.Sure != all.Sure || got.AllIn != all.AllIn || got.AllIn != min(cases, 4) || (got.FirstDay != 0) != (got.AllIn == cases) {
			t.Errorf("%d cases: %+v %v, with later days %+v", cases, got, faults, all)
		}
	}
	if _, faults := w.QuoteDay(planning.Line{Product: "NONE", Pickup: handWednesday, Cases: 1}); len(faults) == 0 {
		t.Error("a product that is none is quoted")
	}
}

// Cases of a product, and heads of a variety, that the farm has ended since are
// in nobody's plan, whatever they were packed for.
func TestWhatTheFarmHasEndedIsNotPlanned(t *testing.T) {
	grill := domain.LineID("O2", "MIX", "TRUCK", handWednesday)
	for _, line := range []string{"", grill} {
		f := twoLeaves()
		f.Packings = []domain.Packing{packedCases(line, 2, heads("A", 2), heads("B", 2))}
		f.Packings[0].Runs[0].Product = "ENDED"
		if w := planned(t, f); len(w.Problem.Packed) != 0 {
			t.Errorf("cases of an ended product packed for %q are planned: %+v", line, w.Problem.Packed)
		}
		f.Packings = []domain.Packing{packedCases(line, 2, heads("A", 2), heads("GONE", 2))}
		if w := planned(t, f); len(w.Problem.Packed) != 0 {
			t.Errorf("cases that hold an ended variety, packed for %q, are planned: %+v", line, w.Problem.Packed)
		}
	}
	f := twoLeaves()
	f.Counts[0].Loose[0].Variety = "GONE"
	f.Counts[0].Beds = []domain.BedCount{{Bed: "A1", Variety: "GONE", RaftsNow: 4}}
	for _, l := range planned(t, f).Problem.Lots {
		if l.Variety != "B" {
			t.Errorf("heads of an ended variety are planned: %+v", l)
		}
	}
}

// A document's lists are there when they are empty.
func TestListsOfAPlanAreNeverNull(t *testing.T) {
	text, err := json.Marshal(Plan(&planning.Problem{AsOf: handTuesday}))
	if err != nil || bytes.Contains(text, []byte("null")) {
		t.Errorf("%s %v", text, err)
	}
}
