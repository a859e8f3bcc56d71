package book

import (
	"context"
	"crypto/sha256"
	"encoding/hex"

	"headtally/domain"
	"headtally/domain/store"
)

// Dropped is a file of sheets that waits for a person to decide about it.
type Dropped = store.Dropped

// DropSheet keeps a file of sheets for store.DroppedLife until a person has
// decided about it, and gives the ID it is found by: every copy of the service
// on this book finds it, also after a restart. The book itself is not changed.
func (b *Book) DropSheet(ctx context.Context, who Person, name string, content []byte) (id string, err error) {
	if err := who.ask(MayOrder); err != nil {
		return "", err
	}
	sum := sha256.Sum256(content)
	d := Dropped{ID: hex.EncodeToString(sum[:16]), Name: name, Bytes: content}
	return store.Write(ctx, b.store, who.act(Note{}), func(tx *store.Tx) (string, error) { return d.ID, tx.KeepDropped(d) })
}

// DroppedSheet is the file of an ID; one that is gone is not found.
func (b *Book) DroppedSheet(ctx context.Context, who Person, id string) (Dropped, error) {
	if err := who.ask(MayOrder); err != nil {
		return Dropped{}, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (Dropped, error) {
		d, found, err := tx.Dropped(id, b.now())
		if err == nil && !found {
			err = domain.Refuse(domain.ErrNotFound, store.Sheets.Name, id)
		}
		return d, err
	})
}
