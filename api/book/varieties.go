package book

import (
	"context"

	"headtally/domain"
	"headtally/domain/store"
)

// CreateVarieties stores several new varieties, all or none; faults are placed
// under "varieties".
func (b *Book) CreateVarieties(ctx context.Context, who Person, varieties []domain.Variety) error {
	return createAll(ctx, b.Varieties, who, "varieties", varieties)
}

// CreateProducts stores several new products, all or none; faults are placed
// under "products".
func (b *Book) CreateProducts(ctx context.Context, who Person, products []domain.Product) error {
	return createAll(ctx, b.Products, who, "products", products)
}

func createAll[T any](ctx context.Context, s Shelf[T], who Person, list string, values []T) error {
	if err := who.ask(s.may); err != nil {
		return err
	}
	_, err := store.Write(ctx, s.book.store, who.act(Note{}), func(tx *store.Tx) (struct{}, error) {
		var faults domain.Faults
		for i, v := range values {
			_, err := s.create(tx, v)
			if f, ok := err.(domain.Faults); ok {
				faults = append(faults, f.Under(place(list, i))...)
			} else if err != nil {
				return struct{}{}, err
			}
		}
		return struct{}{}, faults.Err()
	})
	return err
}
