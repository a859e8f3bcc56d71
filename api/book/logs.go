package book

import (
	"context"

	"headtally/domain"
	"headtally/domain/store"
)

// Log is the records of one kind that are only added to, by use cases of their
// own: to list and fetch.
type Log[T any] struct {
	book *Book
	kind store.Kind[T]
}

// List is the records a query chooses, by code.
func (l Log[T]) List(ctx context.Context, who Person, q Query) ([]Record[T], error) {
	return Shelf[T]{book: l.book, kind: l.kind}.List(ctx, who, q)
}

// Get is one record.
func (l Log[T]) Get(ctx context.Context, who Person, code string) (Record[T], error) {
	return Shelf[T]{book: l.book, kind: l.kind}.Get(ctx, who, code)
}

// Issued are the packing days' plans as they were printed.
func (b *Book) Issued() Log[domain.Issue] { return Log[domain.Issue]{b, store.Issues} }

// Lifts are the mornings' true counts.
func (b *Book) Lifts() Log[domain.Lift] { return Log[domain.Lift]{b, store.Lifts} }

// Packings are what was packed.
func (b *Book) Packings() Log[domain.Packing] { return Log[domain.Packing]{b, store.Packings} }

// Departures are the pickups that are gone.
func (b *Book) Departures() Log[domain.Departure] { return Log[domain.Departure]{b, store.Departures} }

// Returns are cases that came back.
func (b *Book) Returns() Log[domain.Return] { return Log[domain.Return]{b, store.Returns} }

// BatchEvents are what happened in the house, corrected events too.
func (b *Book) BatchEvents() Log[domain.BatchEvent] {
	return Log[domain.BatchEvent]{b, store.BatchEvents}
}
