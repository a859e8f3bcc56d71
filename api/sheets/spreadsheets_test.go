package sheets

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
	"headtally/domain/tried"
	"headtally/testdata/farm"
)

// spreadsheets holds files that another program wrote; its README says how.
var spreadsheets = filepath.Join("..", "..", "testdata", "spreadsheets")

// anothersForms are the files of the orders beside the workbook, and what is
// noted of how they were read.
var anothersForms = map[string]string{"orders-comma.csv": "", "orders-semicolon.csv": "", "orders-tab.csv": "",
	"orders-utf-16.csv": "read_as_utf_16", "orders-windows-1252.csv": "read_as_windows_1252"}

// TestSheetsOfAnotherProgram reads what LibreOffice wrote.
func TestSheetsOfAnotherProgram(t *testing.T) { readAnothers(t, spreadsheets) }

func readAnothers(t *testing.T, folder string) {
	tables, notes := readFile(t, filepath.Join(folder, "orders.xlsx"))
	require.Empty(t, notes)
	require.Len(t, tables, 2)
	const first = "The Example Inn|Butterhead 12|2027-04-14|3|0042|=leave at the door; ring \"twice\""
	require.Equal(t, []string{
		"Orders of the week — Café Índigo & others; \"as rung in\"" + strings.Repeat("|Orders of the week — Café Índigo & others; \"as rung in\"", 5),
		"Customer|Product|Ship date|Qty|PO|Remarks", first,
		"The Example Inn|Mixed 12|2027-04-14|2|0042|first line\nsecond line", "the example inn|Butterhead 12|2027-04-21|1||für Gäste", "Total|||6"}, textsOf(tables[0]))
	orders := tables[0].Rows
	require.Equal(t, []int{1, 3, 4, 5, 7, 8}, rowNumbers(tables[0]), "as the spreadsheet numbers them")
	require.True(t, orders[0].Cells[1].Spread)
	require.Equal(t, book.CellDay, orders[2].At(2).Kind)
	require.Equal(t, book.CellNumber, orders[3].At(3).Kind, "a formula is the value it shows")
	require.Equal(t, book.CellText, orders[2].At(4).Kind, "an order number keeps its zeros")
	require.Equal(t, []string{"Customer|Ship date|Butterhead 12|Mixed 12", "The Example Inn|2027-04-28|4|5", "The Example Inn|2027-05-05||6"}, textsOf(tables[1]))

	for name, note := range anothersForms {
		tables, notes := readFile(t, filepath.Join(folder, name))
		require.Equal(t, note != "", len(notes) == 1, name)
		if note != "" {
			require.Equal(t, note, notes[0].Code, name)
		}
		texts := textsOf(tables[0])
		require.Len(t, texts, 6, name)
		require.Equal(t, "Orders of the week — Café Índigo & others; \"as rung in\"", texts[0], name)
		require.Equal(t, strings.Replace(first, "2027-04-14", "04/14/2027", 1), texts[2], name)
		require.Equal(t, "the example inn|Butterhead 12|04/21/2027|1||für Gäste", texts[4], name)
	}
}

func readFile(t *testing.T, file string) ([]book.Table, Notes) {
	t.Helper()
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	tables, notes, err := Read(filepath.Base(file), data, Usual())
	require.NoError(t, err, file)
	return tables, notes
}

// textsOf are a table's rows, cells parted by strokes, without blanks at the end.
func textsOf(t book.Table) (rows []string) {
	for _, row := range t.Rows {
		cells := make([]string, len(row.Cells))
		for i, c := range row.Cells {
			cells[i] = c.Text
		}
		rows = append(rows, strings.TrimRight(strings.Join(cells, "|"), "|"))
	}
	return rows
}

func rowNumbers(t book.Table) (numbers []int) {
	for _, row := range t.Rows {
		numbers = append(numbers, row.Number)
	}
	return numbers
}

// office gives what makes LibreOffice convert a file into a folder.
func office(t *testing.T) func(form, file, folder string, more ...string) {
	t.Helper()
	program := tried.With(t, "soffice")
	profile := "-env:UserInstallation=file://" + t.TempDir()
	return func(form, file, folder string, more ...string) {
		t.Helper()
		out, err := exec.CommandContext(t.Context(), program, append(more, profile, "--headless", "--convert-to", form, "--outdir", folder, file)...).CombinedOutput()
		require.NoError(t, err, string(out))
	}
}

func TestAnotherProgramMakesThemAnew(t *testing.T) {
	office(t)
	folder := t.TempDir()
	out, err := exec.CommandContext(t.Context(), filepath.Join(spreadsheets, "make"), folder).CombinedOutput()
	require.NoError(t, err, string(out))
	readAnothers(t, folder)
}

// TestExportsOpenInAnotherProgram has LibreOffice open what we write and write it
// anew: it reads the same.
func TestExportsOpenInAnotherProgram(t *testing.T) {
	convert := office(t)
	folder, back := t.TempDir(), t.TempDir()
	facts := farm.Facts()
	tables := book.WorkbookTables(&facts)
	odd := book.Table{Name: "Odd"}
	odd.Add("customer", "day", "cases", "rafts", "note")
	for i, text := range []string{"=1+1", "+1", "-1", "@SUM(A1)", "'quoted", "a;b,c\"d\"", "Café Índigo", "0042", "two\nlines"} {
		odd.Add(text, domain.MustDay("2027-03-01").Add(i), i, domain.HalfRafts(2*i+1), nil)
	}
	write := func(name string, put func(*bytes.Buffer) error) string {
		var file bytes.Buffer
		require.NoError(t, put(&file))
		path := filepath.Join(folder, name)
		require.NoError(t, os.WriteFile(path, file.Bytes(), 0o600))
		return path
	}
	book1 := write("week.xlsx", func(b *bytes.Buffer) error { return WriteXLSX(b, append(tables, odd), words.In("en")) })
	convert("xlsx:Calc MS Excel 2007 XML", book1, back)
	ours, _ := readFile(t, book1)
	theirs, notes := readFile(t, filepath.Join(back, "week.xlsx"))
	require.Empty(t, notes)
	require.Len(t, theirs, len(ours))
	for i := range ours {
		require.Equal(t, ours[i].Name, theirs[i].Name)
		require.Equal(t, textsOf(ours[i]), textsOf(theirs[i]), ours[i].Name)
	}
	got, faults := book.ReadWorkbook(theirs[:len(tables)], "")
	require.Empty(t, faults)
	require.Len(t, got.Customers, len(facts.Customers))

	csv := write("odd.csv", func(b *bytes.Buffer) error { return WriteCSV(b, odd, words.In("en")) })
	convert("xlsx:Calc MS Excel 2007 XML", csv, back, "--infilter=CSV:44,34,76") // a person is asked; commas, quotes, UTF-8
	opened, _ := readFile(t, filepath.Join(back, "odd.xlsx"))
	for i, row := range opened[0].Rows {
		if i == 0 {
			continue
		}
		first := row.At(0)
		require.NotEqual(t, book.CellNoValue, first.Kind)
		want := odd.Rows[i].At(0).Text
		require.Equal(t, strings.TrimPrefix(want, "00"), strings.TrimPrefix(unguard(first.Text), "00"), "no text became a formula")
		require.Equal(t, odd.Rows[i].At(1).Day, row.At(1).Day, "an ISO date is a date")
		require.Equal(t, odd.Rows[i].At(2).Number, row.At(2).Number)
	}
}
