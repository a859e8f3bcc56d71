package book

import (
	"slices"
	"strings"

	"headtally/domain"
)

// Fate is what becomes of a row of an order sheet.
type Fate string

// The fates of a row. A row of none asks for 0 or nothing, one that is past asks
// for a day before the one the sheet is read on; neither is taken.
const (
	FateLine    Fate = "line"
	FateNone    Fate = "none"
	FateTotal   Fate = "total"
	FatePast    Fate = "past"
	FateRefused Fate = "refused"
	FateParked  Fate = "parked"
)

// RowFate is one row of a sheet, or one figure of a wide sheet, as it was read.
type RowFate struct {
	Sheet     string
	Row       int
	Column    string // the figure's, by letters
	Fate      Fate
	Customer  string // codes
	Product   string
	Day       domain.Day // the pickup day
	Cases     domain.Cases
	PO        string
	Reference string
	Note      string
	Fault     *domain.Fault // why it was refused or parked

	more  domain.Faults // what else is wrong with it
	cells []string
}

// sheetLines reads order sheets into rows. It asks nothing of the book but the
// names and the calendar it is given.
type sheetLines struct {
	trade  *trade
	opts   OrderSheet
	rows   []RowFate
	faults domain.Faults // of the sheets themselves, not of a row
	notes  domain.Faults
	fresh  []domain.Customer // made when the sheet is taken
	cases  []domain.Product
	alike  map[alikeKey]int // -> place in rows

	headings map[string]string // of the first sheet with orders: our column -> its heading
}

type alikeKey struct {
	customer, product, reference string
	day                          domain.Day
}

func readOrderSheets(t *trade, tables []Table, o OrderSheet) *sheetLines {
	s := &sheetLines{trade: t, opts: o, alike: map[alikeKey]int{}}
	s.fresh, s.cases = t.tie(o.Ties, &s.faults)
	read := false
	for i := range tables {
		if o.Sheet != "" && foldKey(tables[i].Name) != foldKey(o.Sheet) {
			continue
		}
		read = s.table(&tables[i]) || read
	}
	if !read && s.faults == nil {
		s.faults = append(s.faults, domain.SheetPlace{File: o.Name}.Fault("no_order_heading", "columns", []string{string(colCustomer), string(colProduct), string(colDay), string(colCases)}))
	}
	return s
}

// vocabulary is the columns of an order sheet with the sender's own headings.
func (o *OrderSheet) vocabulary() columns {
	if len(o.Columns) == 0 {
		return orderColumns
	}
	own := columns{}
	for col, spellings := range orderColumns {
		own[col] = slices.DeleteFunc(slices.Clone(spellings), func(s string) bool {
			for _, told := range o.Columns {
				if foldKey(told) == s {
					return true
				}
			}
			return false
		})
	}
	for col, told := range o.Columns {
		own[column(col)] = []string{foldKey(told)}
	}
	return own
}

// shape is how one sheet is laid out: long, with a line a row, or wide, with a
// column for each product or each day.
type shape struct {
	*heading
	table  *Table
	figure column // cases, heads or dozens; "" in a wide sheet
	day    column // pickup or arrival day; "" where the sheet has none
	wide   []wideColumn
}

// wideColumn is a column that stands for a product or for a day.
type wideColumn struct {
	index   int
	product string // as the heading writes it
	day     TableCell
}

// table reads one sheet; it is false where the sheet holds no orders.
func (s *sheetLines) table(t *Table) bool {
	words := s.opts.vocabulary()
	h, faults := words.findHeading(t)
	if h == nil {
		if len(t.Rows) > 0 {
			s.notes = append(s.notes, SheetPlace(t.Name, 0, -1, "").Fault("sheet_passed_over"))
		}
		return false
	}
	if !h.has(colDay) && !h.has(colArrival) && standsForWeeks(t, h) {
		s.notes = append(s.notes, SheetPlace(t.Name, 0, -1, "").Fault("sheet_of_standing_orders"))
		return false
	}
	sh, more := s.shape(t, h)
	if faults = append(faults, more...); faults != nil {
		s.faults = append(s.faults, faults...)
		return true
	}
	if s.headings == nil {
		s.headings = h.texts(t)
	}
	var wide []int
	for _, w := range sh.wide {
		wide = append(wide, w.index)
	}
	for i := h.row + 1; i < len(t.Rows); i++ {
		row := &t.Rows[i]
		switch {
		case h.isBlank(row, wide), words.repeats(h, row):
		case isTotal(row):
			s.rows = append(s.rows, RowFate{Sheet: t.Name, Row: row.Number, Fate: FateTotal})
		case sh.wide == nil:
			s.line(sh, row, figureAt{sh.index(sh.figure), sh.cell(row, colProduct), sh.index(colProduct), sh.dayCell(row), sh.index(sh.day)})
		default:
			s.wideRow(sh, row)
		}
	}
	return true
}

// standsForWeeks says whether a sheet lists standing orders: it has weekdays.
func standsForWeeks(t *Table, h *heading) bool {
	row := &t.Rows[h.row]
	return slices.ContainsFunc(h.other, func(i int) bool { return standingColumns.column(row.At(i).Text) == colWeekdays })
}

