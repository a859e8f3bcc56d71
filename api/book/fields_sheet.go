package book

import (
	"strings"

	"headtally/domain"
)

// sheetFields reads the cells of one row after another and gathers every fault.
type sheetFields struct {
	*heading
	table  *Table
	row    *TableRow
	order  DayOrder
	faults *domain.Faults
}

// eachRow finds a sheet's heading and goes through the rows below it that hold
// anything. A column that must be there and is not is a fault, as is a sheet
// without a heading.
func eachRow(t *Table, words columns, order DayOrder, faults *domain.Faults, need []column, do func(*sheetFields)) {
	h, wrong := words.findHeading(t)
	if h == nil {
		if len(t.Rows) > 0 {
			names := make([]string, len(need))
			for i, col := range need {
				names[i] = string(col)
			}
			*faults = append(*faults, SheetPlace(t.Name, 0, -1, "").Fault("no_heading", "columns", names))
		}
		return
	}
	for _, col := range need {
		if !h.has(col) {
			wrong = append(wrong, cellFault(t.Name, t.Rows[h.row].Number, -1, "", "column_missing", "column", string(col)))
		}
	}
	if wrong != nil {
		*faults = append(*faults, wrong...)
		return
	}
	for i := h.row + 1; i < len(t.Rows); i++ {
		row := &t.Rows[i]
		if !h.isBlank(row, nil) && !words.repeats(h, row) && !isTotal(row) {
			do(&sheetFields{heading: h, table: t, row: row, order: order, faults: faults})
		}
	}
}

// wrong adds a fault at a column of the row.
func (s *sheetFields) wrong(col column, m *misread) {
	*s.faults = append(*s.faults, m.at(s.table.Name, s.row.Number, s.index(col), col))
}

// check adds the faults of a record that the row made.
func (s *sheetFields) check(faults domain.Faults) {
	for _, f := range faults {
		*s.faults = append(*s.faults, located(SheetPlace(s.table.Name, s.row.Number, -1, f.Place), f))
	}
}

func (s *sheetFields) blank(col column) bool { return s.cell(s.row, col).Kind == CellBlank }

func (s *sheetFields) text(col column) string {
	text, m := readLine(s.cell(s.row, col), 400)
	if m != nil {
		s.wrong(col, m)
	}
	return text
}

// need is text that must be there.
func (s *sheetFields) need(col column) string {
	text := s.text(col)
	if s.blank(col) {
		s.wrong(col, unread("required"))
	}
	return text
}

// whole is a count from least to most, nil for a blank cell.
func (s *sheetFields) whole(col column, least, most int) *int {
	n, blank, m := readWhole(s.cell(s.row, col), least, most)
	if m != nil {
		s.wrong(col, m)
	}
	if blank || m != nil {
		return nil
	}
	return &n
}

// count is whole with 0 for a blank cell.
func (s *sheetFields) count(col column) int {
	if n := s.whole(col, 0, domain.MaxCount); n != nil {
		return *n
	}
	return 0
}

func (s *sheetFields) rafts(col column) domain.HalfRafts {
	n, m := readRafts(s.cell(s.row, col))
	if m != nil {
		s.wrong(col, m)
	}
	return n
}

// day is a day, none for a blank cell.
func (s *sheetFields) day(col column) domain.Day {
	if s.blank(col) {
		return 0
	}
	d, m := readDay(s.cell(s.row, col), s.order)
	if m != nil {
		s.wrong(col, m)
	}
	return d
}

func (s *sheetFields) yes(col column) bool {
	yes, m := readYes(s.cell(s.row, col))
	if m != nil {
		s.wrong(col, m)
	}
	return yes
}

func (s *sheetFields) weekdays(col column) domain.Weekdays {
	set, m := readWeekdays(s.cell(s.row, col))
	if m != nil {
		s.wrong(col, m)
	}
	return set
}

func (s *sheetFields) clock(col column) domain.Clock {
	if s.blank(col) {
		return 0
	}
	at, m := readClock(s.cell(s.row, col))
	if m != nil {
		s.wrong(col, m)
	}
	return at
}

// named is the code of what a cell names, "" for a blank cell or an unknown
// name, which is a fault.
func (s *sheetFields) named(col column, r *register) string {
	name := s.text(col)
	if name == "" {
		return ""
	}
	return s.find(col, r, name)
}

func (s *sheetFields) find(col column, r *register, name string) string {
	code, m := r.find(name)
	if m == nil {
		return code
	}
	if near := r.nearest(name); len(near) > 0 {
		m = unread(m.code+"_near", append(m.args, "near", namesOf(near))...)
	}
	s.wrong(col, m)
	return ""
}

func namesOf(list []Named) (names []string) {
	for _, n := range list {
		names = append(names, n.Name)
	}
	return names
}

// list are the codes of several names with strokes, semicolons or line breaks
// between them.
func (s *sheetFields) list(col column, r *register) (codes []string) {
	if m := noValue(s.cell(s.row, col)); m != nil {
		s.wrong(col, m)
		return nil
	}
	for _, name := range strings.FieldsFunc(s.cell(s.row, col).Text, func(r rune) bool { return r == '/' || r == ';' || r == '\n' }) {
		if name = strings.Join(strings.Fields(name), " "); name == "" {
			continue
		}
		if code := s.find(col, r, name); code != "" {
			codes = append(codes, code)
		}
	}
	return codes
}

// choice is one of the words allowed, each with what it means; "" for a blank
// cell.
func (s *sheetFields) choice(col column, meant map[string]string, allowed ...string) string {
	if s.blank(col) {
		return ""
	}
	if value, ok := meant[foldKey(s.text(col))]; ok {
		return value
	}
	s.wrong(col, unread("one_of", "allowed", allowed))
	return ""
}
