package book

import (
	"fmt"
	"strconv"

	"headtally/domain"
)

// Table is one sheet as it was read: rows of cells, without any meaning yet.
type Table struct {
	Name string
	Rows []TableRow // those with anything in them, in the order of the sheet
}

// TableRow is one row of a sheet. Cells are by column, the first being A; what
// is beyond the last is blank.
type TableRow struct {
	Number int // as the sheet numbers it, 1 being the first
	Cells  []TableCell
}

// CellKind tells apart what a cell holds.
type CellKind uint8

// A formula of which the sheet keeps no value is CellNoValue: nobody knows what
// it would show. An error value such as #REF! is CellBroken, a date cell whose
// number is no day of the calendar CellBadDay. CellHeading, CellHelp and CellWord
// are written, never read: their text is the code of a column, of a hint, or of
// any word, to be put in a language's words.
const (
	CellBlank CellKind = iota
	CellText
	CellNumber
	CellDay
	CellNoValue
	CellBroken
	CellBadDay
	CellHeading
	CellHelp
	CellWord
)

// TableCell is one cell. Text is what it says, for numbers and days in a form that
// does not depend on how the sheet shows them.
type TableCell struct {
	Text   string
	Number float64
	Day    domain.Day
	Kind   CellKind
	Spread bool // it is part of merged cells, and the value stands in the first of them
}

// TextCell is a cell of text; of none it is blank.
func TextCell(text string) TableCell {
	if text == "" {
		return TableCell{}
	}
	return TableCell{Kind: CellText, Text: text}
}

// NumberCell is a cell of a number.
func NumberCell(n float64) TableCell {
	return TableCell{Kind: CellNumber, Number: n, Text: strconv.FormatFloat(n, 'f', -1, 64)}
}

// DayCell is a cell of a day; of no day it is blank.
func DayCell(d domain.Day) TableCell {
	if d.IsZero() {
		return TableCell{}
	}
	return TableCell{Kind: CellDay, Day: d, Text: d.String()}
}

// Add puts a row after the last one: text, whole numbers, rafts, days, or nil
// for a blank cell.
func (t *Table) Add(values ...any) {
	row := TableRow{Number: len(t.Rows) + 1, Cells: make([]TableCell, len(values))}
	for i, v := range values {
		row.Cells[i] = cellOf(v)
	}
	t.Rows = append(t.Rows, row)
}

// cellOf is a cell of a value that the program itself gives.
func cellOf(v any) TableCell {
	switch v := v.(type) {
	case nil:
		return TableCell{}
	case TableCell:
		return v
	case string:
		return TextCell(v)
	case domain.Day:
		return DayCell(v)
	case domain.HalfRafts:
		return NumberCell(float64(v) / 2)
	case float64:
		return NumberCell(v)
	case int:
		return NumberCell(float64(v))
	case domain.Heads:
		return NumberCell(float64(v))
	case domain.Cases:
		return NumberCell(float64(v))
	}
	panic(fmt.Sprintf("book: no cell of a %T", v))
}

// At is the cell of a column, blank beyond the row's end.
func (r *TableRow) At(column int) TableCell {
	if column < 0 || column >= len(r.Cells) {
		return TableCell{}
	}
	return r.Cells[column]
}

// ColumnName is the letters of a column, A being 0.
func ColumnName(column int) string {
	name := ""
	for n := column + 1; n > 0; n = (n - 1) / 26 {
		name = string(rune('A'+(n-1)%26)) + name
	}
	return name
}

// SheetPlace names a place of a sheet: a row of 0 or a column below 0 is left
// out, what is the column's meaning.
func SheetPlace(sheet string, row, column int, what string) domain.SheetPlace {
	place := domain.SheetPlace{Sheet: sheet, Row: row, What: what}
	if column >= 0 {
		place.Column = ColumnName(column)
	}
	return place
}

// cellFault is a fault of one cell; args are pairs of a name and a value.
func cellFault(sheet string, row, column int, what string, code string, args ...any) domain.Fault {
	return SheetPlace(sheet, row, column, what).Fault(code, args...)
}

// located is a fault of a record that was made from a sheet, at the place it was made
// from.
func located(p domain.SheetPlace, f domain.Fault) domain.Fault {
	f.Place, f.In = p.String(), &p
	return f
}
