package sheets

import (
	"strings"
	"unicode/utf8"

	"headtally/api/book"
	"headtally/domain"
)

// readCSV reads a file by RFC 4180, with a comma, a semicolon or a tab between
// fields. Beyond the RFC a record may end in LF or CR alone, records may differ
// in length, and a first line "sep=;" names the separator, as spreadsheet
// programs write it.
func readCSV(name string, data []byte, o Limits) (book.Table, Notes, error) {
	text, notes, err := decode(name, data)
	if err != nil {
		return book.Table{}, nil, err
	}
	comma, told := toldSeparator(text)
	first := 1
	if told > 0 {
		text, first = text[told:], 2
	} else {
		comma = sniff(text)
	}
	s := &scanner{text: text, comma: comma, name: name, limits: o, row: first}
	table := book.Table{Name: name}
	for s.pos < len(s.text) {
		number := s.row
		cells, err := s.record()
		if err != nil {
			return book.Table{}, nil, err
		}
		if cells == nil {
			continue
		}
		if len(table.Rows) == o.Rows {
			return book.Table{}, nil, fault(book.SheetPlace(name, number, -1, ""), "too_many_rows", "limit", o.Rows)
		}
		if s.cells += len(cells); s.cells > o.Cells {
			return book.Table{}, nil, fault(book.SheetPlace(name, number, -1, ""), "too_many_cells", "limit", o.Cells)
		}
		table.Rows = append(table.Rows, book.TableRow{Number: number, Cells: cells})
	}
	return table, notes, nil
}

// toldSeparator reads a first line "sep=X" and gives X and the line's length.
func toldSeparator(text string) (comma byte, length int) {
	line, _, _ := strings.Cut(text, "\n")
	told := strings.TrimSuffix(line, "\r")
	if len(told) != 5 || !strings.EqualFold(told[:4], "sep=") || strings.IndexByte(",;\t", told[4]) < 0 {
		return 0, 0
	}
	return told[4], min(len(line)+1, len(text))
}

// sniffed is how many records are looked at to find the separator.
const sniffed = 20

// sniff finds the separator: the one by which most of the first records have
// the same number of fields, more fields counting more. What stands in quotes
// is passed over.
func sniff(text string) byte {
	const separators = ",;\t"
	var times [len(separators)]map[int]int // by separator: its number in a record -> records
	var inRecord [len(separators)]int
	quoted, records := false, 0
	for i := 0; i <= len(text) && records < sniffed; i++ {
		c := byte('\n')
		if i < len(text) {
			c = text[i]
		}
		switch {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '\n' || c == '\r':
			tallySeparators(&times, &inRecord)
			records++
		default:
			if n := strings.IndexByte(separators, c); n >= 0 {
				inRecord[n]++
			}
		}
	}
	best, comma := 0, separators[0]
	for n := range times {
		for fields, records := range times[n] {
			if score := fields * records; score > best {
				best, comma = score, separators[n]
			}
		}
	}
	return comma
}

func tallySeparators(times *[3]map[int]int, inRecord *[3]int) {
	for n := range inRecord {
		if times[n] == nil {
			times[n] = map[int]int{}
		}
		times[n][inRecord[n]]++
		inRecord[n] = 0
	}
}

// scanner goes through the records of a file. row is the number of the record
// ahead, as a spreadsheet would number it.
type scanner struct {
	text   string
	pos    int
	row    int
	comma  byte
	name   string
	limits Limits
	cells  int // read so far
}

// record reads one record; one with nothing in it is nil.
func (s *scanner) record() ([]book.TableCell, error) {
	var cells []book.TableCell
	row, empty := s.row, true
	s.row++
	for {
		field, err := s.field(row, len(cells))
		if err != nil {
			return nil, err
		}
		cell := book.TextCell(unguard(field))
		if strings.TrimSpace(field) == "" {
			cell = book.TableCell{}
		}
		empty = empty && cell.Kind == book.CellBlank
		if cell.Kind != book.CellBlank && len(cells) >= s.limits.Columns {
			return nil, s.fault(row, len(cells), "too_many_columns", "limit", s.limits.Columns)
		}
		if len(cells) < s.limits.Columns {
			cells = append(cells, cell)
		}
		if s.pos < len(s.text) && s.text[s.pos] == s.comma {
			s.pos++
			continue
		}
		s.newline()
		if empty {
			return nil, nil
		}
		return cells, nil
	}
}

// newline passes over the end of a record: CRLF, LF or CR.
func (s *scanner) newline() {
	if s.pos < len(s.text) && s.text[s.pos] == '\r' {
		s.pos++
	}
	if s.pos < len(s.text) && s.text[s.pos] == '\n' {
		s.pos++
	}
}

// ends says whether the byte at pos ends an unquoted field.
func (s *scanner) ends() bool {
	c := s.text[s.pos]
	return c == s.comma || c == '\n' || c == '\r'
}

// field reads one field and stops at what ends it.
func (s *scanner) field(row, column int) (string, error) {
	if s.pos < len(s.text) && s.text[s.pos] == '"' {
		return s.quoted(row, column)
	}
	start := s.pos
	for s.pos < len(s.text) && !s.ends() {
		if s.text[s.pos] == '"' {
			return "", s.fault(row, column, "quote_inside")
		}
		s.pos++
	}
	return s.checked(row, column, s.text[start:s.pos])
}

// quoted reads a field in quotes, in which a quote is doubled and a record's
// end is text (RFC 4180, section 2, rules 5 to 7).
func (s *scanner) quoted(row, column int) (string, error) {
	var b strings.Builder
	s.pos++
	for {
		n := strings.IndexByte(s.text[s.pos:], '"')
		if n < 0 {
			return "", s.fault(row, column, "quote_open")
		}
		b.WriteString(s.text[s.pos : s.pos+n])
		s.pos += n + 1
		if s.pos < len(s.text) && s.text[s.pos] == '"' {
			b.WriteByte('"')
			s.pos++
			continue
		}
		break
	}
	if s.pos < len(s.text) && !s.ends() {
		return "", s.fault(row, column, "text_after_quote")
	}
	return s.checked(row, column, b.String())
}

func (s *scanner) checked(row, column int, field string) (string, error) {
	if len(field) > s.limits.CellRunes && utf8.RuneCountInString(field) > s.limits.CellRunes {
		return "", s.fault(row, column, "cell_too_long", "limit", s.limits.CellRunes)
	}
	return field, nil
}

func (s *scanner) fault(row, column int, code string, args ...any) domain.Faults {
	return fault(book.SheetPlace(s.name, row, column, ""), code, args...)
}
