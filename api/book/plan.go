package book

import (
	"context"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner"
)

// weeksKept is how many plans are kept; those of older revisions go first.
const weeksKept = 8

// Week is the book's plan of the coming pickup days as of a day.
func (b *Book) Week(ctx context.Context, who Person, asOf domain.Day) (*planner.Week, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*planner.Week, error) { return b.week(tx, asOf) })
}

// week plans one moment of the book, or gives the plan kept of it.
func (b *Book) week(tx *store.Tx, asOf domain.Day) (*planner.Week, error) {
	if w := b.keptWeek(tx, asOf); w != nil {
		return w, nil
	}
	_, w, err := b.weekWithFacts(tx, asOf)
	return w, err
}

// weekWithFacts is the week beside the facts that it is planned from.
func (b *Book) weekWithFacts(tx *store.Tx, asOf domain.Day) (*domain.Facts, *planner.Week, error) {
	facts, err := tx.Facts(asOf)
	if err != nil {
		return nil, nil, err
	}
	if w := b.keptWeek(tx, asOf); w != nil {
		return &facts, w, nil
	}
	began := b.now()
	w := planner.PlanWeek(&facts, asOf)
	took := b.now().Sub(began)
	b.mu.Lock()
	defer b.mu.Unlock()
	b.noteWeek(w, took)
	for k := range b.weeks {
		if k.revision < tx.Revision || len(b.weeks) >= weeksKept {
			delete(b.weeks, k)
		}
	}
	b.weeks[weekKey{tx.Revision, asOf}] = w
	return &facts, w, nil
}

// keptWeek is the week where it was planned already.
func (b *Book) keptWeek(tx *store.Tx, asOf domain.Day) *planner.Week {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.weeks[weekKey{tx.Revision, asOf}]
}

// Facts is one read of the whole book as of a day.
func (b *Book) Facts(ctx context.Context, who Person, asOf domain.Day) (domain.Facts, error) {
	if err := who.ask(MayRead); err != nil {
		return domain.Facts{}, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (domain.Facts, error) { return tx.Facts(asOf) })
}
