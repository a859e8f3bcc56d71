package book

import (
	"context"
	"fmt"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner"
)

// Backup writes one moment of the book to a file while it is in use.
func (b *Book) Backup(ctx context.Context, who Person, file string) error {
	if err := who.ask(MayManage); err != nil {
		return err
	}
	return b.store.Backup(ctx, file)
}

// Bytes is how large the book is on the disk.
func (b *Book) Bytes(ctx context.Context) (int64, error) { return b.store.Bytes(ctx) }

// InTurn runs fn while no other program on this book runs anything of that name.
func (b *Book) InTurn(ctx context.Context, name string, fn func() error) error {
	return b.store.InTurn(ctx, name, fn)
}

// Check holds the book against what it must be: the file itself, and what the
// records promise each other. It gives what it found, in the order of looking,
// and changes nothing.
func (b *Book) Check(ctx context.Context, who Person, asOf domain.Day) ([]string, error) {
	if err := who.ask(MayManage); err != nil {
		return nil, err
	}
	found := b.store.Check(ctx)
	more, err := store.Read(ctx, b.store, func(tx *store.Tx) ([]string, error) {
		facts, w, err := b.weekWithFacts(tx, asOf)
		if err != nil {
			return nil, err
		}
		return append(append(linesHaveOrders(facts, w), lotsAreNotOverdrawn(w)...), issuesAddUp(facts)...), nil
	})
	return append(found, more...), err
}

// linesHaveOrders finds lines of which the book holds no order.
func linesHaveOrders(f *domain.Facts, w *planner.Week) (found []string) {
	orders := map[string]bool{}
	for _, o := range f.Orders {
		orders[o.ID] = true
	}
	for _, s := range f.Standing {
		orders[s.ID] = true
	}
	for _, l := range w.Lines {
		if !orders[l.Order] {
			found = append(found, fmt.Sprintf("line %s has no order", l.ID))
		}
	}
	return found
}

// lotsAreNotOverdrawn finds lots of which the plan gives more than they hold.
func lotsAreNotOverdrawn(w *planner.Week) (found []string) {
	given := map[string]int{}
	for _, l := range w.Plan.Lines {
		for _, h := range l.Heads {
			given[h.Lot] += h.Heads
		}
	}
	for _, lot := range w.Problem.Lots {
		if given[lot.Code] > lot.Heads {
			found = append(found, fmt.Sprintf("lot %s gives %d heads and holds %d", lot.Code, given[lot.Code], lot.Heads))
		}
	}
	return found
}

// issuesAddUp finds issued runs whose lines, heads and cases do not agree.
func issuesAddUp(f *domain.Facts) (found []string) {
	for _, issue := range f.Issues {
		for i, r := range issue.Runs {
			var cases domain.Cases
			for _, l := range r.Lines {
				cases += l.Cases
			}
			var packed, taken domain.Heads
			for _, c := range r.Contents {
				packed += c.Heads * domain.Heads(r.Cases)
			}
			for _, l := range r.Lots {
				taken += l.Heads
			}
			if cases != r.Cases || packed != taken {
				found = append(found, fmt.Sprintf("issue %d, run %d: %d cases for lines of %d, %d heads packed of %d taken",
					issue.Number, i+1, r.Cases, cases, packed, taken))
			}
		}
	}
	return found
}
