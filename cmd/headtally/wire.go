package main

import (
	"context"

	"headtally/api/book"
	"headtally/domain/store"
)

// openBook opens the book in a folder; done lets go of it.
func openBook(ctx context.Context, sh surroundings, dir string) (b *book.Book, done func(), err error) {
	s, err := store.Open(ctx, dir, sh.now)
	if err != nil {
		return nil, nil, err
	}
	return book.New(s, sh.now), func() { _ = s.Close() }, nil
}
