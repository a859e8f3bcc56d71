package book

import (
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner/growth"
)

// RecordBatches adds what happened to batches. A sowing without a code is given
// one. Heads lifted are a lift of that day too, so that they lie in the cooler
// and are entered once. Nothing is erased: an event that corrects another stands
// instead of it.
func (b *Book) RecordBatches(ctx context.Context, who Person, events []domain.BatchEvent, why string) ([]Record[domain.BatchEvent], error) {
	if err := who.ask(MayGrow); err != nil {
		return nil, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) ([]Record[domain.BatchEvent], error) {
		log, err := b.openLog(tx)
		if err != nil {
			return nil, err
		}
		var faults domain.Faults
		for i := range events {
			if err := log.add(events[i], i, &faults); err != nil {
				return nil, err
			}
		}
		if faults != nil {
			return nil, faults
		}
		return log.write()
	})
}

// BringForward says in one action that everything of a variety now growing will
// be ready so many days earlier than thought; with days below 0, later.
func (b *Book) BringForward(ctx context.Context, who Person, variety string, days int, day domain.Day, why string) ([]Record[domain.BatchEvent], error) {
	return b.RecordBatches(ctx, who, []domain.BatchEvent{{Step: domain.Brought, Variety: variety, Days: -days, Day: day, Why: why}}, why)
}

// BatchView is one batch with all that was told of it, corrected events too.
type BatchView struct {
	Batch      domain.Batch
	Told       []domain.BatchEvent
	Projection *growth.Projection // nil once it has finished
}

// Batches are the batches that have not finished as of a day, with what is
// expected of them by both methods.
func (b *Book) Batches(ctx context.Context, who Person, asOf domain.Day) ([]growth.Projection, error) {
	return reading(ctx, b, who, asOf, func(f *domain.Facts) ([]growth.Projection, error) { return growth.Project(f, asOf), nil })
}

// Batch is one batch as of a day.
func (b *Book) Batch(ctx context.Context, who Person, asOf domain.Day, code string) (*BatchView, error) {
	return reading(ctx, b, who, asOf, func(f *domain.Facts) (*BatchView, error) {
		for _, batch := range domain.Batches(domain.Holding(f.BatchEvents), asOf) {
			if batch.Code != code {
				continue
			}
			v := &BatchView{Batch: *batch}
			for _, e := range f.BatchEvents {
				if e.Batch == code {
					v.Told = append(v.Told, e)
				}
			}
			open := growth.Project(f, asOf)
			if i := slices.IndexFunc(open, func(p growth.Projection) bool { return p.Batch.Code == code }); i >= 0 {
				v.Projection = &open[i]
			}
			return v, nil
		}
		return nil, domain.Refuse(domain.ErrNotFound, "batch", code)
	})
}

// reading is what one read of the book as of a day says.
func reading[T any](ctx context.Context, b *Book, who Person, asOf domain.Day, say func(f *domain.Facts) (T, error)) (T, error) {
	facts, err := b.Facts(ctx, who, asOf)
	if err != nil {
		var none T
		return none, err
	}
	return say(&facts)
}
