package book

import (
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// knownPacked gives packed cases that were counted with their lot code what that
// code tells: what is in them, and when their oldest head was lifted.
func knownPacked(tx *store.Tx, c *domain.Count) error {
	lacks := func(p domain.PackedCount) bool { return p.Trace != "" && (len(p.Contents) == 0 || p.Pulled == 0) }
	if !slices.ContainsFunc(c.Packed, lacks) {
		return nil
	}
	r, err := readRecords(tx, tx.Now)
	if err != nil {
		return err
	}
	for i := range c.Packed {
		p := &c.Packed[i]
		if !lacks(*p) {
			continue
		}
		run := r.run(p.Trace)
		if run == nil || run.Product != p.Product {
			continue
		}
		if len(p.Contents) == 0 {
			p.Contents = run.Contents
		}
		if p.Pulled == 0 && len(run.Lots) > 0 {
			p.Pulled = oldest(run)
		}
	}
	return nil
}
