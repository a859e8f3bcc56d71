package book

import (
	"context"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner"
	"headtally/planner/sowing"
)

// GrowingDay is what the papers of growing are drawn from: the sowing table and
// the house as of a day, and the trays sown and the rafts set on it.
type GrowingDay struct {
	Facts domain.Facts
	Day   domain.Day
	Week  *planner.Week
	Table *sowing.Table
	House *planner.House
	Sown  []*domain.Batch
	Set   []SetOfBatch
}

// SetOfBatch is one setting of a batch into rafts.
type SetOfBatch struct {
	Batch *domain.Batch
	Event *domain.BatchEvent
}

// GrowingDay reads a day of growing. With the code of a batch, the trays and
// rafts are all of that batch, whatever the day.
func (b *Book) GrowingDay(ctx context.Context, who Person, day domain.Day, batch string) (*GrowingDay, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*GrowingDay, error) {
		facts, err := tx.Facts(day.Add(-7 * planner.UsualWeeks))
		if err != nil {
			return nil, err
		}
		w, err := b.week(tx, day)
		if err != nil {
			return nil, err
		}
		g := &GrowingDay{Facts: facts, Day: day, Week: w, Table: planner.SowingTable(&facts, day), House: planner.HouseOf(&facts, w)}
		known := g.label(batch)
		if batch != "" && !known {
			return nil, domain.Refuse(domain.ErrNotFound, "batch", batch)
		}
		return g, nil
	})
}

// label finds the trays and rafts that are to have labels, and says whether a
// batch of that code was there.
func (g *GrowingDay) label(code string) (known bool) {
	holding := domain.Holding(g.Facts.BatchEvents)
	last := g.Day
	for _, e := range holding {
		last = max(last, e.Day)
	}
	for _, b := range domain.Batches(holding, last) {
		own := b.Code == code
		known = known || own
		if own || code == "" && b.Sown == g.Day {
			g.Sown = append(g.Sown, b)
		}
		for _, e := range b.Sets {
			if own || code == "" && e.Day == g.Day {
				g.Set = append(g.Set, SetOfBatch{b, e})
			}
		}
	}
	return known
}
