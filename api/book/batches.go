package book

import (
	"cmp"
	"context"
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

// RecordBatches adds what happened to batches. A sowing without a code is given
// one. Heads lifted are a lift of that day too, so that they lie in the cooler
// and are entered once. Nothing is erased: an event that corrects another stands
// instead of it.
func (b *Book) RecordBatches(ctx context.Context, who Person, events []domain.BatchEvent, why string) ([]Record[domain.BatchEvent], error) {
	if err := who.ask(MayGrow); err != nil {
		return nil, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) ([]Record[domain.BatchEvent], error) {
		log, err := b.openLog(tx)
		if err != nil {
			return nil, err
		}
		var faults domain.Faults
		for i := range events {
			if err := log.add(events[i], i, &faults); err != nil {
				return nil, err
			}
		}
		if faults != nil {
			return nil, faults
		}
		return log.write()
	})
}

// BringForward says in one action that everything of a variety now growing will
// be ready so many days earlier than thought; with days below 0, later.
func (b *Book) BringForward(ctx context.Context, who Person, variety string, days int, day domain.Day, why string) (Record[domain.BatchEvent], error) {
	told, err := b.RecordBatches(ctx, who, []domain.BatchEvent{{Step: domain.Brought, Variety: variety, Days: -days, Day: day, Why: why}}, why)
	if err != nil {
		return Record[domain.BatchEvent]{}, err
	}
	return told[0], nil
}

// batchLog adds events to those of the book, within one change.
type batchLog struct {
	book    *Book
	tx      *store.Tx
	facts   domain.Facts
	today   domain.Day
	taken   map[string]bool              // codes of batches and events
	byID    map[string]domain.BatchEvent // every event, corrected ones too
	struck  map[string]bool              // ids that another event corrects
	batches map[string]domain.BatchEvent // code -> its sowing
	new     []domain.BatchEvent
	lifts   []domain.Lift // to create
	amended map[string]domain.Lift
}

func (b *Book) openLog(tx *store.Tx) (*batchLog, error) {
	cal, err := calendar(tx)
	if err != nil {
		return nil, err
	}
	l := &batchLog{book: b, tx: tx, today: cal.Today(b.now()), taken: map[string]bool{}, byID: map[string]domain.BatchEvent{},
		struck: map[string]bool{}, batches: map[string]domain.BatchEvent{}, amended: map[string]domain.Lift{}}
	if l.facts, err = tx.Facts(l.today); err != nil {
		return nil, err
	}
	for _, e := range l.facts.BatchEvents {
		l.know(e)
	}
	return l, nil
}

func (l *batchLog) know(e domain.BatchEvent) {
	l.byID[e.ID], l.taken[e.ID] = e, true
	if e.Corrects != "" {
		l.struck[e.Corrects] = true
	}
	if e.Step == domain.Sown {
		l.batches[e.Batch], l.taken[e.Batch] = e, true
	}
}

// add completes and checks the i-th event.
func (l *batchLog) add(e domain.BatchEvent, i int, faults *domain.Faults) error {
	e.At, e.Lift = l.tx.Now, ""
	if e.ID != "" && l.taken[e.ID] {
		faults.Add(place("events", i)+".id", "taken", "value", e.ID)
	}
	e.ID = cmp.Or(e.ID, numbered("E", l.tx, func(code string) bool { return l.taken[code] }))
	if e.Corrects != "" {
		l.completeCorrection(&e)
	}
	if e.Step == domain.Sown && e.Batch == "" && e.Variety != "" && e.Day != 0 {
		e.Batch = l.batchCode(e)
	}
	own := e.Check()
	if own == nil {
		if err := l.check(&e, &own); err != nil {
			return err
		}
	}
	if own != nil {
		*faults = append(*faults, own.Under(place("events", i))...)
		return nil
	}
	if e.Step == domain.Lifted || l.byID[e.Corrects].Lift != "" {
		if err := l.lift(&e); err != nil {
			return err
		}
	}
	l.know(e)
	l.facts.BatchEvents = append(l.facts.BatchEvents, e)
	l.new = append(l.new, e)
	return nil
}

// completeCorrection takes over what a correction need not say again.
func (l *batchLog) completeCorrection(e *domain.BatchEvent) {
	was := l.byID[e.Corrects]
	e.Batch = cmp.Or(e.Batch, was.Batch)
	e.Day = cmp.Or(e.Day, was.Day)
	if e.Step == was.Step {
		e.Variety, e.Bed = cmp.Or(e.Variety, was.Variety), cmp.Or(e.Bed, was.Bed)
	}
}

// batchCode is a code for the labels: the variety and the day of sowing.
func (l *batchLog) batchCode(e domain.BatchEvent) string {
	_, month, day := e.Day.Date()
	base := e.Variety + "-" + pad2(int(month)) + pad2(day)
	code := base
	for n := 2; l.taken[code]; n++ {
		code = base + "." + strconv.Itoa(n)
	}
	return code
}

