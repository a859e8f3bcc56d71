package book

import (
	"headtally/domain"
	"headtally/domain/store"
)

// knownPacked gives packed cases that were counted with their lot code what that
// code tells: what is in them, and when their oldest head was lifted.
func knownPacked(tx *store.Tx, c *domain.Count) error {
	for i := range c.Packed {
		p := &c.Packed[i]
		if p.Trace == "" || len(p.Contents) > 0 && p.Pulled != 0 {
			continue
		}
		run, err := findRun(tx, p.Trace)
		if err != nil {
			return err
		}
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
