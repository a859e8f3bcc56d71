package book

import (
	"context"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner"
)

// Tally is the heads of every variety for the coming pickups.
type Tally struct {
	Week *planner.Week
	Days []TallyDay // the pickup days planned; the week's Ahead lists those after them
}

// TallyDay is the heads for one pickup day.
type TallyDay struct {
	Pickup domain.Day
	Rows   []TallyRow
}

// Tally is the tally as of a day.
func (b *Book) Tally(ctx context.Context, who Person, asOf domain.Day) (*Tally, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*Tally, error) {
		facts, w, err := b.weekWithFacts(tx, asOf)
		if err != nil {
			return nil, err
		}
		t := &Tally{Week: w}
		for _, d := range w.Problem.PickupDays {
			t.Days = append(t.Days, TallyDay{Pickup: d, Rows: NewDay(facts, w, d).Tally})
		}
		return t, nil
	})
}
