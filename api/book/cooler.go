package book

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner"
	"headtally/planner/stock"
)

// CoolerHeld is what the book holds to lie in the cooler: what who counts it
// finds there, or corrects.
type CoolerHeld struct {
	Loose  []domain.LooseHeads  // by variety and the day they were lifted
	Packed []domain.PackedCount // by lot code, and the line they are packed for
}

// InCooler is what lies in the cooler as of a day.
func (b *Book) InCooler(ctx context.Context, who Person, asOf domain.Day) (*CoolerHeld, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*CoolerHeld, error) {
		facts, w, err := b.weekWithFacts(tx, asOf)
		if err != nil {
			return nil, err
		}
		return coolerHeld(facts, w), nil
	})
}

func coolerHeld(f *domain.Facts, w *planner.Week) *CoolerHeld {
	c := &CoolerHeld{}
	for _, lot := range w.Problem.Lots {
		if lot.Pulled == 0 {
			continue
		}
		at := slices.IndexFunc(c.Loose, func(l domain.LooseHeads) bool { return l.Variety == lot.Variety && l.Pulled == lot.Pulled })
		if at < 0 {
			at = len(c.Loose)
			c.Loose = append(c.Loose, domain.LooseHeads{Variety: lot.Variety, Pulled: lot.Pulled})
		}
		c.Loose[at].Heads += domain.Heads(lot.Heads)
	}
	traces := stock.Traces(f, w.AsOf)
	for _, p := range w.Problem.Packed {
		held := domain.PackedCount{Product: p.Product, Cases: domain.Cases(p.Cases), Trace: traces[p.Code], Pulled: p.Pulled, Line: p.Line}
		for _, v := range p.Contents {
			held.Contents = append(held.Contents, domain.VarietyHeads{Variety: v.Variety, Heads: domain.Heads(v.Heads)})
		}
		c.Packed = append(c.Packed, held)
	}
	slices.SortStableFunc(c.Loose, func(a, b domain.LooseHeads) int {
		return cmp.Or(cmp.Compare(a.Variety, b.Variety), cmp.Compare(a.Pulled, b.Pulled))
	})
	slices.SortStableFunc(c.Packed, func(a, b domain.PackedCount) int {
		return cmp.Or(cmp.Compare(a.Trace, b.Trace), cmp.Compare(a.Product, b.Product), cmp.Compare(a.Pulled, b.Pulled))
	})
	return c
}

// Walked stores a walk whose cooler was counted as people read it off the cases:
// a lot code alone says which case it is, and cases that the book holds for a
// line stay that line's, as far as they were found.
func (b *Book) Walked(ctx context.Context, who Person, c domain.Count, note Note) (Record[domain.Count], error) {
	if err := who.ask(b.Counts.may); err != nil {
		return Record[domain.Count]{}, err
	}
	return change(ctx, b, who, note, func(tx *store.Tx) (Record[domain.Count], error) {
		if len(c.Packed) == 0 {
			return b.Counts.create(tx, c)
		}
		from, err := b.readOff(tx, &c)
		if err != nil {
			return Record[domain.Count]{}, err
		}
		rec, err := b.Counts.create(tx, c)
		return rec, asCounted(err, from)
	})
}

// asCounted gives faults of cases that were parted the place at which they were
// told.
func asCounted(err error, from []int) error {
	var faults domain.Faults
	if !errors.As(err, &faults) {
		return err
	}
	faults = slices.Clone(faults)
	for i, f := range faults {
		for parted, told := range from {
			if rest, is := strings.CutPrefix(f.Place, place("packed", parted)); is {
				faults[i].Place = place("packed", told) + rest
			}
		}
	}
	return faults
}

// readOff completes packed cases that were counted by their lot code; from says
// of each of the parted which of those told it is.
func (b *Book) readOff(tx *store.Tx, c *domain.Count) (from []int, err error) {
	r, err := readRecords(tx, tx.Now)
	if err != nil {
		return nil, err
	}
	facts, w, err := b.weekWithFacts(tx, r.today)
	if err != nil {
		return nil, err
	}
	held := coolerHeld(facts, w).Packed
	var packed []domain.PackedCount
	for i, p := range c.Packed {
		if run := r.run(p.Trace); p.Product == "" && run != nil {
			p.Product = run.Product
		}
		for _, part := range ofLines(p, held) {
			packed, from = append(packed, part), append(from, i)
		}
	}
	c.Packed = packed
	return from, nil
}

// ofLines parts counted cases by the lines that the book holds them for; what is
// more than it holds is nobody's yet.
func ofLines(p domain.PackedCount, held []domain.PackedCount) (list []domain.PackedCount) {
	left := p.Cases
	for _, h := range held {
		same := h.Product == p.Product && h.Trace == p.Trace && (h.Pulled == p.Pulled || p.Pulled == 0)
		if !same || left == 0 && p.Cases > 0 {
			continue
		}
		if p.Pulled == 0 {
			p.Pulled = h.Pulled
		}
		if len(p.Contents) == 0 {
			p.Contents = h.Contents
		}
		h.Cases = min(h.Cases, left)
		left -= h.Cases
		if h.Cases > 0 {
			list = append(list, h)
		}
	}
	if left > 0 || len(list) == 0 {
		p.Cases = left
		list = append(list, p)
	}
	return list
}
