package book

import (
	"cmp"
	"context"
	"strconv"
	"strings"

	"headtally/domain"
	"headtally/domain/store"
)

// CountSheet is how a sheet of a walk count is to be read.
type CountSheet struct {
	Name     string     // of the file
	Day      domain.Day // of the walk, where the sheet has no column for it; left out: today
	SpeaksTo domain.Day // the last harvest day it speaks of; left out: the second after the walk
	Whole    bool       // every bed was walked
	DayOrder DayOrder
	Note     string
	Why      string
}

// CountPreview is what taking a count would do.
type CountPreview struct {
	Revision int64
	Sheet    string // the file's fingerprint
	Already  bool   // the same file was taken before
	Count    domain.Count
	Faults   domain.Faults
	Notes    domain.Faults
}

// CountTaken is the count that a sheet made.
type CountTaken struct {
	Sheet    domain.Sheet
	Revision int64
	Already  bool
	Count    Record[domain.Count]
}

// PreviewCount reads a walk count: sheets with a bed and a variety on each row,
// and sheets of what lies in the cooler. It changes nothing.
func (b *Book) PreviewCount(ctx context.Context, who Person, tables []Table, o CountSheet) (*CountPreview, error) {
	if err := who.ask(MayGrow); err != nil {
		return nil, err
	}
	if err := b.countToday(ctx, &o); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*CountPreview, error) { return previewCount(tx, tables, o) })
}

// TakeCount takes a walk count into the book, as the preview of that revision
// showed. The same file again changes nothing.
func (b *Book) TakeCount(ctx context.Context, who Person, tables []Table, o CountSheet, previewed int64) (*CountTaken, error) {
	if err := who.ask(MayGrow); err != nil {
		return nil, err
	}
	if err := b.countToday(ctx, &o); err != nil {
		return nil, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: cmp.Or(o.Why, o.Name)}), func(tx *store.Tx) (*CountTaken, error) {
		p, err := previewCount(tx, tables, o)
		if err != nil {
			return nil, err
		}
		return takeSheet(tx, looked{p.Sheet, o.Name, p.Already, p.Faults}, previewed,
			func(before domain.Sheet) *CountTaken {
				return &CountTaken{Sheet: before, Revision: tx.Revision, Already: true}
			},
			func() (*CountTaken, error) { return b.takeCounted(tx, p, o) })
	})
}

// takeCounted stores the count that a preview shows.
func (b *Book) takeCounted(tx *store.Tx, p *CountPreview, o CountSheet) (*CountTaken, error) {
	rec, err := b.Counts.create(tx, p.Count)
	if err != nil {
		return nil, err
	}
	sheet := domain.Sheet{ID: p.Sheet, Name: o.Name, Kind: domain.CountSheetKind, Taken: tx.Now, Rows: len(p.Count.Beds) + len(p.Count.Loose) + len(p.Count.Packed)}
	return &CountTaken{Sheet: sheet, Revision: tx.Next, Count: rec}, storeSheet(tx, sheet)
}

func (b *Book) countToday(ctx context.Context, o *CountSheet) (err error) {
	if o.Day == 0 {
		o.Day, err = b.Today(ctx)
	}
	return err
}

func previewCount(tx *store.Tx, tables []Table, o CountSheet) (*CountPreview, error) {
	p := &CountPreview{Revision: tx.Revision, Sheet: fingerprint(tables)}
	var err error
	if p.Already, err = takenBefore(tx, p.Sheet); err != nil {
		return nil, err
	}
	t, err := tradeOf(tx)
	if err != nil {
		return nil, err
	}
	c := newCountReader(t, o.Day, o.DayOrder, &p.Faults)
	read := false
	for i := range tables {
		switch {
		case isCounted(&tables[i], countColumns, colBed, colVariety):
			c.beds(&tables[i])
		case isCounted(&tables[i], coolerColumns, colPulled):
			c.cooler(&tables[i])
		default:
			p.Notes = append(p.Notes, SheetPlace(tables[i].Name, 0, -1, "").Fault("sheet_passed_over"))
			continue
		}
		read = true
	}
	if !read {
		p.Faults = append(p.Faults, domain.SheetPlace{File: o.Name}.Fault("no_count_heading", "columns",
			[]string{string(colBed), string(colVariety), string(colRaftsNow), string(colHeadsNow), string(colPulled)}))
	}
	p.Count = c.done()
	p.Count.SpeaksTo, p.Count.Whole, p.Count.Note = o.SpeaksTo, o.Whole, o.Note
	if p.Faults == nil {
		p.Faults = c.check(&p.Count)
	}
	return p, nil
}

// isCounted says whether a sheet has a heading with the columns that make it a
// count.
func isCounted(t *Table, words columns, need ...column) bool {
	h, _ := words.findHeading(t)
	for _, col := range need {
		if h == nil || !h.has(col) {
			return false
		}
	}
	return true
}

// countReader makes a count of sheets.
type countReader struct {
	trade  *trade
	order  DayOrder
	faults *domain.Faults
	count  domain.Count
	told   domain.SheetPlace            // where the day of the walk was told
	rows   map[string]int               // bed and variety -> row
	places map[string]domain.SheetPlace // entry of the count -> the row it was read from
	usual  domain.Day
}

