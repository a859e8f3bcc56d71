package book

import (
	"context"
	"slices"
	"strconv"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner"
	"headtally/planner/stock"
)

// PackedChange is what differs from the plan in one run, counted from 0: so
// many cases were packed. More than its lines asked for are spare.
type PackedChange struct {
	Run   int
	Cases domain.Cases
}

// PackedTold is what was packed on a day: as planned, save for the changes, and
// what became of heads and of cases that went elsewhere. With GoneOnly the day's
// packing is yet to be told: a tray was dropped before it, or a spare case went
// to the stall after it.
type PackedTold struct {
	Day       domain.Day
	GoneOnly  bool
	Changes   []PackedChange
	Gone      []domain.HeadsGone
	GoneCases []domain.CasesGone
}

// RecordPacked takes what was packed on a day that is not ahead. Cases fewer
// than planned are taken from the lines that the plan drops first. Heads out of
// beds whose lifting nobody told were lifted as planned, as far as they were
// packed; a lift told later stands instead of that.
func (b *Book) RecordPacked(ctx context.Context, who Person, told PackedTold, why string) (Record[domain.Packing], error) {
	if err := who.ask(MayPack); err != nil {
		return Record[domain.Packing]{}, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (rec Record[domain.Packing], err error) {
		if err := notAhead(tx, told.Day); err != nil {
			return rec, err
		}
		packing := domain.Packing{Day: told.Day, GoneOnly: told.GoneOnly, Runs: []domain.PackedRun{}, Gone: told.Gone, GoneCases: told.GoneCases, At: tx.Now}
		if told.GoneOnly {
			if len(told.Changes) > 0 {
				return rec, domain.Faults{{Place: "changes", Code: "not_with_gone_only"}}
			}
		} else if err := b.packRuns(tx, &packing, told.Changes); err != nil {
			return rec, err
		}
		if err := checkPacking(tx, &packing); err != nil {
			return rec, err
		}
		if packing.ID, err = nextID(tx, store.Packings, "P"); err != nil {
			return rec, err
		}
		return store.Packings.Create(tx, packing)
	})
}

// packRuns gives a packing the planned runs with their changes, and lifts what
// they took out of beds.
func (b *Book) packRuns(tx *store.Tx, packing *domain.Packing, changes []PackedChange) error {
	facts, w, err := b.weekWithFacts(tx, packing.Day)
	if err != nil {
		return err
	}
	packing.Runs = runsOf(facts, w, packing.Day)
	if err := changeRuns(w, packing, changes); err != nil {
		return err
	}
	return b.liftAsPlanned(tx, w, packing)
}

// checkPacking holds a packing against the records it names.
func checkPacking(tx *store.Tx, packing *domain.Packing) error {
	faults := domain.Check(packing)
	for i, g := range packing.Gone {
		if err := known(tx, store.Varieties, &faults, place("gone", i)+".variety", g.Variety); err != nil {
			return err
		}
	}
	if len(packing.GoneCases) == 0 {
		return faults.Err()
	}
	r, err := readRecords(tx, tx.Now)
	if err != nil {
		return err
	}
	for i, g := range packing.GoneCases {
		if r.run(g.Trace) == nil && g.Trace != "" {
			faults.Add(place("gone_cases", i)+".trace", "unknown", "what", "lot code", "value", g.Trace)
		}
	}
	return faults.Err()
}

// liftAsPlanned takes for lifted what a packing took out of beds on a day: whole
// pulls as planned, of others so many rafts as give what was packed.
func (b *Book) liftAsPlanned(tx *store.Tx, w *planner.Week, packing *domain.Packing) error {
	took := map[string]domain.Heads{}
	for _, r := range packing.Runs {
		for _, l := range r.Lots {
			took[l.Lot] += l.Heads
		}
	}
	lift := domain.Lift{Day: packing.Day, AsPlanned: true, At: tx.Now}
	for _, p := range w.Plan.Pulls {
		if heads := took[p.Lot]; p.Day == packing.Day && heads > 0 {
			lift.Rows = append(lift.Rows, pulledFor(w, p, heads))
			delete(took, p.Lot)
		}
	}
	if len(lift.Rows) == 0 {
		return nil
	}
	var err error
	if lift.ID, err = nextID(tx, store.Lifts, "L"); err != nil {
		return err
	}
	_, err = b.keepLift(tx, lift)
	return err
}

// pulledFor is what was lifted of a pull so that so many heads could be packed.
func pulledFor(w *planner.Week, p planning.Pull, heads domain.Heads) domain.LiftRow {
	row := rowOf(w, p)
	if heads >= domain.Heads(p.StopAt) || p.Rafts == 0 {
		row.Heads = max(heads, domain.Heads(p.HeadsLifted))
		return row
	}
	half := (int(heads)*int(p.Rafts) + p.StopAt - 1) / p.StopAt
	row.Rafts = domain.HalfRafts(half)
	row.Heads = max(heads, domain.Heads(p.HeadsLifted*half/int(p.Rafts)))
	return row
}

// changeRuns brings the planned runs to what was packed.
func changeRuns(w *planner.Week, packing *domain.Packing, changes []PackedChange) error {
	planned := slices.DeleteFunc(slices.Clone(w.Plan.Runs), func(r planning.Run) bool { return r.Pack != packing.Day })
	for i, c := range changes {
		if c.Run < 0 || c.Run >= len(packing.Runs) {
			return domain.Faults{{Place: place("changes", i) + ".run", Code: "between", Args: map[string]any{"min": 0, "max": len(packing.Runs) - 1}}}
		}
		run := &packing.Runs[c.Run]
		run.Lots = stock.ScaledLots(run.Lots, c.Cases, run.Cases)
		missing := run.Cases - c.Cases
		run.Cases = c.Cases
		for _, id := range planned[c.Run].DropFirst {
			for k := range run.Lines {
				if l := &run.Lines[k]; l.Line == id && missing > 0 {
					less := min(missing, l.Cases)
					l.Cases -= less
					missing -= less
				}
			}
		}
		run.Lines = slices.DeleteFunc(run.Lines, func(l domain.LineCases) bool { return l.Cases == 0 })
	}
	packing.Runs = slices.DeleteFunc(packing.Runs, func(r domain.PackedRun) bool { return r.Cases == 0 })
	return nil
}

// notAhead refuses a day that is not here yet by the farm's clock: what was done
// on it is not known.
func notAhead(tx *store.Tx, day domain.Day) error {
	cal, err := calendar(tx)
	if err != nil {
		return err
	}
	return dayAhead(cal.Today(tx.Now), day)
}

func dayAhead(today, day domain.Day) error {
	if day > today {
		return domain.Faults{{Place: "day", Code: "day_ahead", Args: map[string]any{"today": today}}}
	}
	return nil
}

// nextID is the next number of a kind of event.
func nextID[T any](tx *store.Tx, kind store.Kind[T], letter string) (string, error) {
	n, err := kind.Count(tx)
	return letter + strconv.Itoa(n+1), err
}

// mayOne refuses a person who has none of the rights.
func mayOne(who Person, rights ...Right) error {
	for _, r := range rights {
		if who.ask(r) == nil {
			return nil
		}
	}
	return who.ask(rights[0])
}
