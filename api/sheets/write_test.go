package sheets

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
)

// writtenAndRead sends a table through CSV.
func writtenAndRead(t require.TestingT, table book.Table) book.Table {
	var b bytes.Buffer
	require.NoError(t, WriteCSV(&b, table, words.In("en")))
	tables, notes, err := Read("again.csv", b.Bytes(), Usual())
	if len(plain(table)) == 0 {
		return book.Table{}
	}
	require.NoError(t, err)
	require.Empty(t, notes)
	return tables[0]
}

// plain are the texts of the rows with anything in them, blank cells at their
// ends left out.
func plain(t book.Table) (rows [][]string) {
	for _, row := range fields(t) {
		for len(row) > 0 && strings.TrimSpace(row[len(row)-1]) == "" {
			row = row[:len(row)-1]
		}
		if len(row) > 0 {
			rows = append(rows, row)
		}
	}
	return rows
}

func TestFormulasAreQuoted(t *testing.T) {
	cases := []struct{ name, text, csv string }{
		// The inputs of OWASP's page "CSV Injection".
		{"a formula that begins another cell", `=1+2";=1+2`, `"'=1+2"";=1+2"`},
		{"a formula with every separator", `=1+2'" ;,=1+2`, `"'=1+2'"" ;,=1+2"`},

		{"plus", "+1", `"'+1"`},
		{"minus", "-1", `"'-1"`},
		{"at", "@SUM(A1)", `"'@SUM(A1)"`},
		{"tab", "\t=1", "\"'\t=1\""},
		{"CR", "\r=1", "\"'\r=1\""},
		{"LF", "\n=1", "\"'\n=1\""},
		{"NUL", "\x00=1", "\"'\x00=1\""},
		{"guarded already", "'=1", `"''=1"`},
		{"no formula", "a=1", "a=1"},
		{"an apostrophe", "'tis", `"'tis"`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var table book.Table
			table.Add(c.text, "end")
			var b bytes.Buffer
			require.NoError(t, WriteCSV(&b, table, words.In("en")))
			require.Equal(t, "\ufeff"+c.csv+",end\r\n", b.String())
			if !strings.Contains(c.text, "\x00") {
				require.Equal(t, fields(table), fields(writtenAndRead(t, table)))
			}
		})
	}
}

// TestNumbersAreNotQuoted: a correction of -3 stays a number.
func TestNumbersAreNotQuoted(t *testing.T) {
	var table book.Table
	table.Add(-3, domain.HalfRafts(5), domain.MustDay("2027-02-10"))
	var b bytes.Buffer
	require.NoError(t, WriteCSV(&b, table, words.In("en")))
	require.Equal(t, "\ufeff-3,2.5,2027-02-10\r\n", b.String())
}

func TestGuardIsTakenOffAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("'=+-@\t\n\r\"a,"))).Draw(t, "text")
		require.Equal(t, text, unguard(guard(text)))
		require.False(t, text != "" && strings.ContainsAny(guard(text)[:1], startsFormula))
	})
}

func TestWorkbooksAreReadBack(t *testing.T) {
	var first, second book.Table
	first.Name, second.Name = "Orders: week [6]", "Count"
	first.Add(book.TableCell{Kind: book.CellHeading, Text: "customer"}, book.TableCell{Kind: book.CellHeading, Text: "cases"})
	first.Add("=1+1", 12)
	first.Add("Café ½ <&>", -3)
	first.Add(nil, domain.MustDay("2027-02-10"), domain.MustDay("1900-02-28"))
	second.Add(domain.HalfRafts(5), 0.125, "line one\r\nline two")
	var b bytes.Buffer
	require.NoError(t, WriteXLSX(&b, []book.Table{first, second}, words.In("en")))
	tables, notes, err := Read("book.xlsx", b.Bytes(), Usual())
	require.NoError(t, err)
	require.Empty(t, notes)
	require.Equal(t, "Orders  week (6)", tables[0].Name)
	require.Equal(t, [][]string{{"customer", "cases"}, {"=1+1", "12"}, {"Café ½ <&>", "-3"}, {"", "2027-02-10", "1900-02-28"}}, fields(tables[0]))
	require.Equal(t, book.CellDay, tables[0].Rows[3].Cells[1].Kind)
	require.Equal(t, [][]string{{"2.5", "0.125", "line one\r\nline two"}}, fields(tables[1]))
}
