package book

import (
	"context"
	"errors"
	"strconv"

	"headtally/domain"
	"headtally/domain/store"
)

// Shelf is the records of one kind: to list, fetch, create, replace and end.
type Shelf[T any] struct {
	book *Book
	kind store.Kind[T]
	may  Right // to change
	// fill completes a value before it is checked: defaults, a code made from
	// the name, the time it came.
	fill func(tx *store.Tx, v *T, taken func(string) bool) error
	// check gives every fault of a value; before is nil for a new one.
	check func(tx *store.Tx, v, before *T) (domain.Faults, error)
	// free refuses to end what others still name.
	free func(tx *store.Tx, v *T) error
}

// MayChange is the right that changing the shelf asks for.
func (s Shelf[T]) MayChange() Right { return s.may }

// Query chooses records of a shelf.
type Query = store.Query

// List is the records a query chooses, by code.
func (s Shelf[T]) List(ctx context.Context, who Person, q Query) ([]Record[T], error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, s.book.store, func(tx *store.Tx) ([]Record[T], error) { return s.kind.List(tx, q) })
}

// Get is one record, ended or not.
func (s Shelf[T]) Get(ctx context.Context, who Person, code string) (Record[T], error) {
	if err := who.ask(MayRead); err != nil {
		return Record[T]{}, err
	}
	return store.Read(ctx, s.book.store, func(tx *store.Tx) (Record[T], error) { return s.kind.Get(tx, code) })
}

// Create stores a new record; its code is made when left out.
func (s Shelf[T]) Create(ctx context.Context, who Person, v T, note Note) (Record[T], error) {
	if err := who.ask(s.may); err != nil {
		return Record[T]{}, err
	}
	return change(ctx, s.book, who, note, func(tx *store.Tx) (Record[T], error) { return s.create(tx, v) })
}

// create is Create within a use case's own transaction.
func (s Shelf[T]) create(tx *store.Tx, v T) (Record[T], error) {
	if err := s.prepare(tx, &v, nil); err != nil {
		return Record[T]{}, err
	}
	return s.kind.Create(tx, v)
}

// Replace stores a new value of a record under its code.
func (s Shelf[T]) Replace(ctx context.Context, who Person, code string, v T, note Note) (Record[T], error) {
	if err := who.ask(s.may); err != nil {
		return Record[T]{}, err
	}
	if note.Base == NoBase {
		return Record[T]{}, domain.Refuse(domain.ErrNoMatch, s.kind.Name, code)
	}
	return change(ctx, s.book, who, note, func(tx *store.Tx) (Record[T], error) { return s.replace(tx, code, v, note.Base) })
}

// replace is Replace within a use case's own transaction.
func (s Shelf[T]) replace(tx *store.Tx, code string, v T, base int64) (Record[T], error) {
	before, err := s.kind.Get(tx, code)
	if err != nil {
		return Record[T]{}, err
	}
	if before.Rev != base {
		return Record[T]{}, domain.Refuse(domain.ErrStale, s.kind.Name, code, "revision", before.Rev)
	}
	if own := s.kind.Code(&v); *own == "" {
		*own = code
	} else if *own != code {
		return Record[T]{}, domain.Faults{{Place: "code", Code: "cannot_change", Args: map[string]any{"code": code}}}
	}
	if err := s.prepare(tx, &v, &before.Value); err != nil {
		return Record[T]{}, err
	}
	return s.kind.Replace(tx, v, base)
}

// End ends a record that nothing else names any more.
func (s Shelf[T]) End(ctx context.Context, who Person, code string, note Note) (Record[T], error) {
	if err := who.ask(s.may); err != nil {
		return Record[T]{}, err
	}
	if note.Base == NoBase {
		return Record[T]{}, domain.Refuse(domain.ErrNoMatch, s.kind.Name, code)
	}
	return change(ctx, s.book, who, note, func(tx *store.Tx) (Record[T], error) {
		rec, err := s.kind.Get(tx, code)
		switch {
		case err != nil:
			return rec, err
		case rec.Rev != note.Base:
			return rec, domain.Refuse(domain.ErrStale, s.kind.Name, code, "revision", rec.Rev)
		case rec.Ended:
			return rec, nil
		}
		if s.free != nil {
			if err := s.free(tx, &rec.Value); err != nil {
				return rec, err
			}
		}
		return s.kind.End(tx, code, note.Base)
	})
}

// prepare completes and checks a value.
func (s Shelf[T]) prepare(tx *store.Tx, v, before *T) error {
	if s.fill != nil {
		var failed error
		taken := func(code string) bool {
			is, err := s.kind.Exists(tx, code)
			failed = errors.Join(failed, err)
			return is && failed == nil
		}
		if err := errors.Join(s.fill(tx, v, taken), failed); err != nil {
			return err
		}
	}
	faults, err := s.check(tx, v, before)
	if err != nil {
		return err
	}
	return faults.Err()
}

// numbered is a code of a letter and the book's revision, which no other record
// made by another change has; more than one of a change are told apart.
func numbered(letter string, tx *store.Tx, taken func(string) bool) string {
	base := letter + strconv.FormatInt(tx.Next, 10)
	code := base
	for n := 2; taken(code); n++ {
		code = base + "." + strconv.Itoa(n)
	}
	return code
}
