package storetest

import (
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"
)

// Prepared is a book that many tests begin with. The first that wants it fills
// it; the others begin with a copy, which is made faster than the book is.
type Prepared struct {
	mu   sync.Mutex
	copy []byte
}

// Place is a place with the book in it. fill makes the book and writes a copy of
// it to a file, as (*store.Store).Backup does; restore puts the copy in a file
// into a place, as store.Restore does.
func (p *Prepared) Place(t testing.TB, restore func(ctx context.Context, file, place string) error, fill func(file string)) string {
	t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	file := filepath.Join(t.TempDir(), "prepared.db")
	if p.copy == nil {
		fill(file)
		written, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		p.copy = written
	} else if err := os.WriteFile(file, p.copy, 0o600); err != nil {
		t.Fatal(err)
	}
	place := Place(t)
	if err := restore(t.Context(), file, place); err != nil {
		t.Fatal(err)
	}
	return place
}
