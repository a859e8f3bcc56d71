package sheets

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"headtally/api/book"
	"headtally/domain"
)

func isEnd(err error) bool { return errors.Is(err, io.EOF) }

// sheetReader reads one sheet as it streams by.
type sheetReader struct {
	*workbook
	d      *xml.Decoder
	ref    sheetRef
	table  book.Table
	row    int
	merged [][4]int // first column, first row, last column, last row
}

func (w *workbook) sheet(ref sheetRef) (book.Table, error) {
	r, err := w.parts.open(ref.part, book.SheetPlace(ref.name, 0, -1, ""))
	if err != nil {
		return book.Table{}, err
	}
	defer r.Close()
	s := &sheetReader{workbook: w, d: xml.NewDecoder(r), ref: ref, table: book.Table{Name: ref.name}}
	for {
		token, err := s.d.Token()
		if isEnd(err) {
			break
		}
		if err != nil {
			return book.Table{}, s.fault(-1, "part_unreadable", "part", ref.part)
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch start.Name.Local {
		case "row":
			err = s.readRow(start)
		case "mergeCell":
			err = s.merge(attr(start.Attr, "ref"))
		}
		if err != nil {
			return book.Table{}, err
		}
	}
	return s.table, s.spread()
}

func (s *sheetReader) fault(column int, code string, args ...any) domain.Faults {
	return fault(book.SheetPlace(s.ref.name, s.row, column, ""), code, args...)
}

func (s *sheetReader) unreadable(column int) error {
	return s.fault(column, "part_unreadable", "part", s.ref.part)
}

// readRow reads a row to its end; one with nothing in it is left out.
func (s *sheetReader) readRow(start xml.StartElement) error {
	number := s.row + 1
	if told := attr(start.Attr, "r"); told != "" {
		n, err := strconv.Atoi(told)
		if err != nil || n <= s.row || n > 1<<20 {
			return s.unreadable(-1)
		}
		number = n
	}
	s.row = number
	row := book.TableRow{Number: number}
	column, filled := 0, false
	for {
		token, err := s.d.Token()
		if err != nil {
			return s.unreadable(-1)
		}
		if end, ok := token.(xml.EndElement); ok && end.Name.Local == "row" {
			break
		}
		c, ok := token.(xml.StartElement)
		if !ok || c.Name.Local != "c" {
			continue
		}
		if told := attr(c.Attr, "r"); told != "" {
			if column, _, ok = position(told); !ok {
				return s.unreadable(-1)
			}
		}
		cell, err := s.cell(c, column)
		if err != nil {
			return err
		}
		if cell.Kind != book.CellBlank {
			if err := s.put(&row, column, cell); err != nil {
				return err
			}
			filled = true
		}
		column++
	}
	if !filled {
		return nil
	}
	if len(s.table.Rows) == s.limits.Rows {
		return s.fault(-1, "too_many_rows", "limit", s.limits.Rows)
	}
	s.table.Rows = append(s.table.Rows, row)
	return nil
}

// put sets a cell of a row, which is made as long as that takes.
func (s *sheetReader) put(row *book.TableRow, column int, cell book.TableCell) error {
	if column >= s.limits.Columns {
		return s.fault(column, "too_many_columns", "limit", s.limits.Columns)
	}
	for len(row.Cells) <= column {
		row.Cells = append(row.Cells, book.TableCell{})
		if s.cells++; s.cells > s.limits.Cells {
			return s.fault(column, "too_many_cells", "limit", s.limits.Cells)
		}
	}
	row.Cells[column] = cell
	return nil
}

// cell reads one cell to its end.
func (s *sheetReader) cell(start xml.StartElement, column int) (book.TableCell, error) {
	kind, style := attr(start.Attr, "t"), attr(start.Attr, "s")
	var value, inline string
	hasValue, formula := false, false
	for {
		token, err := s.d.Token()
		if err != nil {
			return book.TableCell{}, s.unreadable(column)
		}
		if _, ends := token.(xml.EndElement); ends {
			break
		}
		child, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch child.Name.Local {
		case "v":
			value, err = s.chars()
			hasValue = true
		case "is":
			inline, err = richText(s.d)
		case "f":
			formula, err = true, s.d.Skip()
		default:
			err = s.d.Skip()
		}
		if err != nil {
			return book.TableCell{}, s.unreadable(column)
		}
	}
	if formula && (!hasValue || value == "" && kind != "str") {
		return book.TableCell{Kind: book.CellNoValue}, nil
	}
	if kind == "inlineStr" {
		value = inline
	}
	return s.value(kind, style, value, column)
}

// chars reads the text of the element that was just begun, to its end.
func (s *sheetReader) chars() (string, error) {
	var b strings.Builder
	for {
		token, err := s.d.Token()
		if err != nil {
			return "", err
		}
		switch t := token.(type) {
		case xml.CharData:
			b.Write(t)
		case xml.EndElement:
			return b.String(), nil
		case xml.StartElement:
			if err := s.d.Skip(); err != nil {
				return "", err
			}
		}
	}
}

// value makes a cell of its type, its style and what it holds (ECMA-376 Part 1,
// section 18.18.11).
func (s *sheetReader) value(kind, style, value string, column int) (book.TableCell, error) {
	switch kind {
	case "s":
		n, err := strconv.Atoi(strings.TrimSpace(value))
		if err != nil || n < 0 || n >= len(s.texts) {
			return book.TableCell{}, s.unreadable(column)
		}
		return s.text(s.texts[n], column)
	case "str", "inlineStr":
		return s.text(unescape(value), column)
	case "e":
		return book.TableCell{Kind: book.CellBroken, Text: value}, nil
	case "b":
		if isTrue(value) {
			return book.TextCell("TRUE"), nil
		}
		return book.TextCell("FALSE"), nil
	case "d":
		d, err := domain.ParseDay(value[:min(10, len(value))])
		if err != nil {
			return book.TableCell{Kind: book.CellBadDay, Text: value}, nil
		}
		return book.DayCell(d), nil
	}
	if value == "" {
		return book.TableCell{}, nil
	}
	n, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
	if err != nil || math.IsNaN(n) || math.IsInf(n, 0) {
		return book.TableCell{}, s.unreadable(column)
	}
	if i, err := strconv.Atoi(style); err == nil && i >= 0 && i < len(s.days) && s.days[i] {
		d, ok := dayOf(n, s.since1904)
		if !ok {
			return book.TableCell{Kind: book.CellBadDay, Text: value}, nil
		}
		return book.DayCell(d), nil
	}
	return book.NumberCell(n), nil
}

func (s *sheetReader) text(text string, column int) (book.TableCell, error) {
	if len(text) > s.limits.CellRunes && utf8.RuneCountInString(text) > s.limits.CellRunes {
		return book.TableCell{}, s.fault(column, "cell_too_long", "limit", s.limits.CellRunes)
	}
	if strings.TrimSpace(text) == "" {
		return book.TableCell{}, nil
	}
	return book.TextCell(unguard(text)), nil
}

// position reads a place such as B7 as column 1, row 7.
func position(ref string) (column, row int, ok bool) {
	i := 0
	for ; i < len(ref) && i < 3 && ref[i]|0x20 >= 'a' && ref[i]|0x20 <= 'z'; i++ {
		column = 26*column + int(ref[i]|0x20-'a') + 1
	}
	row, err := strconv.Atoi(ref[i:])
	return column - 1, row, i > 0 && err == nil && row > 0
}

func (s *sheetReader) merge(ref string) error {
	first, last, two := strings.Cut(ref, ":")
	if !two {
		return nil
	}
	left, top, ok := position(first)
	right, bottom, also := position(last)
	if !ok || !also || right < left || bottom < top {
		s.row = 0
		return s.unreadable(-1)
	}
	s.merged = append(s.merged, [4]int{left, top, min(right, s.limits.Columns-1), bottom})
	return nil
}

// spread writes the value of merged cells, which a sheet keeps in the first of
// them, into the others.
func (s *sheetReader) spread() error {
	steps := 0
	for _, m := range s.merged {
		at, there := slices.BinarySearchFunc(s.table.Rows, m[1], func(r book.TableRow, n int) int { return r.Number - n })
		if !there {
			continue
		}
		value := s.table.Rows[at].At(m[0])
		if value.Kind == book.CellBlank {
			continue
		}
		value.Spread = true
		for i := at; i < len(s.table.Rows) && s.table.Rows[i].Number <= m[3]; i++ {
			row := &s.table.Rows[i]
			s.row = row.Number
			for column := m[0]; column <= m[2]; column++ {
				if steps++; steps > s.limits.Cells {
					return s.fault(column, "too_many_cells", "limit", s.limits.Cells)
				}
				if row.At(column).Kind == book.CellBlank {
					if err := s.put(row, column, value); err != nil {
						return err
					}
				}
			}
		}
	}
	return nil
}
