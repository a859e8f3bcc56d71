package book

import (
	"cmp"
	"slices"
	"strconv"

	"headtally/domain"
	"headtally/domain/store"
)

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
