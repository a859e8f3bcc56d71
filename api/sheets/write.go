package sheets

import (
	"bufio"
	"io"
	"strings"

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
