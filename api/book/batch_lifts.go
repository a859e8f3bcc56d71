package book

import (
	"cmp"
	"errors"
	"slices"
	"strconv"
	"strings"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner"
	"headtally/planner/growth"
)

// lift makes the lift that heads of a batch are part of, or amends it where the
// event corrects one.
func (l *batchLog) lift(e *domain.BatchEvent) error {
	was := l.byID[e.Corrects]
	if was.Lift != "" {
		return l.amend(e, was)
	}
	w, err := l.book.week(l.tx, e.Day)
	if err != nil {
		return err
	}
	row := domain.LiftRow{Lot: lotOf(w, l.facts.BatchEvents, e), Variety: l.batches[e.Batch].Variety, Bed: e.Bed, Rafts: e.Rafts, Heads: e.Heads, Culls: e.Culls}
	id, err := nextID(l.tx, store.Lifts, "L")
	if err != nil {
		return err
	}
	if n := len(l.lifts); n > 0 {
		id = l.lifts[n-1].ID
		if l.lifts[n-1].Day == e.Day {
			l.lifts[n-1].Rows = append(l.lifts[n-1].Rows, row)
			e.Lift = id
			return nil
		}
		id += ".2"
	}
	e.Lift = id
	l.lifts = append(l.lifts, domain.Lift{ID: id, Day: e.Day, Rows: []domain.LiftRow{row}, At: l.tx.Now})
	return nil
}

// lotOf is the lot that a batch's heads are lifted from: its own in its bed, or
// the one that a walk counted there.
func lotOf(w *planner.Week, events []domain.BatchEvent, e *domain.BatchEvent) string {
	variety := ""
	for _, x := range events {
		if x.Batch == e.Batch && x.Step == domain.SetOut {
			e.Bed = cmp.Or(e.Bed, x.Bed)
		}
		if x.Batch == e.Batch && x.Step == domain.Sown {
			variety = x.Variety
		}
	}
	own := growth.LotCode(e.Batch, e.Bed)
	found := ""
	for _, lot := range w.Problem.Lots {
		switch {
		case lot.Code == own:
			return own
		case found == "" && lot.Place == planning.Bed && lot.BedName == e.Bed && lot.Variety == variety:
			found = lot.Code
		}
	}
	return cmp.Or(found, own)
}

// amend changes the row of a lift that an event of a batch was.
func (l *batchLog) amend(e *domain.BatchEvent, was domain.BatchEvent) error {
	lift, there := l.amended[was.Lift]
	if !there {
		rec, err := store.Lifts.Get(l.tx, was.Lift)
		if err != nil {
			return err
		}
		lift = rec.Value
		lift.Rows = slices.Clone(lift.Rows)
	}
	i := slices.IndexFunc(lift.Rows, func(r domain.LiftRow) bool {
		return r.Heads == was.Heads && r.Culls == was.Culls && r.Rafts == was.Rafts && (r.Bed == was.Bed || strings.HasPrefix(r.Lot, was.Batch+"/"))
	})
	if i < 0 {
		return domain.Refuse(domain.ErrConflict, store.BatchEvents.Name, was.ID, "reason", "part_of_lift", "other", was.Lift)
	}
	if e.Step == domain.Struck {
		lift.Rows = slices.Delete(lift.Rows, i, i+1)
	} else {
		lift.Rows[i].Rafts, lift.Rows[i].Heads, lift.Rows[i].Culls = e.Rafts, e.Heads, e.Culls
		e.Lift = was.Lift
	}
	l.amended[was.Lift] = lift
	return nil
}

// strikeLift tells the batches that a lift was not as it was told, for another
// stands instead of it.
func strikeLift(tx *store.Tx, was string, now domain.Lift) error {
	if was == "" {
		return nil
	}
	events, err := store.BatchEvents.Values(tx, Query{Equal: map[string]string{"lift": was}})
	if err != nil {
		return err
	}
	all, err := store.BatchEvents.Values(tx, Query{From: map[string]string{"day": now.Day.String()}})
	if err != nil {
		return err
	}
	struck := map[string]bool{}
	for _, e := range all {
		struck[e.Corrects] = true
	}
	for i, e := range events {
		if struck[e.ID] || e.Step != domain.Lifted {
			continue
		}
		strike := domain.BatchEvent{ID: now.ID + ".not" + strconv.Itoa(i+1), Batch: e.Batch, Step: domain.Struck, Day: now.Day, Corrects: e.ID, At: tx.Now}
		if _, err := store.BatchEvents.Create(tx, strike); err != nil {
			return err
		}
	}
	return nil
}

// noteLift tells the batches what a lift took of them.
func (b *Book) noteLift(tx *store.Tx, lift domain.Lift) error {
	facts, err := tx.Facts(lift.Day)
	if err != nil || len(facts.BatchEvents) == 0 {
		return err
	}
	var errs []error
	for _, e := range growth.FromLift(&facts, lift) {
		_, err := store.BatchEvents.Create(tx, e)
		errs = append(errs, err)
	}
	return errors.Join(errs...)
}
