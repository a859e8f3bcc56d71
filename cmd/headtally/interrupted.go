package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"headtally/api/book"
)

// servingMark is the file that lies in a book's folder while it is served. One
// that is found at the start was left by a service that did not end in order.
const servingMark = "serving"

// begin marks a book's folder as served, and says whether the service before was
// cut off; end takes the mark away. A database, which several may serve, bears
// none.
func begin(at place) (cutOff bool, end func(), err error) {
	if at.database != "" {
		return false, func() {}, nil
	}
	mark := filepath.Join(at.folder, servingMark)
	_, err = os.Stat(mark)
	if cutOff = err == nil; !cutOff && !errors.Is(err, fs.ErrNotExist) {
		return false, nil, err
	}
	return cutOff, func() { _ = os.Remove(mark) }, os.WriteFile(mark, nil, 0o600)
}

// papersFirst is where the papers of the next packing day lie, for a morning
// that begins after a power cut; "" where nothing is lifted or packed.
func papersFirst(ctx context.Context, b *book.Book, address string) (string, error) {
	today, err := b.Today(ctx)
	if err != nil {
		return "", err
	}
	days, err := b.PackingDays(ctx, book.Owner(), today)
	if err != nil || len(days) == 0 {
		return "", err
	}
	return fmt.Sprintf("%spapers/%s", address, days[0]), nil
}
