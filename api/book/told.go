package book

import (
	"cmp"
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// ToldDay is what was told of a day of lifting and packing so far.
type ToldDay struct {
	Day       domain.Day
	Varieties []ToldVariety
	Lifts     []domain.Lift // those that hold, as they were told
	Packings  []domain.Packing
}

// ToldVariety is what was to come out of the beds of a variety by the day's
// paper, and what did.
type ToldVariety struct {
	Variety   string
	Printed   bool         // the day was issued before it was lifted, and Planned is what that said
	Planned   domain.Heads // good heads
	Heads     domain.Heads
	Culls     domain.Heads
	AsPlanned bool // nobody counted it: it follows from what was packed
}

// Told is what was told of a day.
func (b *Book) Told(ctx context.Context, who Person, day domain.Day) (*ToldDay, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*ToldDay, error) {
		on := Query{Equal: map[string]string{"day": day.String()}}
		lifts, err := store.Lifts.Values(tx, on)
		if err != nil {
			return nil, err
		}
		packings, err := store.Packings.Values(tx, on)
		if err != nil {
			return nil, err
		}
		issues, err := store.Issues.Values(tx, on)
		t := &ToldDay{Day: day, Lifts: domain.HoldingLifts(lifts), Packings: packings}
		t.varieties(issues)
		return t, err
	})
}

// varieties holds what came out against the last issue that had a lift on it.
func (t *ToldDay) varieties(issues []domain.Issue) {
	var printed *domain.Issue
	for i := range issues {
		if x := &issues[i]; len(x.Pulls) > 0 && (printed == nil || x.Number > printed.Number) {
			printed = x
		}
	}
	of := func(variety string) *ToldVariety {
		k := slices.IndexFunc(t.Varieties, func(v ToldVariety) bool { return v.Variety == variety })
		if k < 0 {
			k = len(t.Varieties)
			t.Varieties = append(t.Varieties, ToldVariety{Variety: variety, Printed: printed != nil})
		}
		return &t.Varieties[k]
	}
	for _, l := range t.Lifts {
		for _, r := range l.Rows {
			v := of(r.Variety)
			v.Heads, v.Culls, v.AsPlanned = v.Heads+r.Heads, v.Culls+r.Culls, v.AsPlanned || l.AsPlanned
		}
	}
	if printed != nil && len(t.Lifts) > 0 {
		for _, r := range printed.Pulls {
			of(r.Variety).Planned += r.Heads
		}
	}
	slices.SortFunc(t.Varieties, func(a, b ToldVariety) int { return cmp.Compare(a.Variety, b.Variety) })
}

// LastLift is the lift that a person told last, which another may stand instead
// of; nil where only what was packed tells of the lift.
func (t *ToldDay) LastLift() (last *domain.Lift) {
	for i := range t.Lifts {
		if l := &t.Lifts[i]; !l.AsPlanned && (last == nil || l.At.After(last.At)) {
			last = l
		}
	}
	return last
}
