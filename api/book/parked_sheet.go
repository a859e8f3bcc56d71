package book

import (
	"context"
	"fmt"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// park keeps the rows that could not be read for a person.
func (p *OrderPreview) park(tx *store.Tx) error {
	for i, r := range p.Rows {
		if r.Fate != FateParked {
			continue
		}
		row := domain.ParkedRow{ID: fmt.Sprintf("%s.%d", p.Sheet[:16], i), Sheet: r.Sheet, Row: r.Row, Day: r.Day, Cells: r.cells, Fault: *r.Fault}
		there, err := store.Parked.Exists(tx, row.ID)
		if err != nil {
			return err
		}
		if there {
			continue // its file had been replaced and is taken again
		}
		if _, err := store.Parked.Create(tx, row); err != nil {
			return err
		}
	}
	return nil
}

// Parked lists the rows that wait for a person, from a day on, by day and row.
func (b *Book) Parked(ctx context.Context, who Person, from domain.Day) ([]Record[domain.ParkedRow], error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]Record[domain.ParkedRow], error) {
		list, err := store.Parked.List(tx, Query{From: map[string]string{"day": from.String()}})
		slices.SortStableFunc(list, func(a, b Record[domain.ParkedRow]) int {
			if a.Value.Day != b.Value.Day {
				return int(a.Value.Day - b.Value.Day)
			}
			return a.Value.Row - b.Value.Row
		})
		return list, err
	})
}

// SettleParked takes a row off the list: done says how it was settled.
func (b *Book) SettleParked(ctx context.Context, who Person, id, done string, note Note) (Record[domain.ParkedRow], error) {
	if err := who.ask(MayOrder); err != nil {
		return Record[domain.ParkedRow]{}, err
	}
	if note.Base == NoBase {
		return Record[domain.ParkedRow]{}, domain.Refuse(domain.ErrNoMatch, store.Parked.Name, id)
	}
	if done == "" || len(done) > 200 {
		return Record[domain.ParkedRow]{}, domain.Faults{{Place: "done", Code: "required"}}
	}
	return store.Write(ctx, b.store, who.act(note), func(tx *store.Tx) (Record[domain.ParkedRow], error) {
		rec, err := store.Parked.Get(tx, id)
		if err != nil {
			return rec, err
		}
		rec.Value.Done = done
		if rec, err = store.Parked.Replace(tx, rec.Value, note.Base); err != nil {
			return rec, err
		}
		return store.Parked.End(tx, id, rec.Rev)
	})
}