// check holds an event against the book.
func (l *batchLog) check(e *domain.BatchEvent, faults *domain.Faults) error {
	if e.Day > l.today {
		faults.Add("day", "not_yet", "today", l.today)
	}
	if err := known(l.tx, store.Varieties, faults, "variety", e.Variety); err != nil {
		return err
	}
	sown, there := l.batches[e.Batch]
	switch {
	case e.Step == domain.Sown && there && e.Corrects != sown.ID:
		faults.Add("batch", "taken", "value", e.Batch)
	case e.Batch != "" && e.Step != domain.Sown && !there:
		faults.Add("batch", "unknown", "what", "batch", "value", e.Batch)
	case there && e.Step != domain.Sown && e.Day < sown.Day:
		faults.Add("day", "before_from", "from", sown.Day)
	}
	if e.Corrects != "" {
		l.checkCorrection(e, faults)
	}
	if e.Step == domain.Lifted && len(*faults) == 0 && !l.wasSet(e.Batch, e.Day) {
		faults.Add("batch", "not_set", "batch", e.Batch)
	}
	return l.checkBed(e, faults)
}

func (l *batchLog) checkCorrection(e *domain.BatchEvent, faults *domain.Faults) {
	was, there := l.byID[e.Corrects]
	switch {
	case !there:
		faults.Add("corrects", "unknown", "what", store.BatchEvents.Name, "value", e.Corrects)
	case l.struck[e.Corrects]:
		faults.Add("corrects", "already_corrected", "value", e.Corrects)
	case e.Step != domain.Struck && e.Step != was.Step, e.Batch != was.Batch:
		faults.Add("corrects", "another_step", "step", string(was.Step), "batch", was.Batch)
	}
}

// checkBed holds a bed against those on record, if any are.
func (l *batchLog) checkBed(e *domain.BatchEvent, faults *domain.Faults) error {
	if e.Bed == "" || len(l.facts.Beds) == 0 {
		return nil
	}
	codes := make([]string, len(l.facts.Beds))
	for i, b := range l.facts.Beds {
		codes[i] = b.Code
		if b.Code == e.Bed || b.Name == e.Bed {
			e.Bed = b.Code
			return nil
		}
	}
	faults.Add("bed", "one_of", "allowed", codes)
	return nil
}

// wasSet says whether a batch stood on rafts by a day.
func (l *batchLog) wasSet(batch string, day domain.Day) bool {
	return slices.ContainsFunc(l.facts.BatchEvents, func(e domain.BatchEvent) bool {
		return e.Batch == batch && e.Step == domain.SetOut && e.Day <= day && !l.struck[e.ID]
	})
}

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

// write stores the new events and lifts.
func (l *batchLog) write() (told []Record[domain.BatchEvent], err error) {
	for _, lift := range l.lifts {
		if _, err := store.Lifts.Create(l.tx, lift); err != nil {
			return nil, err
		}
	}
	for id, lift := range l.amended {
		rec, err := store.Lifts.Get(l.tx, id)
		if err != nil {
			return nil, err
		}
		if _, err := store.Lifts.Replace(l.tx, lift, rec.Rev); err != nil {
			return nil, err
		}
	}
	for _, e := range l.new {
		rec, err := store.BatchEvents.Create(l.tx, e)
		if err != nil {
			return nil, err
		}
		told = append(told, rec)
	}
	return told, nil
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

// BatchView is one batch with all that was told of it, corrected events too.
type BatchView struct {
	Batch      domain.Batch
	Told       []domain.BatchEvent
	Projection *growth.Projection // nil once it has finished
}

// Batches are the batches that have not finished as of a day, with what is
// expected of them by both methods.
func (b *Book) Batches(ctx context.Context, who Person, asOf domain.Day) ([]growth.Projection, error) {
	return reading(ctx, b, who, asOf, func(f *domain.Facts) ([]growth.Projection, error) { return growth.Project(f, asOf), nil })
}

// Batch is one batch as of a day.
func (b *Book) Batch(ctx context.Context, who Person, asOf domain.Day, code string) (*BatchView, error) {
	return reading(ctx, b, who, asOf, func(f *domain.Facts) (*BatchView, error) {
		for _, batch := range domain.Batches(domain.Holding(f.BatchEvents), asOf) {
			if batch.Code != code {
				continue
			}
			v := &BatchView{Batch: *batch}
			for _, e := range f.BatchEvents {
				if e.Batch == code {
					v.Told = append(v.Told, e)
				}
			}
			open := growth.Project(f, asOf)
			if i := slices.IndexFunc(open, func(p growth.Projection) bool { return p.Batch.Code == code }); i >= 0 {
				v.Projection = &open[i]
			}
			return v, nil
		}
		return nil, domain.Refuse(domain.ErrNotFound, "batch", code)
	})
}

// reading is what one read of the book as of a day says.
func reading[T any](ctx context.Context, b *Book, who Person, asOf domain.Day, say func(f *domain.Facts) (T, error)) (T, error) {
	facts, err := b.Facts(ctx, who, asOf)
	if err != nil {
		var none T
		return none, err
	}
	return say(&facts)
}
