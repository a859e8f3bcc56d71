package store

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"sync"

	"headtally/domain"
)

// The kinds of record about growing. Batch events are only ever created.
var (
	Growing = Kind[domain.Growing]{"growing settings", "growing", func(*domain.Growing) *string { code := "growing"; return &code }, nil}

	Profiles = Kind[domain.Profile]{"growing profile", "profiles", func(v *domain.Profile) *string { return &v.ID },
		func(v *domain.Profile) map[string]any { return map[string]any{"variety": v.Variety} }}
	Beds = Kind[domain.Bed]{"bed", "beds", func(v *domain.Bed) *string { return &v.Code },
		func(v *domain.Bed) map[string]any { return map[string]any{"name": v.Name} }}
	BatchEvents = Kind[domain.BatchEvent]{"batch event", "batch_events", func(v *domain.BatchEvent) *string { return &v.ID },
		func(v *domain.BatchEvent) map[string]any {
			return map[string]any{"batch": v.Batch, "day": v.Day, "lift": v.Lift}
		}}
	Surges = Kind[domain.Surge]{"surge", "surges", func(v *domain.Surge) *string { return &v.ID },
		func(v *domain.Surge) map[string]any { return map[string]any{"day": max(v.From, v.Until)} }}
)

// learnReach is how many days back batches still teach: two years and a season.
const learnReach = 820

// grown reads how the house grows, as of a day.
func (tx *Tx) grown(f *domain.Facts, asOf domain.Day) error {
	growing, err := tx.Growing()
	f.Growing = growing.Value
	var errs [4]error
	f.Profiles, errs[0] = Profiles.Values(tx, Query{})
	f.Beds, errs[1] = Beds.Values(tx, Query{})
	f.Surges, errs[2] = Surges.Values(tx, Query{From: map[string]string{"day": asOf.String()}})
	f.BatchEvents, errs[3] = tx.batchEvents(asOf.Add(-learnReach))
	slices.SortStableFunc(f.Beds, func(a, b domain.Bed) int { return cmp.Or(cmp.Compare(a.Walk, b.Walk), cmp.Compare(a.Code, b.Code)) })
	return errors.Join(err, errors.Join(errs[:]...))
}

// Growing is the growing settings; before any were stored they are the defaults
// at revision 0.
func (tx *Tx) Growing() (Record[domain.Growing], error) {
	if stored, err := Growing.Exists(tx, "growing"); err != nil || !stored {
		return Record[domain.Growing]{Value: domain.NewGrowing()}, err
	}
	return Growing.Get(tx, "growing")
}

// eventLog keeps the batch events read so far. They are only ever added, each
// under the revision that told it, so a later read needs the newer ones alone.
type eventLog struct {
	mu     sync.Mutex
	upTo   int64 // every event told up to this revision is here
	events []domain.BatchEvent
	revs   []int64 // ascending
}

// batchEvents are the events from a day on, in the order in which they were
// told, as of this moment of the book.
func (tx *Tx) batchEvents(since domain.Day) ([]domain.BatchEvent, error) {
	if err := tx.log.read(tx); err != nil {
		return nil, err
	}
	tx.log.mu.Lock()
	n, _ := slices.BinarySearch(tx.log.revs, tx.Revision+1)
	all := tx.log.events[:n:n]
	tx.log.mu.Unlock()
	events := make([]domain.BatchEvent, 0, len(all))
	for _, e := range all {
		if e.Day >= since {
			events = append(events, e)
		}
	}
	if !tx.changed {
		return events, nil
	}
	own, _, err := tx.eventsTold(tx.Next, tx.Next) // told by this transaction itself
	return append(events, own...), err
}

// read brings the log up to the transaction's revision.
func (l *eventLog) read(tx *Tx) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if tx.Revision <= l.upTo {
		return nil
	}
	events, revs, err := tx.eventsTold(l.upTo+1, tx.Revision)
	if err != nil {
		return err
	}
	l.events, l.revs, l.upTo = append(l.events, events...), append(l.revs, revs...), tx.Revision
	return nil
}

// eventsTold reads the events told by the revisions from first to last.
func (tx *Tx) eventsTold(first, last int64) (events []domain.BatchEvent, revs []int64, err error) {
	var rows []row
	err = tx.db.Table("batch_events").Where("rev BETWEEN ? AND ?", first, last).Order("rev, code").Find(&rows).Error
	for _, r := range rows {
		var e domain.BatchEvent
		if err := json.Unmarshal([]byte(r.Body), &e); err != nil {
			return nil, nil, fmt.Errorf("store: batch event %s: %w", r.Code, err)
		}
		events, revs = append(events, e), append(revs, r.Rev)
	}
	return events, revs, err
}
