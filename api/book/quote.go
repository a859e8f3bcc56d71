package book

import (
	"cmp"
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner"
	"headtally/planner/orders"
)

// Quote is the answer to "how many could you send me": all figures are cases.
type Quote struct {
	Covered bool // the plan covers the day; else nothing is known
	Asked   domain.Cases
	Sure    domain.Cases // by the cautious counts
	All     domain.Cases // if all comes in
	First   domain.Day   // the first day on which all that was asked could be sent; none: no day planned
}

// Quote says how many cases of a product could be sent on a day on top of
// everything ordered, to a customer or, where none is named, to anybody who
// takes what the farm's defaults say. It changes nothing.
func (b *Book) Quote(ctx context.Context, who Person, asOf domain.Day, product string, pickup domain.Day, cases domain.Cases, customer string) (Quote, error) {
	if err := who.ask(MayRead); err != nil {
		return Quote{}, err
	}
	if cases < 1 || cases > domain.MaxCount {
		return Quote{}, domain.Faults{{Place: "cases", Code: "between", Args: map[string]any{"min": 1, "max": domain.MaxCount}}}
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (Quote, error) {
		w, err := b.week(tx, asOf)
		if err != nil {
			return Quote{}, err
		}
		return b.quote(tx, w, OrderCell{Customer: customer, Product: product, Pickup: pickup, Cases: cases})
	})
}

// QuoteCell says what a cell of a grid would get if it held what is being
// typed: what its orders get already, and what could be added on top.
func (b *Book) QuoteCell(ctx context.Context, who Person, asOf domain.Day, cell OrderCell) (Quote, error) {
	if err := who.ask(MayRead); err != nil {
		return Quote{}, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (Quote, error) {
		w, err := b.week(tx, asOf)
		if err != nil {
			return Quote{}, err
		}
		q := Quote{Asked: cell.Cases, Covered: slices.Contains(w.Problem.PickupDays, cell.Pickup)}
		var have domain.Cases
		for i, l := range w.Lines {
			if l.Customer == cell.Customer && l.Product == cell.Product && l.Pickup == cell.Pickup {
				have, q.Sure, q.All = have+l.Cases, q.Sure+domain.Cases(w.Plan.Lines[i].Firm), q.All+domain.Cases(w.Plan.Lines[i].Filled)
			}
		}
		q.Sure, q.All = min(q.Sure, cell.Cases), min(q.All, cell.Cases)
		if q.All == cell.Cases {
			q.First = cell.Pickup
		}
		if !q.Covered || cell.Cases <= have {
			return q, nil
		}
		more := cell
		more.Cases -= have
		added, err := b.quote(tx, w, more)
		q.Sure, q.All, q.First = q.Sure+added.Sure, q.All+added.All, added.First
		return q, err
	})
}

// quote asks the standing plan for further cases of a cell.
func (b *Book) quote(tx *store.Tx, w *planner.Week, cell OrderCell) (Quote, error) {
	q := Quote{Asked: cell.Cases, Covered: slices.Contains(w.Problem.PickupDays, cell.Pickup)}
	f, err := farm(tx)
	if err != nil || !q.Covered {
		return q, err
	}
	line := domain.Line{Product: cell.Product, Customer: cell.Customer, Pickup: cell.Pickup, Cases: cell.Cases}
	var customer Record[domain.Customer]
	var carrier Record[domain.Carrier]
	if cell.Customer != "" {
		if customer, err = store.Customers.Get(tx, cell.Customer); err != nil {
			return q, err
		}
		if carrier, err = store.Carriers.Get(tx, customer.Value.Carrier); err != nil {
			return q, err
		}
		line.AllOrNone = customer.Value.AllOrNone
	}
	answer, faults := w.Quote(planner.LineFor(&f.Value, line, customer.Value, carrier.Value))
	if len(faults) > 0 {
		return q, domain.Refuse(domain.ErrNotFound, store.Products.Name, cell.Product)
	}
	q.Sure, q.All, q.First = domain.Cases(answer.Sure), domain.Cases(answer.AllIn), answer.FirstDay
	return q, nil
}

// OrderWithWord puts further cases of a product down for a customer and gives a
// word for so many of them, in one change. cell.Cases are the further cases.
func (b *Book) OrderWithWord(ctx context.Context, who Person, cell OrderCell, word domain.Cases, note Note) error {
	if err := who.ask(MayOrder); err != nil {
		return err
	}
	if cell.Cases < 1 || cell.Cases > domain.MaxCount {
		return domain.Faults{{Place: "cases", Code: "between", Args: map[string]any{"min": 1, "max": domain.MaxCount}}}
	}
	if word < 0 || word > cell.Cases {
		return domain.Faults{{Place: "word", Code: "between", Args: map[string]any{"min": 0, "max": int(cell.Cases)}}}
	}
	_, err := change(ctx, b, who, note, func(tx *store.Tx) (struct{}, error) {
		facts, err := tx.Facts(cell.Pickup.Add(-domain.MoveReach))
		if err != nil {
			return struct{}{}, err
		}
		w := &cellWriter{book: b, tx: tx, facts: facts, today: facts.Calendar().Today(tx.Now)}
		order, err := w.ask(cell, cell.Cases)
		if err != nil || word == 0 {
			return struct{}{}, err
		}
		return struct{}{}, addWord(tx, order, cell, word)
	})
	return err
}

// addWord raises the word given for a one-off's product.
func addWord(tx *store.Tx, o domain.Order, cell OrderCell, word domain.Cases) error {
	customer, err := store.Customers.Get(tx, cell.Customer)
	if err != nil {
		return err
	}
	was, err := decision(tx, domain.LineID(o.ID, cell.Product, cmp.Or(o.Carrier, customer.Value.Carrier), o.Pickup))
	if err != nil {
		return err
	}
	now := was.Value
	now.Promised, now.PromisedAt = now.Promised+word, tx.Now
	if was.Rev == 0 {
		_, err = store.Decisions.Create(tx, now)
	} else {
		_, err = store.Decisions.Replace(tx, now, was.Rev)
	}
	return err
}

// Usual is what a customer's standing orders ask for on a day by their terms
// alone: cases by product.
func (b *Book) Usual(ctx context.Context, who Person, customer string, day domain.Day) (map[string]domain.Cases, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (map[string]domain.Cases, error) {
		facts, err := tx.Facts(day.Add(-domain.MoveReach))
		if err != nil {
			return nil, err
		}
		w := &cellWriter{facts: facts}
		bare := w.of(customer)
		bare.Orders = nil
		for i := range bare.Standing {
			bare.Standing[i].Changes = nil
		}
		lines, _ := orders.Lines(&bare, day, day)
		usual := map[string]domain.Cases{}
		for _, l := range lines {
			usual[l.Product] += l.Cases
		}
		return usual, nil
	})
}
