package packing

import (
	"testing"

	"pgregory.net/rapid"

	"headtally/domain"
	"headtally/domain/planning"
)

// A lot lifted for any needs gives each day what its lines take: from rests
// that are fresh enough, else off rafts; and no head twice.
func TestLiftingConservesHeads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := domain.MustDay("2026-03-10")
		problem := &planning.Problem{AsOf: day, Varieties: []planning.Variety{{Code: "B", ShelfDays: 8, HeadsPerTray: 12}},
			Lots: []planning.Lot{{Code: "L", Variety: "B", Place: planning.Bed}}}
		w := &bench{Book: planning.Index(problem)}
		var needs []need
		asked := 0
		for range rapid.IntRange(1, 6).Draw(t, "needs") {
			d := day.Add(rapid.IntRange(0, 5).Draw(t, "pulled"))
			n := need{day: d, pickup: d.Add(rapid.IntRange(1, 3).Draw(t, "held")), minShelf: rapid.IntRange(0, 7).Draw(t, "least shelf life"),
				heads: rapid.IntRange(1, 30).Draw(t, "heads")}
			if !w.FreshEnough(0, n.day, n.pickup, n.minShelf) {
				continue
			}
			n.pack = n.pickup.Add(-1)
			needs, asked = append(needs, n), asked+n.heads
		}
		needs = gather(needs)
		s := &standing{w: w, heads: asked + rapid.IntRange(0, 30).Draw(t, "spare"), keep: true,
			rafts: domain.HalfRafts(rapid.IntRange(1, 12).Draw(t, "half rafts"))}
		lifts := s.liftAll(needs)
		s.leaveRests()
		checkLifts(t, s, lifts, asked)
	})
}

func checkLifts(t *rapid.T, s *standing, lifts []lift, asked int) {
	heads, stops, lifted, rafts := 0, 0, 0, domain.HalfRafts(0)
	for _, l := range lifts {
		heads, stops, lifted, rafts = heads+l.heads, stops+l.stopAt, lifted+l.lifted, rafts+l.rafts
		if l.stopAt > l.lifted || l.lifted > l.onRafts && l.rafts > 0 {
			t.Fatalf("%+v", l)
		}
		if l.lifted < l.onRafts {
			rafts -= 2 // the broken raft is a raft again at the next visit
		}
		if heads-stops > lifted-stops {
			t.Fatalf("rests supply %d heads, %d were lifted with rafts", heads-stops, lifted-stops)
		}
	}
	if heads != asked || lifted != s.taken || lifted > s.heads || rafts > s.rafts+1 {
		t.Fatalf("asked %d of %d heads on %s rafts: %+v", asked, s.heads, s.rafts, lifts)
	}
	lies := 0
	for _, stay := range s.stays {
		lies += stay.heads
	}
	if lies != lifted {
		t.Fatalf("%d heads lie in the cooler, %d were lifted", lies, lifted)
	}
}
