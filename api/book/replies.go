package book

import (
	"context"

	"headtally/domain/store"
)

// Reply is the answer to a change, kept under the key its asker gave.
type Reply = store.Reply

// Reply is the answer kept for a person's key, if there is one.
func (b *Book) Reply(ctx context.Context, who Person, key string) (*Reply, error) {
	return store.Read(ctx, b.store, func(tx *store.Tx) (*Reply, error) {
		r, found, err := tx.Reply(who.Own(), key, b.now())
		if err != nil || !found {
			return nil, err
		}
		return &r, nil
	})
}

// Keep makes the next change under the context keep its answer, in the same
// transaction. answer makes it from the change's result. Where another has
// taken the key meanwhile, the change is refused as a conflict.
func (b *Book) Keep(ctx context.Context, who Person, answer func(result any) (Reply, error)) context.Context {
	return store.OnWrite(ctx, func(tx *store.Tx, result any) error {
		r, err := answer(result)
		if err != nil {
			return err
		}
		r.Who = who.Own()
		return tx.KeepReply(r)
	})
}
