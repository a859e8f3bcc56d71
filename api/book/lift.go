package book

import (
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner"
)

// LiftCount is heads truly lifted of a lot, or of a variety where Lot is "" (in
// one bed where Bed names it): they are then spread over what the plan lifts of
// it that day, the first lot first.
type LiftCount struct {
	Lot     string
	Variety string
	Bed     string
	Rafts   domain.HalfRafts
	Heads   domain.Heads
	Culls   domain.Heads
}

// LiftTold is the true counts of a day that is not ahead. With Done the beds are
// closed for the day and the next plan is made out of what is in the cooler.
// Instead names a lift of the same day that was told wrongly: this one stands
// instead of it, and both stay on record. With RestAsPlanned what the plan lifts
// of other varieties was lifted as planned.
type LiftTold struct {
	Day           domain.Day
	Counts        []LiftCount
	Done          bool
	RestAsPlanned bool
	Instead       string
}

// RecordLift takes the morning's true counts. Where the day's packing was told
// first, and its heads taken for lifted as planned, the counts stand instead of
// that for the varieties and lots they tell of, so that no head is there twice.
func (b *Book) RecordLift(ctx context.Context, who Person, told LiftTold, why string) (Record[domain.Lift], error) {
	if err := mayOne(who, MayGrow, MayPack); err != nil {
		return Record[domain.Lift]{}, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (rec Record[domain.Lift], err error) {
		if err := notAhead(tx, told.Day); err != nil {
			return rec, err
		}
		lift, err := b.liftTold(tx, told)
		if err != nil {
			return rec, err
		}
		return b.storeTold(tx, lift)
	})
}

// liftTold is the lift that is told, without an ID yet.
func (b *Book) liftTold(tx *store.Tx, told LiftTold) (lift domain.Lift, err error) {
	was, err := liftBefore(tx, told)
	if err != nil {
		return lift, err
	}
	w, err := b.week(tx, told.Day)
	if err != nil {
		return lift, err
	}
	lift = domain.Lift{Day: told.Day, Done: told.Done, Instead: was.ID, At: tx.Now}
	if lift.Rows, err = rowsTold(w, told, was); err != nil {
		return lift, err
	}
	return lift, domain.Check(lift).Err()
}

// storeTold stores a lift that was told; what it stands instead of holds no more.
func (b *Book) storeTold(tx *store.Tx, lift domain.Lift) (rec Record[domain.Lift], err error) {
	if lift.ID, err = nextID(tx, store.Lifts, "L"); err != nil {
		return rec, err
	}
	if err := strikeLift(tx, lift.Instead, lift); err != nil {
		return rec, err
	}
	return b.keepLift(tx, lift)
}

// tells says whether a count speaks of a row of the plan.
func (c LiftCount) tells(r domain.LiftRow) bool {
	if c.Lot != "" {
		return c.Lot == r.Lot
	}
	return c.Variety == r.Variety && c.from(r.Bed)
}

// missing is the fault of a count of what does not stand in the beds.
func (c LiftCount) missing() string {
	switch {
	case c.Lot != "":
		return "not_in_beds"
	case c.Bed != "":
		return "not_in_bed"
	}
	return "variety_not_in_beds"
}

// from says whether a count takes in what stands in a bed.
func (c LiftCount) from(bed string) bool { return c.Bed == "" || foldKey(c.Bed) == foldKey(bed) }

// liftBefore is the lift that what is told stands instead of: the one it names,
// else the one that was taken for done as planned that day; none has no id.
func liftBefore(tx *store.Tx, told LiftTold) (domain.Lift, error) {
	lifts, err := store.Lifts.Values(tx, Query{Equal: map[string]string{"day": told.Day.String()}})
	if err != nil {
		return domain.Lift{}, err
	}
	holding := domain.HoldingLifts(lifts)
	for _, l := range holding {
		if l.ID == told.Instead || told.Instead == "" && l.AsPlanned {
			return l, nil
		}
	}
	if told.Instead == "" {
		return domain.Lift{}, nil
	}
	ids := []string{}
	for _, l := range holding {
		ids = append(ids, l.ID)
	}
	return domain.Lift{}, domain.Faults{{Place: "instead", Code: "no_such_lift", Args: map[string]any{"day": told.Day, "allowed": ids}}}
}

