package book

import (
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner"
)

// PackingDay is a day of lifting and packing as it is planned: what its papers
// are drawn from.
type PackingDay struct {
	Facts   *domain.Facts
	Week    *planner.Week
	Day     domain.Day
	Pickups []*Day // those packed on it
	Runs    []domain.PackedRun
	Before  []domain.Issue // the day's issues so far, by number
}

// PackingDays lists the days of the week's plan on which something is lifted or
// packed.
func (b *Book) PackingDays(ctx context.Context, who Person, asOf domain.Day) ([]domain.Day, error) {
	w, err := b.Week(ctx, who, asOf)
	if err != nil {
		return nil, err
	}
	var days []domain.Day
	for _, p := range w.Plan.Pulls {
		days = append(days, p.Day)
	}
	for _, r := range w.Plan.Runs {
		days = append(days, r.Pack)
	}
	slices.Sort(days)
	return slices.Compact(days), nil
}

// PackingDay is one of those days.
func (b *Book) PackingDay(ctx context.Context, who Person, asOf, day domain.Day) (*PackingDay, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*PackingDay, error) {
		facts, w, err := b.weekWithFacts(tx, asOf)
		if err != nil {
			return nil, err
		}
		return newPackingDay(facts, w, day)
	})
}

// newPackingDay picks one day of lifting and packing out of a week's plan.
func newPackingDay(f *domain.Facts, w *planner.Week, day domain.Day) (*PackingDay, error) {
	p := &PackingDay{Facts: f, Week: w, Day: day, Runs: runsOf(f, w, day)}
	var pickups []domain.Day
	for _, r := range w.Plan.Runs {
		if r.Pack == day {
			pickups = append(pickups, r.Pickup)
		}
	}
	slices.Sort(pickups)
	for _, pickup := range slices.Compact(pickups) {
		p.Pickups = append(p.Pickups, NewDay(f, w, pickup))
	}
	for _, issue := range f.Issues {
		if issue.Day == day {
			p.Before = append(p.Before, issue)
		}
	}
	slices.SortFunc(p.Before, func(a, b domain.Issue) int { return a.Number - b.Number })
	if len(p.Runs) == 0 && len(pullsOf(w, day)) == 0 {
		return nil, domain.Refuse(domain.ErrNotFound, "packing day", day.String())
	}
	return p, nil
}

// Issues lists the issues of a packing day, by number.
func (b *Book) Issues(ctx context.Context, who Person, day domain.Day) ([]Record[domain.Issue], error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]Record[domain.Issue], error) {
		list, err := store.Issues.List(tx, Query{Equal: map[string]string{"day": day.String()}})
		slices.SortFunc(list, func(a, b Record[domain.Issue]) int { return a.Value.Number - b.Value.Number })
		return list, err
	})
}

// Printed is one paper of an issue as it was printed.
func (b *Book) Printed(ctx context.Context, who Person, issue, name string) ([]byte, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]byte, error) {
		bytes, err := tx.PrintBytes(issue, name)
		if err == nil && bytes == nil {
			err = domain.Refuse(domain.ErrNotFound, "paper", issue+"/"+name)
		}
		return bytes, err
	})
}

// PrintedNames lists the papers of an issue, in the order in which they are
// handed out.
func (b *Book) PrintedNames(ctx context.Context, who Person, issue string) ([]string, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]string, error) {
		papers, err := tx.Prints(issue)
		names := make([]string, len(papers))
		for i, p := range papers {
			names[i] = p.Name
		}
		return names, err
	})
}
