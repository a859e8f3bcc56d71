package book

import (
	"context"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner"
	"headtally/planner/stock"
)

// Depart notes that a carrier's pickup is gone, with every case packed for its
// lines that day.
func (b *Book) Depart(ctx context.Context, who Person, carrier string, day domain.Day, why string) (Record[domain.Departure], error) {
	if err := who.ask(MayPack); err != nil {
		return Record[domain.Departure]{}, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (Record[domain.Departure], error) {
		facts, w, err := b.weekWithFacts(tx, day)
		if err != nil {
			return Record[domain.Departure]{}, err
		}
		if !facts.Calendar().PicksUp(carrier, day) {
			return Record[domain.Departure]{}, domain.Refuse(domain.ErrNotFound, "pickup", domain.PickupID(carrier, day))
		}
		return store.Departures.Create(tx, domain.Departure{ID: domain.PickupID(carrier, day), Carrier: carrier, Day: day,
			Took: shipped(w, facts, carrier, day), At: tx.Now})
	})
}

// shipped is what the plan gives to a truck out of packed cases.
func shipped(w *planner.Week, facts *domain.Facts, carrier string, day domain.Day) []domain.Shipped {
	took := []domain.Shipped{}
	traces := stock.Traces(facts, w.AsOf)
	for i, l := range w.Lines {
		if l.Carrier != carrier || l.Pickup != day {
			continue
		}
		for _, p := range w.Plan.Lines[i].Packed {
			took = append(took, domain.Shipped{Packed: p.Code, Trace: traces[p.Code], Line: l.ID, Customer: l.Customer,
				Product: l.Product, PO: l.PO, Cases: domain.Cases(p.Cases)})
		}
	}
	return took
}

// NotCollected moves the lines of a truck that did not come to another day; the
// cases packed for them stay theirs.
func (b *Book) NotCollected(ctx context.Context, who Person, carrier string, day, to domain.Day, why string) (int, error) {
	if err := mayOne(who, MayOrder, MayPack); err != nil {
		return 0, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (int, error) {
		cal, err := calendar(tx)
		if err != nil {
			return 0, err
		}
		if !cal.PicksUp(carrier, to) || to <= day || to.Sub(day) > domain.MoveReach {
			next, _ := cal.NextPickup(carrier, day.Add(1))
			return 0, domain.Faults{{Place: "to", Code: "no_pickup", Args: map[string]any{"day": to, "carrier": carrier, "next": next}}}
		}
		w, err := b.week(tx, day)
		if err != nil {
			return 0, err
		}
		moved := map[string]bool{}
		for _, l := range w.Lines {
			if l.Carrier == carrier && l.Pickup == day && !moved[l.Base] {
				moved[l.Base] = true
				if err := moveLine(tx, l.Base, to); err != nil {
					return 0, err
				}
			}
		}
		if len(moved) == 0 {
			return 0, domain.Refuse(domain.ErrNotFound, "pickup", domain.PickupID(carrier, day))
		}
		return len(moved), nil
	})
}

func moveLine(tx *store.Tx, line string, to domain.Day) error {
	was, err := decision(tx, line)
	if err != nil {
		return err
	}
	now := was.Value
	now.MovedTo = to
	if was.Rev == 0 {
		_, err = store.Decisions.Create(tx, now)
	} else {
		_, err = store.Decisions.Replace(tx, now, was.Rev)
	}
	return err
}

// CameBack notes cases that came back. Those that can be sold again take their
// contents and age from the packing their traceability lot code names.
func (b *Book) CameBack(ctx context.Context, who Person, r domain.Return, why string) (Record[domain.Return], error) {
	if err := who.ask(MayPack); err != nil {
		return Record[domain.Return]{}, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (Record[domain.Return], error) {
		r.At = tx.Now
		faults := domain.Check(r)
		for _, err := range []error{
			known(tx, store.Customers, &faults, "customer", r.Customer),
			known(tx, store.Products, &faults, "product", r.Product),
		} {
			if err != nil {
				return Record[domain.Return]{}, err
			}
		}
		if faults == nil && r.Became == "stock" && (r.Pulled == 0 || len(r.Contents) == 0) {
			told, err := readRecords(tx, tx.Now)
			if err != nil {
				return Record[domain.Return]{}, err
			}
			if run := told.run(r.Trace); run == nil {
				faults.Add("trace", "needed_for_stock")
			} else {
				r.Contents, r.Pulled = run.Contents, oldest(run)
			}
		}
		if faults != nil {
			return Record[domain.Return]{}, faults
		}
		var err error
		if r.ID, err = nextID(tx, store.Returns, "R"); err != nil {
			return Record[domain.Return]{}, err
		}
		return store.Returns.Create(tx, r)
	})
}

// oldest is the day on which the oldest head of a run was lifted.
func oldest(run *domain.PackedRun) domain.Day {
	day := run.Lots[0].Pulled
	for _, l := range run.Lots {
		day = min(day, l.Pulled)
	}
	return day
}
