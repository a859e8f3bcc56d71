package book

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"

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
		issues, err := store.Issues.Values(tx, Query{Ended: true})
		if err != nil {
			return nil, err
		}
		papers, err := papersAreTheirs(tx, issues)
		return slices.Concat(linesHaveOrders(facts, w), lotsAreNotOverdrawn(w), issuesAddUp(issues), papers), err
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
func issuesAddUp(issues []domain.Issue) (found []string) {
	for _, issue := range issues {
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

// papersAreTheirs finds issues whose kept papers are not the ones drawn from the
// plan they name. An issue from before seals were kept has none to be held to.
func papersAreTheirs(tx *store.Tx, issues []domain.Issue) (found []string, err error) {
	for _, issue := range issues {
		for _, name := range slices.Sorted(maps.Keys(issue.Seals)) {
			paper, err := tx.PrintBytes(issue.ID, name)
			if err != nil {
				return found, err
			}
			if seal(issue, paper) != issue.Seals[name] {
				found = append(found, fmt.Sprintf("issue %d, paper %s: it is not the one that was drawn from this plan", issue.Number, name))
			}
		}
	}
	return found, nil
}

// seal binds a paper to the plan it was drawn from: one hash of what the issue
// lifts, packs and gives, and of the paper. The plan is written out field by
// field, so that a field that a later program adds changes no seal.
func seal(issue domain.Issue, paper []byte) string {
	h := sha256.New()
	fmt.Fprintf(h, "%d %s\n", issue.Number, issue.Day)
	for _, p := range issue.Pulls {
		fmt.Fprintf(h, "pull %q %q %d %d\n", p.Lot, p.Variety, p.Rafts, p.Heads)
	}
	for _, r := range issue.Runs {
		fmt.Fprintf(h, "run %s %q %d %q\n", r.Pickup, r.Product, r.Cases, r.Trace)
		for _, c := range r.Contents {
			fmt.Fprintf(h, "holds %q %d\n", c.Variety, c.Heads)
		}
		for _, l := range r.Lots {
			fmt.Fprintf(h, "of %q %d\n", l.Lot, l.Heads)
		}
		for _, l := range r.Lines {
			fmt.Fprintf(h, "for %q %d\n", l.Line, l.Cases)
		}
	}
	for _, g := range issue.Given {
		fmt.Fprintf(h, "given %s %q %q %q %d %d\n", g.Pickup, g.Carrier, g.Customer, g.Product, g.Cases, g.Lacked)
	}
	h.Write(paper)
	return hex.EncodeToString(h.Sum(nil))
}
