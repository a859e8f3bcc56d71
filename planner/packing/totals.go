package packing

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// noteWithoutLimit keeps the values of the assignment that knows no limit.
func (w *bench) noteWithoutLimit() {
	substitution, expiring := w.plan.Totals.Substitution, w.plan.Totals.ExpiringUsed
	w.plan.Totals.SubstitutionWithoutLimit, w.plan.Totals.ExpiringUsedWithoutLimit = &substitution, &expiring
}

// retotal writes the values of the assignment as it is now: substitution,
// expiring heads used, and the heads assigned by pickup day and variety.
func (w *bench) retotal() {
	t := &w.plan.Totals
	t.Substitution, t.ExpiringUsed = 0, 0
	assigned := map[dayVariety]int{}
	for _, o := range w.orders {
		for _, p := range o.portions {
			t.Substitution += p.cases * p.substitution
		}
		for _, l := range o.Lots {
			assigned[dayVariety{o.Pickup, w.Of[l.Lot]}] += l.Heads
			if w.Expires(l.Lot) {
				t.ExpiringUsed += l.Heads
			}
		}
	}
	w.retally(assigned)
}

type dayVariety struct {
	pickup  domain.Day
	variety int
}

// retally puts the assigned heads in the tally: rows come and go with them.
func (w *bench) retally(assigned map[dayVariety]int) {
	for i := range w.plan.Tally {
		row := &w.plan.Tally[i]
		at := dayVariety{row.Pickup, w.VarietyIx[row.Variety]}
		row.Assigned = assigned[at]
		delete(assigned, at)
	}
	for at, heads := range assigned {
		w.plan.Tally = append(w.plan.Tally,
			planning.TallyRow{Pickup: at.pickup, Variety: w.Varieties[at.variety].Code, Assigned: heads})
	}
	w.plan.Tally = slices.DeleteFunc(w.plan.Tally, func(r planning.TallyRow) bool {
		return r.Listed == 0 && r.Assigned == 0 && r.Short == 0
	})
	slices.SortFunc(w.plan.Tally, func(x, y planning.TallyRow) int {
		return cmp.Or(cmp.Compare(x.Pickup, y.Pickup), cmp.Compare(w.VarietyIx[x.Variety], w.VarietyIx[y.Variety]))
	})
}