// shape finds out how a sheet is laid out, with a fault for each column that
// is missing.
func (s *sheetLines) shape(t *Table, h *heading) (*shape, domain.Faults) {
	sh := &shape{heading: h, table: t}
	var faults domain.Faults
	missing := func(col column) {
		faults = append(faults, cellFault(t.Name, t.Rows[h.row].Number, -1, "", "column_missing", "column", string(col)))
	}
	for _, col := range []column{colCases, colHeads, colDozens} {
		if h.has(col) && sh.figure != "" {
			faults = append(faults, cellFault(t.Name, t.Rows[h.row].Number, h.at[col], string(col), "heading_twice", "other", ColumnName(h.at[sh.figure])))
		} else if h.has(col) {
			sh.figure = col
		}
	}
	switch {
	case h.has(colDay):
		sh.day = colDay
	case h.has(colArrival):
		sh.day = colArrival
		if s.opts.DaysAfterPickup == nil {
			faults = append(faults, cellFault(t.Name, t.Rows[h.row].Number, h.at[colArrival], string(colArrival), "arrival_not_told"))
		}
	}
	if sh.figure == "" {
		sh.wide = s.wideColumns(sh)
	}
	if !h.has(colCustomer) && s.opts.Customer == "" {
		missing(colCustomer)
	}
	if !h.has(colProduct) && !slices.ContainsFunc(sh.wide, func(w wideColumn) bool { return w.product != "" }) {
		missing(colProduct)
	}
	if sh.day == "" && s.opts.Day == 0 && !slices.ContainsFunc(sh.wide, func(w wideColumn) bool { return w.product == "" }) {
		missing(colDay)
	}
	if sh.figure == "" && sh.wide == nil {
		missing(colCases)
	}
	s.noteOther(sh)
	return sh, faults
}

// wideColumns are the columns without a meaning of their own that stand for a
// product, where the sheet has no product column, or for a day, where it has no
// day column.
func (s *sheetLines) wideColumns(sh *shape) (wide []wideColumn) {
	row := &sh.table.Rows[sh.row]
	for _, i := range sh.other {
		cell := row.At(i)
		switch {
		case totals[foldKey(cell.Text)]:
		case sh.has(colProduct):
			if _, m := readDay(cell, s.opts.DayOrder); m == nil && sh.day == "" {
				wide = append(wide, wideColumn{index: i, day: cell})
			}
		case s.standsForProduct(sh, i, cell):
			wide = append(wide, wideColumn{index: i, product: strings.TrimSpace(cell.Text)})
		}
	}
	return wide
}

// standsForProduct says whether a heading is a product's: one that is known, or
// one with figures below it.
func (s *sheetLines) standsForProduct(sh *shape, i int, cell TableCell) bool {
	if _, m := s.trade.product(s.fixedCustomer(), strings.TrimSpace(cell.Text)); m == nil {
		return true
	}
	for k := sh.row + 1; k < len(sh.table.Rows); k++ {
		c := sh.table.Rows[k].At(i)
		if c.Kind == CellBlank {
			continue
		}
		_, m := readNumber(c)
		return m == nil
	}
	return false
}

func (s *sheetLines) fixedCustomer() string {
	code, _ := s.trade.customers.find(s.opts.Customer)
	return code
}

// noteOther names the columns that are passed over.
func (s *sheetLines) noteOther(sh *shape) {
	row := &sh.table.Rows[sh.row]
	for _, i := range sh.other {
		if !slices.ContainsFunc(sh.wide, func(w wideColumn) bool { return w.index == i }) {
			s.notes = append(s.notes, cellFault(sh.table.Name, row.Number, i, "", "column_passed_over", "value", row.At(i).Text))
		}
	}
}

func (sh *shape) dayCell(row *TableRow) TableCell { return sh.cell(row, sh.day) }

// figureAt is one figure of a row with the cells that say its product and day.
type figureAt struct {
	index      int
	product    TableCell
	productCol int
	day        TableCell
	dayCol     int
}

// wideRow reads a row of a wide sheet: a line for each figure in it.
func (s *sheetLines) wideRow(sh *shape, row *TableRow) {
	some := false
	for _, w := range sh.wide {
		if row.At(w.index).Kind == CellBlank {
			continue
		}
		some = true
		f := figureAt{w.index, sh.cell(row, colProduct), sh.index(colProduct), sh.dayCell(row), sh.index(sh.day)}
		if w.product != "" {
			f.product, f.productCol = TextCell(w.product), w.index
		} else {
			f.day, f.dayCol = w.day, w.index
		}
		s.line(sh, row, f)
	}
	if !some {
		s.rows = append(s.rows, RowFate{Sheet: sh.table.Name, Row: row.Number, Fate: FateNone})
	}
}

// line reads one figure of a row.
func (s *sheetLines) line(sh *shape, row *TableRow, f figureAt) {
	r := lineReader{sheetLines: s, sh: sh, row: row, fate: RowFate{Sheet: sh.table.Name, Row: row.Number, Column: ColumnName(f.index), Fate: FateLine}}
	r.read(f)
	if r.fate.Fate == FateLine {
		r.alikeToNone()
	}
	s.rows = append(s.rows, r.fate)
}
