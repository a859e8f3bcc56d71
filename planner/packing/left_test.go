package packing_test

import (
	"testing"

	"headtally/domain/planning"
	"headtally/planner/internal/judge"
)

// Of two lots that could serve the same cases, what is left over is of the one
// whose life ends later, or which stands behind in the same bed: with the
// recipes as they come, and with heads dealt out anew to keep a limit.
func TestTheYoungerLotIsLeft(t *testing.T) {
	looked, problems := 0, 300
	if testing.Short() {
		problems = 60
	}
	for n := range problems {
		for _, limit := range []int{0, 1} {
			p := judge.Seeded(n)
			p.MaxRecipes = limit
			a := allocate(p)
			_, served := a.packAndServed()
			looked += leftWrongly(t, n, a.book, served)
		}
	}
	if looked < problems {
		t.Errorf("only %d lots were left over beside one that was used", looked)
	}
}

// leftWrongly fails on every lot that is left while another should rather be,
// and counts the pairs looked at.
func leftWrongly(t *testing.T, n int, b *planning.Book, served *planning.Served) (looked int) {
	left := make([]int, len(b.Lots))
	for i := range b.Lots {
		left[i] = b.Lots[i].Heads
	}
	for i := range served.Classes {
		for _, l := range served.Classes[i].Lots {
			left[l.Lot] -= l.Heads
		}
	}
	for i := range served.Classes {
		c := &served.Classes[i]
		for _, used := range c.Lots {
			for x := range b.Lots {
				if left[x] == 0 || x == used.Lot || b.Of[x] != b.Of[used.Lot] || !b.CanServe(x, c.Pickup, c.Lead, c.MinShelf) {
					continue
				}
				looked++
				if b.Sooner(x, used.Lot) {
					t.Errorf("random problem %d: %d heads of %s are left, and %s serves %s", n, left[x],
						b.Lots[x].Code, b.Lots[used.Lot].Code, c.Pickup)
				}
			}
		}
	}
	return looked
}

// Loose heads in the cooler go before any that still stand, and the lot nearer
// the harvest end before the one behind it.
func TestWhatLiesInTheCoolerAndStandsInFrontGoesFirst(t *testing.T) {
	p := smallFarm()
	for place, code := range []string{"behind", "front"} {
		l := bed(p, code, "B", 12, 0)
		l.BedName, l.At = "1", new(2-place)
	}
	p.Lots = append(p.Lots, planning.Lot{Code: "loose", Variety: "B", Place: planning.Chilled, Heads: 5, Pulled: on(9)})
	order(p, "A", "HEAD", 12, 12)
	plan := packed(t, p)
	if plan.Pulls[0].Lot != "front" || len(plan.Pulls) != 1 || plan.Pulls[0].StopAt != 7 {
		t.Errorf("lifted: %+v", plan.Pulls)
	}
}
