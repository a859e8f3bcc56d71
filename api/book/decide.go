package book

import (
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// decide settles something about one line of the plan as of a day. The line is
// named by its base id; what is settled stays until a person changes it.
type decide func(tx *store.Tx, d *domain.Decision, asked domain.Cases, line domain.Line) error

// Promise gives a word for so many cases of a line, as of a day. A word is never
// lowered by promising fewer: Release does that.
func (b *Book) Promise(ctx context.Context, who Person, asOf domain.Day, line string, cases domain.Cases, note Note) (Record[domain.Decision], error) {
	return b.decide(ctx, who, asOf, line, note, func(tx *store.Tx, d *domain.Decision, asked domain.Cases, _ domain.Line) error {
		switch {
		case cases < 1 || cases > asked:
			return domain.Faults{{Place: "cases", Code: "between", Args: map[string]any{"min": 1, "max": int(asked)}}}
		case cases < d.Promised:
			return domain.Refuse(domain.ErrConflict, "line", line, "reason", "word_stands", "cases", int(d.Promised))
		}
		if cases > d.Promised {
			d.Promised, d.PromisedAt = cases, tx.Now
		}
		return nil
	})
}

// Release takes back a word, wholly or down to so many cases: only a person does.
func (b *Book) Release(ctx context.Context, who Person, asOf domain.Day, line string, cases domain.Cases, note Note) (Record[domain.Decision], error) {
	return b.decide(ctx, who, asOf, line, note, func(_ *store.Tx, d *domain.Decision, _ domain.Cases, _ domain.Line) error {
		if cases < 0 || cases >= d.Promised {
			return domain.Faults{{Place: "cases", Code: "between", Args: map[string]any{"min": 0, "max": max(0, int(d.Promised)-1)}}}
		}
		d.Promised = cases
		return nil
	})
}

// Cut holds a line to at most so many cases; nil lifts the cut.
func (b *Book) Cut(ctx context.Context, who Person, asOf domain.Day, line string, most *domain.Cases, note Note) (Record[domain.Decision], error) {
	return b.decide(ctx, who, asOf, line, note, func(_ *store.Tx, d *domain.Decision, _ domain.Cases, _ domain.Line) error {
		if most != nil && *most < d.Promised {
			return domain.Refuse(domain.ErrConflict, "line", line, "reason", "word_stands", "cases", int(d.Promised))
		}
		d.AtMost = most
		return nil
	})
}

// Move takes a line to another pickup day of its carrier.
func (b *Book) Move(ctx context.Context, who Person, asOf domain.Day, line string, to domain.Day, note Note) (Record[domain.Decision], error) {
	return b.decide(ctx, who, asOf, line, note, func(tx *store.Tx, d *domain.Decision, _ domain.Cases, l domain.Line) error {
		cal, err := calendar(tx)
		if err != nil {
			return err
		}
		if !cal.PicksUp(l.Carrier, to) || to < asOf || to.Sub(domain.PickupOf(line)) > domain.MoveReach {
			next, _ := cal.NextPickup(l.Carrier, max(to, asOf))
			return domain.Faults{{Place: "to", Code: "no_pickup", Args: map[string]any{"day": to, "carrier": l.Carrier, "next": next}}}
		}
		d.MovedTo = to
		return nil
	})
}

// Agree notes that the customer takes a substitution on this line, or no longer.
func (b *Book) Agree(ctx context.Context, who Person, asOf domain.Day, line string, agreed bool, note Note) (Record[domain.Decision], error) {
	return b.decide(ctx, who, asOf, line, note, func(_ *store.Tx, d *domain.Decision, _ domain.Cases, _ domain.Line) error {
		d.Agreed = agreed
		return nil
	})
}

// decide finds the line in the plan of asOf, changes its decision and stores it.
// note.Base is the revision of the decision, 0 where none was made yet.
func (b *Book) decide(ctx context.Context, who Person, asOf domain.Day, line string, note Note, settle decide) (Record[domain.Decision], error) {
	if err := who.ask(MayOrder); err != nil {
		return Record[domain.Decision]{}, err
	}
	if note.Base == NoBase {
		return Record[domain.Decision]{}, domain.Refuse(domain.ErrNoMatch, "decision", line)
	}
	return change(ctx, b, who, note, func(tx *store.Tx) (Record[domain.Decision], error) {
		w, err := b.week(tx, asOf)
		if err != nil {
			return Record[domain.Decision]{}, err
		}
		at := slices.IndexFunc(w.Lines, func(l domain.Line) bool { return l.Base == line })
		if at < 0 {
			return Record[domain.Decision]{}, domain.Refuse(domain.ErrNotFound, "line", line)
		}
		var asked domain.Cases
		for _, l := range w.Lines {
			if l.Base == line {
				asked += l.Cases
			}
		}
		was, err := decision(tx, line)
		if err != nil {
			return was, err
		}
		if was.Rev != note.Base {
			return was, domain.Refuse(domain.ErrStale, "decision", line, "revision", was.Rev)
		}
		now := was.Value
		if err := settle(tx, &now, asked, w.Lines[at]); err != nil {
			return was, err
		}
		if err := domain.Check(now).Err(); err != nil {
			return was, err
		}
		if was.Rev == 0 {
			return store.Decisions.Create(tx, now)
		}
		return store.Decisions.Replace(tx, now, note.Base)
	})
}

// Decision is what was settled about a line; at revision 0 nothing was.
func (b *Book) Decision(ctx context.Context, who Person, line string) (Record[domain.Decision], error) {
	if err := who.ask(MayRead); err != nil {
		return Record[domain.Decision]{}, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (Record[domain.Decision], error) { return decision(tx, line) })
}

func decision(tx *store.Tx, line string) (Record[domain.Decision], error) {
	if there, err := store.Decisions.Exists(tx, line); err != nil || !there {
		return Record[domain.Decision]{Value: domain.Decision{Line: line}}, err
	}
	return store.Decisions.Get(tx, line)
}