func newCountReader(t *trade, day domain.Day, order DayOrder, faults *domain.Faults) *countReader {
	return &countReader{trade: t, order: order, faults: faults, usual: day, rows: map[string]int{}, places: map[string]domain.SheetPlace{}, count: domain.Count{Beds: []domain.BedCount{}}}
}

// done is the count that was read; a sheet that tells no day speaks of the usual
// one.
func (c *countReader) done() domain.Count {
	c.count.Day = cmp.Or(c.count.Day, c.usual)
	return c.count
}

// at notes the row from which an entry of the count was read.
func (c *countReader) at(s *sheetFields, list string, i int) {
	c.places[place(list, i)] = SheetPlace(s.table.Name, s.row.Number, -1, "")
}

// check holds the count against what its rows cannot say one by one; the faults
// name the rows.
func (c *countReader) check(count *domain.Count) (faults domain.Faults) {
	for _, f := range count.Check() {
		entry, field, _ := strings.Cut(f.Place, ".")
		if row, read := c.places[entry]; read {
			f = located(row.Field(strings.ReplaceAll(field, "_", " ")), f)
		}
		faults = append(faults, f)
	}
	return faults
}

// beds reads a sheet of what stands in the beds.
func (c *countReader) beds(t *Table) {
	eachRow(t, countColumns, c.order, c.faults, []column{colBed, colVariety}, func(s *sheetFields) {
		c.walkDay(s)
		bed := domain.BedCount{Bed: s.need(colBed), Variety: s.named(colVariety, c.trade.varieties),
			RaftsNow: s.rafts(colRaftsNow), RaftsNext: s.rafts(colRaftsNext), RaftsAfter: s.rafts(colRaftsAfter),
			HeadsNow: domain.Heads(s.count(colHeadsNow)), HeadsNext: domain.Heads(s.count(colHeadsNext)), HeadsAfter: domain.Heads(s.count(colHeadsAfter)),
			Poor: s.rafts(colPoor), LastDay: s.day(colLastDay), Place: s.whole(colPlace, 0, domain.MaxCount)}
		if s.blank(colVariety) {
			s.wrong(colVariety, unread("required"))
		}
		if n := s.whole(colPerRaft, 1, 1000); n != nil {
			heads := domain.Heads(*n)
			bed.HeadsPerRaft = &heads
		}
		if rafts := bed.RaftsNow + bed.RaftsNext + bed.RaftsAfter; bed.Poor > rafts && rafts > 0 {
			s.wrong(colPoor, unread("more_poor_than_rafts", "limit", rafts.String()))
		}
		key := bed.Bed + "/" + bed.Variety
		if first, twice := c.rows[key]; twice && bed.Place == nil && bed.Variety != "" {
			s.wrong(colBed, unread("same_bed_and_variety", "other", SheetPlace(t.Name, first, -1, "")))
		}
		c.rows[key] = s.row.Number
		c.at(s, "beds", len(c.count.Beds))
		c.count.Beds = append(c.count.Beds, bed)
	})
}

// walkDay reads the day of the walk: told once, or on every row alike.
func (c *countReader) walkDay(s *sheetFields) {
	d := s.day(colCountDay)
	if d == 0 {
		return
	}
	if c.count.Day != 0 && c.count.Day != d {
		s.wrong(colCountDay, unread("another_count_day", "day", d, "first", c.count.Day, "other", c.told))
		return
	}
	if c.count.Day == 0 {
		c.count.Day, c.told = d, SheetPlace(s.table.Name, s.row.Number, -1, "")
	}
}

// cooler reads a sheet of what lies in the cooler: loose heads of a variety, or
// packed cases, and the day they were pulled.
func (c *countReader) cooler(t *Table) {
	c.count.Cooler = true
	eachRow(t, coolerColumns, c.order, c.faults, []column{colPulled}, func(s *sheetFields) {
		pulled := s.day(colPulled)
		if s.blank(colPulled) {
			s.wrong(colPulled, unread("required"))
		}
		if !s.blank(colProduct) {
			packed := domain.PackedCount{Product: s.named(colProduct, c.trade.products), Cases: domain.Cases(s.count(colCases)), Pulled: pulled, Trace: s.text(colLotCode)}
			packed.Contents = c.contents(s)
			c.at(s, "packed", len(c.count.Packed))
			c.count.Packed = append(c.count.Packed, packed)
			return
		}
		if s.blank(colVariety) {
			s.wrong(colVariety, unread("required"))
		}
		c.at(s, "loose", len(c.count.Loose))
		c.count.Loose = append(c.count.Loose, domain.LooseHeads{Variety: s.named(colVariety, c.trade.varieties), Heads: domain.Heads(s.count(colHeads)), Pulled: pulled})
	})
}

// contents reads what is in a packed case: "6 Red butterhead / 6 Green oakleaf".
func (c *countReader) contents(s *sheetFields) (list []domain.VarietyHeads) {
	for _, part := range strings.FieldsFunc(s.text(colContents), func(r rune) bool { return r == '/' || r == ';' }) {
		number, name, _ := strings.Cut(strings.TrimSpace(part), " ")
		heads, err := strconv.Atoi(number)
		if err != nil || heads < 1 || heads > domain.MaxCount {
			s.wrong(colContents, unread("contents_form", "value", part))
			return nil
		}
		if code := s.find(colContents, c.trade.varieties, strings.TrimSpace(name)); code != "" {
			list = append(list, domain.VarietyHeads{Variety: code, Heads: domain.Heads(heads)})
		}
	}
	return list
}
