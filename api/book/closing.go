package book

import (
	"context"
	"maps"
	"slices"
	"time"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner/orders"
)

// Late is why an order is changed after its pickup was closed: the tick and the
// reason that such a change needs.
type Late string

// The reasons, as an office knows them (common practice).
const (
	LateCustomer  Late = "customer"  // the customer changed their mind
	LateMistake   Late = "mistake"   // we wrote it down wrongly
	LateShort     Late = "short"     // there is not enough after all
	LateTransport Late = "transport" // the truck cannot come, or takes less
)

// Lates lists the reasons for a late change.
var Lates = []Late{LateCustomer, LateMistake, LateShort, LateTransport}

// ClosedReach is how many days ahead a pickup may be closed: its cut-off lies at
// most so many days before it.
const ClosedReach = 14

// closes is the instant at which a carrier's pickup closes, as the clock and
// people have it: a person may close it earlier, or open it again.
func closes(cal *domain.Calendar, closings map[string]domain.Closing, carrier string, day domain.Day) time.Time {
	if c, told := closings[domain.PickupID(carrier, day)]; told {
		if c.Open {
			return cal.At(day.Add(1), 0)
		}
		return c.At
	}
	return cal.Cutoff(carrier, day)
}

// closedLines are the lines of pickups that are closed at tx.Now. The clock
// closes them, whether the machine was on or not.
func closedLines(tx *store.Tx) (map[string]domain.Line, error) {
	yesterday := domain.DayOf(tx.Now).Add(-1) // somewhere on earth it is still
	facts, err := tx.OrderFacts(yesterday, yesterday.Add(2+ClosedReach))
	if err != nil {
		return nil, err
	}
	closings, err := closingsOf(tx, yesterday)
	if err != nil {
		return nil, err
	}
	cal := facts.Calendar()
	today := cal.Today(tx.Now)
	lines, _ := orders.Lines(&facts, today, today.Add(ClosedReach))
	closed := map[string]domain.Line{}
	for _, l := range lines {
		if !tx.Now.Before(closes(cal, closings, l.Carrier, l.Pickup)) {
			closed[l.ID] = l
		}
	}
	return closed, nil
}

func closingsOf(tx *store.Tx, from domain.Day) (map[string]domain.Closing, error) {
	list, err := store.Closings.Values(tx, Query{From: map[string]string{"day": from.String()}})
	return byCode(list, func(c domain.Closing) string { return c.ID }), err
}

// change is a Write that touches orders: without a late reason it may alter no
// line of a pickup that is closed.
func change[T any](ctx context.Context, b *Book, who Person, note Note, fn func(*store.Tx) (T, error)) (T, error) {
	if note.Late != "" && !slices.Contains(Lates, note.Late) {
		var none T
		return none, domain.Faults{{Place: "late", Code: "one_of", Args: map[string]any{"allowed": Lates}}}
	}
	return store.Write(ctx, b.store, who.act(note), func(tx *store.Tx) (T, error) {
		before, err := closedLines(tx)
		if err != nil {
			var none T
			return none, err
		}
		result, err := fn(tx)
		if err != nil || note.Late != "" {
			return result, err
		}
		after, err := closedLines(tx)
		if err != nil {
			return result, err
		}
		return result, unaltered(before, after)
	})
}

// unaltered refuses a change that gave a closed pickup other cases, and names
// the first.
func unaltered(before, after map[string]domain.Line) error {
	ids := slices.Sorted(maps.Keys(before))
	for id := range after {
		if _, known := before[id]; !known {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	for _, id := range ids {
		was, there := before[id]
		is, still := after[id]
		if there && still && sameCases(was, is) {
			continue
		}
		line := is
		if !still {
			line = was
		}
		return domain.Refuse(domain.ErrConflict, "pickup", domain.PickupID(line.Carrier, line.Pickup), "reason", "closed",
			"carrier", line.Carrier, "day", line.Pickup)
	}
	return nil
}

// sameCases says whether two lines ask for the same.
func sameCases(a, b domain.Line) bool {
	cut := func(l domain.Line) domain.Cases {
		if l.AtMost == nil {
			return l.Cases
		}
		return *l.AtMost
	}
	return a.Cases == b.Cases && cut(a) == cut(b) && a.Pickup == b.Pickup && a.Product == b.Product && a.Agreed == b.Agreed
}

// Close closes a carrier's pickup before its cut-off, or with open opens it
// again after.
func (b *Book) Close(ctx context.Context, who Person, carrier string, day domain.Day, open bool, why string) (Record[domain.Closing], error) {
	if err := who.ask(MayOrder); err != nil {
		return Record[domain.Closing]{}, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (Record[domain.Closing], error) {
		cal, err := calendar(tx)
		if err != nil {
			return Record[domain.Closing]{}, err
		}
		id := domain.PickupID(carrier, day)
		if !cal.PicksUp(carrier, day) {
			return Record[domain.Closing]{}, domain.Refuse(domain.ErrNotFound, "pickup", id)
		}
		closing := domain.Closing{ID: id, Carrier: carrier, Day: day, At: tx.Now, Open: open}
		there, err := store.Closings.Exists(tx, id)
		if err != nil {
			return Record[domain.Closing]{}, err
		}
		if !there {
			return store.Closings.Create(tx, closing)
		}
		was, err := store.Closings.Get(tx, id)
		if err != nil {
			return was, err
		}
		return store.Closings.Replace(tx, closing, was.Rev)
	})
}

// Closes is the instant at which each carrier's pickup of a day closes, by the
// carrier's code.
func (b *Book) Closes(ctx context.Context, who Person, day domain.Day) (map[string]time.Time, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (map[string]time.Time, error) {
		cal, err := calendar(tx)
		if err != nil {
			return nil, err
		}
		closings, err := closingsOf(tx, day)
		at := map[string]time.Time{}
		for _, c := range cal.Carriers(day) {
			at[c.Code] = closes(cal, closings, c.Code, day)
		}
		return at, err
	})
}
