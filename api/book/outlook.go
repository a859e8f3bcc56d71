package book

import (
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// Outlook is every variety for every pickup day as far as the farm looks. Days
// beyond the plan hold no heads: what is listed for them is not counted.
type Outlook struct {
	Varieties []domain.Variety
	Days      []domain.Day
	planned   int // so many of Days are covered by the plan
	cells     map[outlookKey]OutlookCell
}

type outlookKey struct {
	variety string
	day     domain.Day
}

// OutlookCell is heads of one variety for one pickup day, by first choices.
type OutlookCell struct {
	Listed  int
	Short   int
	AtRisk  int // of cases there if all comes in, and not sure
	Counted bool
}

// State is how a cell stands; "" where nothing is ordered.
func (c OutlookCell) State() LineState {
	switch {
	case c.Listed == 0:
		return ""
	case !c.Counted:
		return StateNotCounted
	case c.Short > 0:
		return StateShort
	case c.AtRisk > 0:
		return StateAtRisk
	}
	return StateSure
}

// At is one cell.
func (o *Outlook) At(variety string, day domain.Day) OutlookCell {
	return o.cells[outlookKey{variety, day}]
}

// Planned says whether the plan covers a day.
func (o *Outlook) Planned(day domain.Day) bool { return slices.Contains(o.Days[:o.planned], day) }

// Outlook is the outlook as of a day.
func (b *Book) Outlook(ctx context.Context, who Person, asOf domain.Day) (*Outlook, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*Outlook, error) {
		w, err := b.week(tx, asOf)
		if err != nil {
			return nil, err
		}
		facts, err := tx.Facts(asOf)
		if err != nil {
			return nil, err
		}
		o := &Outlook{Varieties: facts.Varieties, Days: slices.Clone(w.Problem.PickupDays), planned: len(w.Problem.PickupDays), cells: map[outlookKey]OutlookCell{}}
		for _, d := range w.Problem.PickupDays {
			o.plan(NewDay(&facts, w, d))
		}
		for _, l := range w.Ahead {
			o.cells[outlookKey{l.Variety, l.Pickup}] = OutlookCell{Listed: int(l.Heads)}
			if !slices.Contains(o.Days, l.Pickup) {
				o.Days = append(o.Days, l.Pickup)
			}
		}
		return o, nil
	})
}

func (o *Outlook) plan(d *Day) {
	for _, row := range d.Tally {
		o.cells[outlookKey{row.Variety.Code, d.Pickup}] = OutlookCell{Listed: row.Listed, Short: row.Short, Counted: row.Counted || row.Short == 0}
	}
	for _, l := range d.Lines {
		for _, s := range l.Product.Slots {
			key := outlookKey{s.Accept[0], d.Pickup}
			c := o.cells[key]
			c.AtRisk += int(s.Heads) * (l.Plan.Filled - l.Plan.Firm)
			o.cells[key] = c
		}
	}
}
