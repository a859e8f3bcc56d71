package book

import (
	"context"

	"headtally/domain"
	"headtally/domain/store"
)

// CreateVarieties stores a farm's varieties all together or none.
func (b *Book) CreateVarieties(ctx context.Context, who Person, varieties []domain.Variety) error {
	if err := who.ask(MayManage); err != nil {
		return err
	}
	_, err := store.Write(ctx, b.store, who.act(Note{}), func(tx *store.Tx) (struct{}, error) {
		var faults domain.Faults
		for i, v := range varieties {
			_, err := b.Varieties.create(tx, v)
			if f, ok := err.(domain.Faults); ok {
				faults = append(faults, f.Under(place("varieties", i))...)
			} else if err != nil {
				return struct{}{}, err
			}
		}
		return struct{}{}, faults.Err()
	})
	return err
}
