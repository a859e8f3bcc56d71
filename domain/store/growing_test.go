package store

import (
	"context"
	"fmt"
	"sync"
	"testing"
	"time"

	"headtally/domain"
)

func growingBook(t *testing.T, h home) *Store {
	t.Helper()
	s, err := Open(t.Context(), h.place(t), func() time.Time { return time.Date(2027, 3, 1, 6, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func sowing(n int) domain.BatchEvent {
	return domain.BatchEvent{ID: fmt.Sprintf("E%d", n), Batch: fmt.Sprintf("B%d", n), Step: domain.Sown, Day: domain.MustDay("2027-03-01"), Variety: "OAK", Trays: 1}
}

func tell(t *testing.T, s *Store, e domain.BatchEvent) error {
	t.Helper()
	_, err := Write(t.Context(), s, Act{Who: "test"}, func(tx *Tx) (Record[domain.BatchEvent], error) { return BatchEvents.Create(tx, e) })
	return err
}

func events(t *testing.T, s *Store) (list []domain.BatchEvent) {
	t.Helper()
	f, err := Read(t.Context(), s, func(tx *Tx) (domain.Facts, error) { return tx.Facts(domain.MustDay("2027-03-01")) })
	if err != nil {
		t.Fatal(err)
	}
	return f.BatchEvents
}

// Not even the store itself can change or end what was told of a batch.
func TestBatchEventsAreNeverChanged(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := growingBook(t, h)
		if err := tell(t, s, sowing(1)); err != nil {
			t.Fatal(err)
		}
		for name, change := range map[string]func(tx *Tx) error{
			"replaced": func(tx *Tx) error {
				e := sowing(1)
				e.Trays = 9
				_, err := BatchEvents.Replace(tx, e, 1)
				return err
			},
			"ended":   func(tx *Tx) error { _, err := BatchEvents.End(tx, "E1", 1); return err },
			"deleted": func(tx *Tx) error { return tx.db.Exec("DELETE FROM batch_events").Error },
		} {
			if _, err := Write(t.Context(), s, Act{}, func(tx *Tx) (int, error) { return 0, change(tx) }); err == nil {
				t.Errorf("an event was %s", name)
			}
		}
		if list := events(t, s); len(list) != 1 || list[0].Trays != 1 {
			t.Errorf("told: %+v", list)
		}
	})
}

// Readers see the events of their own moment of the book, each once, while
// others tell more and some changes fail.
func TestEventsAreSeenAsOfTheirMoment(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := growingBook(t, h)
		const many = 60
		var wg sync.WaitGroup
		for range 3 {
			wg.Go(func() {
				for range 80 {
					_, err := Read(context.Background(), s, func(tx *Tx) (int, error) {
						list, err := tx.batchEvents(domain.MustDay("2027-01-01"))
						var stored int64
						err2 := tx.db.Table("batch_events").Count(&stored).Error
						if err != nil || err2 != nil || int(stored) != len(list) {
							t.Errorf("revision %d: %d seen, %d stored (%v, %v)", tx.Revision, len(list), stored, err, err2)
						}
						return 0, nil
					})
					if err != nil {
						t.Error(err)
					}
				}
			})
		}
		for n := range many {
			_, err := Write(t.Context(), s, Act{}, func(tx *Tx) (int, error) {
				if _, err := BatchEvents.Create(tx, sowing(n)); err != nil {
					return 0, err
				}
				if _, err := tx.batchEvents(domain.MustDay("2027-01-01")); err != nil {
					return 0, err
				}
				if n%3 == 0 {
					return 0, context.Canceled
				}
				return 0, nil
			})
			if (err != nil) != (n%3 == 0) {
				t.Error(n, err)
			}
		}
		wg.Wait()
		if list := events(t, s); len(list) != many*2/3 {
			t.Errorf("%d events, want %d", len(list), many*2/3)
		}
	})
}

func TestGrowingHasDefaultsUntilTold(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := growingBook(t, h)
		rec, err := Read(t.Context(), s, (*Tx).Growing)
		if err != nil || rec.Rev != 0 || rec.Value.CellsPerTray != domain.NewGrowing().CellsPerTray {
			t.Errorf("%+v, %v", rec, err)
		}
	})
}
