package book

import (
	"cmp"
	"context"
	"errors"

	"headtally/domain"
	"headtally/domain/store"
)

// LiftSheet is how a sheet of a lift count is to be read. Lifting is done unless
// Open says that more is to come, and what the sheet does not tell of was then
// lifted as planned. Instead names the lift that it corrects.
type LiftSheet struct {
	Name     string     // of the file
	Day      domain.Day // of the lift, where the sheet has no column for it; left out: today
	Open     bool
	Instead  string
	DayOrder DayOrder
	Why      string
}

// LiftPreview is what taking a lift count would do.
type LiftPreview struct {
	Revision int64
	Sheet    string // the file's fingerprint
	Already  bool   // the same file was taken before
	Lift     domain.Lift
	Counts   int // rows that tell of heads
	Faults   domain.Faults
	Notes    domain.Faults
}

// LiftTaken is the lift that a sheet made.
type LiftTaken struct {
	Sheet    domain.Sheet
	Revision int64
	Already  bool
	Lift     Record[domain.Lift]
}

// PreviewLift reads a lift count: heads and culls by variety, by variety and
// bed, or by lot. It changes nothing.
func (b *Book) PreviewLift(ctx context.Context, who Person, tables []Table, o LiftSheet) (*LiftPreview, error) {
	if err := mayOne(who, MayGrow, MayPack); err != nil {
		return nil, err
	}
	today, err := b.Today(ctx)
	if err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*LiftPreview, error) { return b.previewLift(tx, tables, o, today) })
}

// TakeLift takes a lift count into the book, as the preview of that revision
// showed. The same file again changes nothing.
func (b *Book) TakeLift(ctx context.Context, who Person, tables []Table, o LiftSheet, previewed int64) (*LiftTaken, error) {
	if err := mayOne(who, MayGrow, MayPack); err != nil {
		return nil, err
	}
	today, err := b.Today(ctx)
	if err != nil {
		return nil, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: cmp.Or(o.Why, o.Name)}), func(tx *store.Tx) (*LiftTaken, error) {
		p, err := b.previewLift(tx, tables, o, today)
		if err != nil {
			return nil, err
		}
		return takeSheet(tx, looked{p.Sheet, o.Name, p.Already, p.Faults}, previewed,
			func(before domain.Sheet) *LiftTaken {
				return &LiftTaken{Sheet: before, Revision: tx.Revision, Already: true}
			},
			func() (*LiftTaken, error) {
				rec, err := b.storeTold(tx, p.Lift)
				if err != nil {
					return nil, err
				}
				sheet := domain.Sheet{ID: p.Sheet, Name: o.Name, Kind: domain.LiftSheetKind, Taken: tx.Now, Rows: p.Counts}
				return &LiftTaken{Sheet: sheet, Revision: tx.Next, Lift: rec}, storeSheet(tx, sheet)
			})
	})
}

func (b *Book) previewLift(tx *store.Tx, tables []Table, o LiftSheet, today domain.Day) (*LiftPreview, error) {
	p := &LiftPreview{Revision: tx.Revision, Sheet: fingerprint(tables)}
	var err error
	if p.Already, err = takenBefore(tx, p.Sheet); err != nil || p.Already {
		return p, err // what it told stands already: the beds are no longer as it found them
	}
	t, err := tradeOf(tx)
	if err != nil {
		return nil, err
	}
	r := liftReader{trade: t, order: o.DayOrder, faults: &p.Faults, told: LiftTold{Done: !o.Open, RestAsPlanned: !o.Open, Instead: o.Instead}, rows: map[LiftCount]int{}}
	for i := range tables {
		if isCounted(&tables[i], liftColumns, colHeads) {
			r.read(&tables[i])
		} else {
			p.Notes = append(p.Notes, SheetPlace(tables[i].Name, 0, -1, "").Fault("sheet_passed_over"))
		}
	}
	if p.Counts = len(r.told.Counts); p.Counts == 0 && p.Faults == nil {
		p.Faults = append(p.Faults, domain.SheetPlace{File: o.Name}.Fault("no_count_heading", "columns",
			[]string{string(colVariety), string(colHeads), string(colCulls)}))
	}
	if p.Faults != nil {
		return p, nil
	}
	r.told.Day = cmp.Or(r.told.Day, o.Day, today)
	if err = dayAhead(today, r.told.Day); err == nil {
		p.Lift, err = b.liftTold(tx, r.told)
	}
	var faults domain.Faults
	if errors.As(err, &faults) {
		p.Faults, err = r.located(faults), nil
	}
	return p, err
}

// liftReader makes a lift of sheets.
type liftReader struct {
	trade  *trade
	order  DayOrder
	faults *domain.Faults
	told   LiftTold
	toldAt domain.SheetPlace   // where the day was told
	rows   map[LiftCount]int   // what a row tells of -> the row
	places []domain.SheetPlace // the row of each count
}

func (r *liftReader) read(t *Table) {
	eachRow(t, liftColumns, r.order, r.faults, []column{colHeads}, func(s *sheetFields) {
		r.day(s)
		c := LiftCount{Lot: s.text(colLot), Variety: s.named(colVariety, r.trade.varieties), Bed: s.text(colBed)}
		if s.blank(colLot) && s.blank(colVariety) {
			s.wrong(colVariety, unread("required"))
		}
		if s.blank(colHeads) {
			s.wrong(colHeads, unread("required"))
		}
		if first, twice := r.rows[c]; twice && (c.Lot != "" || c.Variety != "") {
			s.wrong(colVariety, unread("told_twice", "other", SheetPlace(t.Name, first, -1, "")))
		}
		r.rows[c] = s.row.Number
		c.Rafts, c.Heads, c.Culls = s.rafts(colRafts), domain.Heads(s.count(colHeads)), domain.Heads(s.count(colCulls))
		r.told.Counts = append(r.told.Counts, c)
		r.places = append(r.places, SheetPlace(t.Name, s.row.Number, -1, ""))
	})
}

// day reads the day of the lift: told once, or on every row alike.
func (r *liftReader) day(s *sheetFields) {
	d := s.day(colCountDay)
	switch {
	case d == 0 || d == r.told.Day:
	case r.told.Day != 0:
		s.wrong(colCountDay, unread("another_count_day", "day", d, "first", r.told.Day, "other", r.toldAt))
	default:
		r.told.Day, r.toldAt = d, SheetPlace(s.table.Name, s.row.Number, -1, "")
	}
}

// located names the rows of the sheet for faults of the counts.
func (r *liftReader) located(faults domain.Faults) (list domain.Faults) {
	for _, f := range faults {
		for i, row := range r.places {
			if f.Place == place("rows", i) {
				f = located(row, f)
				break
			}
		}
		if f.Place == "day" && r.toldAt.Row > 0 {
			f = located(r.toldAt.Field("day"), f)
		}
		list = append(list, f)
	}
	return list
}