// rowsTold puts the counts to their lots: those that the plan lifts that day and
// those of the lift they stand instead of. What was only taken for lifted and is
// not told of stays so.
func rowsTold(w *planner.Week, told LiftTold, was domain.Lift) (rows []domain.LiftRow, err error) {
	planned := pullsOf(w, told.Day)
	for _, r := range was.Rows {
		if i := slices.IndexFunc(planned, func(p domain.LiftRow) bool { return p.Lot == r.Lot }); i >= 0 {
			planned[i].Heads, planned[i].Rafts = planned[i].Heads+r.Heads, planned[i].Rafts+r.Rafts
		} else {
			planned = append(planned, r)
		}
	}
	rows = []domain.LiftRow{}
	var faults domain.Faults
	for i, c := range told.Counts {
		of, err := liftRows(w, planned, c)
		if err != nil {
			faults.Add(place("rows", i), c.missing(), "lot", c.Lot, "bed", c.Bed, "variety", c.Variety)
		}
		rows = append(rows, of...)
	}
	rest := planned
	if !told.RestAsPlanned {
		if rest = nil; was.AsPlanned {
			rest = was.Rows
		}
	}
	for _, r := range rest {
		if !slices.ContainsFunc(told.Counts, func(c LiftCount) bool { return c.tells(r) }) {
			rows = append(rows, r)
		}
	}
	return rows, faults.Err()
}

// keepLift stores a lift and tells the batches.
func (b *Book) keepLift(tx *store.Tx, lift domain.Lift) (Record[domain.Lift], error) {
	rec, err := store.Lifts.Create(tx, lift)
	if err != nil {
		return rec, err
	}
	return rec, b.noteLift(tx, lift)
}

// liftRows puts one count to the lots it came from.
func liftRows(w *planner.Week, planned []domain.LiftRow, c LiftCount) ([]domain.LiftRow, error) {
	if c.Lot != "" {
		return lotRow(w, planned, c)
	}
	var rows []domain.LiftRow
	heads, rafts := c.Heads, c.Rafts
	for _, p := range planned {
		if !c.tells(p) {
			continue
		}
		row := p
		row.Heads, row.Culls = min(p.Heads, heads), 0
		heads -= row.Heads
		if c.Rafts > 0 {
			row.Rafts = min(p.Rafts, rafts)
			rafts -= row.Rafts
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		return standingRows(w, c)
	}
	last := &rows[len(rows)-1]
	last.Heads, last.Culls, last.Rafts = last.Heads+heads, c.Culls, last.Rafts+rafts
	return rows, nil
}

// lotRow is a count of one lot: it stands in a bed, or was lifted whole by what
// the count stands instead of. Rafts that are not told are those planned.
func lotRow(w *planner.Week, planned []domain.LiftRow, c LiftCount) ([]domain.LiftRow, error) {
	row := domain.LiftRow{Lot: c.Lot, Rafts: c.Rafts, Heads: c.Heads, Culls: c.Culls}
	for _, p := range planned {
		if p.Lot == c.Lot {
			row.Variety, row.Bed = p.Variety, p.Bed
			if c.Rafts == 0 {
				row.Rafts = p.Rafts
			}
		}
	}
	for _, l := range w.Problem.Lots {
		if l.Code == c.Lot && l.Place == planning.Bed {
			row.Variety, row.Bed = l.Variety, l.BedName
		}
	}
	if row.Variety == "" {
		return nil, domain.ErrNotFound
	}
	return []domain.LiftRow{row}, nil
}

// standingRows takes heads of a variety that the plan does not lift that day
// from the lot that is ready first.
func standingRows(w *planner.Week, c LiftCount) ([]domain.LiftRow, error) {
	var first *planning.Lot
	for i := range w.Problem.Lots {
		l := &w.Problem.Lots[i]
		if l.Place == planning.Bed && l.Variety == c.Variety && c.from(l.BedName) && (first == nil || l.Ready < first.Ready) {
			first = l
		}
	}
	if first == nil {
		return nil, domain.ErrNotFound
	}
	return []domain.LiftRow{{Lot: first.Code, Variety: c.Variety, Bed: first.BedName, Rafts: c.Rafts, Heads: c.Heads, Culls: c.Culls}}, nil
}
