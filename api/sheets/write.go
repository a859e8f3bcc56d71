package sheets

import (
	"bufio"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"headtally/api/book"
	"headtally/api/words"
)

// WriteCSV writes a table by RFC 4180, in UTF-8 with a byte order mark, by which
// spreadsheet programs know it for that. Text that would start a formula gets an
// apostrophe in front; numbers are written as they are.
func WriteCSV(w io.Writer, t book.Table, say *words.Speech) error {
	b := bufio.NewWriter(w)
	b.WriteString("\ufeff")
	for _, row := range t.Rows {
		for i, cell := range row.Cells {
			if i > 0 {
				b.WriteByte(',')
			}
			text := shown(cell, say)
			if len(row.Cells) == 1 && text == "" || strings.ContainsAny(text, "\",;\t\r\n'") || strings.TrimSpace(text) != text {
				text = `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
			}
			b.WriteString(text)
		}
		b.WriteString("\r\n")
	}
	return b.Flush()
}

// shown is what a cell says, text being guarded against formulas.
func shown(cell book.TableCell, say *words.Speech) string {
	switch cell.Kind {
	case book.CellText:
		return guard(cell.Text)
	case book.CellHeading:
		return say.Say("column." + cell.Text)
	case book.CellHelp:
		return say.Say("hint." + cell.Text)
	case book.CellWord:
		return say.Say(cell.Text)
	}
	return cell.Text
}

// WriteXLSX writes tables as the sheets of a workbook. Days are cells that the
// spreadsheet shows as dates, in the 1900 system; a heading row stays in sight.
func WriteXLSX(w io.Writer, tables []book.Table, say *words.Speech) error {
	f := excelize.NewFile()
	defer f.Close()
	styles, err := newStyles(f)
	if err != nil {
		return err
	}
	for i, t := range tables {
		name := sheetName(t.Name, say)
		if i == 0 {
			err = f.SetSheetName("Sheet1", name)
		} else {
			_, err = f.NewSheet(name)
		}
		if err != nil {
			return err
		}
		if err := writeSheet(f, name, t, styles, say); err != nil {
			return err
		}
	}
	return f.Write(w)
}

// sheetName is a table's name in the language, without what no sheet may be
// called by.
func sheetName(name string, say *words.Speech) string {
	if code := "sheet." + name; say.Has(code) {
		name = say.Say(code)
	}
	name = strings.Trim(strings.NewReplacer(":", " ", `\`, " ", "/", " ", "?", " ", "*", " ", "[", "(", "]", ")").Replace(name), "'")
	for utf8.RuneCountInString(name) > excelize.MaxSheetNameLength {
		_, n := utf8.DecodeLastRuneInString(name)
		name = name[:len(name)-n]
	}
	return name
}

// styles are the looks of cells.
type styles struct{ heading, help, day int }

func newStyles(f *excelize.File) (s styles, err error) {
	if s.heading, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true},
		Border: []excelize.Border{{Type: "bottom", Color: "000000", Style: 1}}}); err != nil {
		return s, err
	}
	if s.help, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Italic: true, Color: "555555", Size: 9},
		Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}); err != nil {
		return s, err
	}
	iso := "yyyy-mm-dd"
	s.day, err = f.NewStyle(&excelize.Style{CustomNumFmt: &iso})
	return s, err
}

// Widths of columns, in characters; a column is as wide as what it says.
const (
	leastWidth = 16
	mostWidth  = 44
)

func writeSheet(f *excelize.File, name string, t book.Table, s styles, say *words.Speech) error {
	out, err := f.NewStreamWriter(name)
	if err != nil {
		return err
	}
	for i, width := range widths(t, say) {
		if err := out.SetColWidth(i+1, i+1, float64(width)); err != nil {
			return err
		}
	}
	if n := headingRow(t); n > 0 {
		at, err := excelize.CoordinatesToCellName(1, n+1)
		if err != nil {
			return err
		}
		if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: n, TopLeftCell: at, ActivePane: "bottomLeft"}); err != nil {
			return err
		}
	}
	for _, row := range t.Rows {
		cells := make([]any, len(row.Cells))
		help := false
		for i, cell := range row.Cells {
			cells[i] = written(cell, s, say)
			help = help || cell.Kind == book.CellHelp
		}
		at, err := excelize.CoordinatesToCellName(1, row.Number)
		if err != nil {
			return err
		}
		var opts []excelize.RowOpts
		if help {
			opts = append(opts, excelize.RowOpts{Height: 66})
		}
		if err := out.SetRow(at, cells, opts...); err != nil {
			return err
		}
	}
	return out.Flush()
}

// written is a cell as the library takes it.
func written(cell book.TableCell, s styles, say *words.Speech) any {
	switch cell.Kind {
	case book.CellBlank:
		return nil
	case book.CellNumber:
		return cell.Number
	case book.CellDay:
		serial := cell.Day.Sub(zero1900) + 1
		if serial < 61 {
			return cell.Text // before the day that never was the systems disagree
		}
		return excelize.Cell{StyleID: s.day, Value: serial}
	case book.CellHeading:
		return excelize.Cell{StyleID: s.heading, Value: shown(cell, say)}
	case book.CellHelp:
		return excelize.Cell{StyleID: s.help, Value: shown(cell, say)}
	}
	return shown(cell, say)
}

// headingRow is the number of the row of headings, or 0.
func headingRow(t book.Table) int {
	for _, row := range t.Rows {
		if len(row.Cells) > 0 && row.Cells[0].Kind == book.CellHeading {
			return row.Number
		}
	}
	return 0
}

func widths(t book.Table, say *words.Speech) (widths []int) {
	for _, row := range t.Rows {
		for i, cell := range row.Cells {
			for len(widths) <= i {
				widths = append(widths, leastWidth)
			}
			if cell.Kind != book.CellHelp {
				widths[i] = min(max(widths[i], utf8.RuneCountInString(shown(cell, say))+2), mostWidth)
			}
		}
	}
	return widths
}
