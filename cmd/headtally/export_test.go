package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestOrdersLeaveAndComeBack: the orders of a book are written, a quantity is
// changed as in a spreadsheet, and the sheet is taken back.
func TestOrdersLeaveAndComeBack(t *testing.T) {
	d := newDesk(t)
	d.env["HEADTALLY_DATA"] = d.file("book")
	require.Zero(t, d.types("", "workbook", d.file("week.xlsx")), d.err.String())
	require.Zero(t, d.types("", "import", d.file("week.xlsx")), d.err.String())
	orders := d.file("orders.csv")
	require.Zero(t, d.types("", "export", "orders", orders, "--language", "es"), d.err.String())
	text, err := os.ReadFile(orders)
	require.NoError(t, err)
	require.Contains(t, string(text), "The Example Inn,Butterhead 12,2027-04-14,3,")
	changed := strings.Replace(string(text), "2027-04-14,3,", "2027-04-14,5,", 1)
	require.NoError(t, os.WriteFile(orders, []byte(changed), 0o600))
	require.Zero(t, d.types("", "import", orders), d.err.String())
	require.Contains(t, d.out.String(), "0 orders new, 1 changed")
	require.Equal(t, "1 of 1 orders are written\n", d.err.String())

	for wrong, args := range map[string][]string{
		"ends with .xlsx or .csv": {"orders", d.file("orders.ods")},
		"not \"everything\"":      {"everything", d.file("x.csv")},
		"takes one of":            {"orders"},
		"--language is one of":    {"orders", d.file("x.csv"), "--language", "xx"},
		"is there already":        {"orders", orders},
	} {
		require.Equal(t, refused, d.types("", append([]string{"export"}, args...)...), wrong)
		require.Contains(t, d.err.String(), wrong)
	}
	for _, what := range []string{"tally", "plan", "outlook", "shipped"} {
		require.Zero(t, d.types("", "export", what, d.file(what+".xlsx")), d.err.String())
	}
}

// TestASendersLayoutIsKept: what is told of the first sheet need not be told of
// the next.
func TestASendersLayoutIsKept(t *testing.T) {
	d := newDesk(t)
	d.env["HEADTALLY_DATA"] = d.file("book")
	require.Zero(t, d.types("", "workbook", d.file("week.xlsx")), d.err.String())
	require.Zero(t, d.types("", "import", d.file("week.xlsx")), d.err.String())
	sheet := func(cases int) string {
		file := d.file(fmt.Sprintf("mail-%d.csv", cases))
		require.NoError(t, os.WriteFile(file, fmt.Appendf(nil, "Account,SKU,Deliver on,Qty\nThe Example Inn,Mixed 12,15/04/2027,%d\n", cases), 0o600))
		return file
	}
	require.Equal(t, refused, d.types("", "import", sheet(2), "--keep", "--day-order", "dmy", "--days-after-pickup", "1"), "without its sender")
	require.Zero(t, d.types("", "import", sheet(2), "--keep", "--sender", "Depot", "--day-order", "dmy", "--days-after-pickup", "1"), d.err.String())
	require.Zero(t, d.types("", "import", sheet(4)), d.err.String())
	require.Contains(t, d.out.String(), "0 orders new, 1 changed")
}

// TestSheetsOfAnotherProgramAreTaken takes the same orders from every file that
// LibreOffice made of them (testdata/spreadsheets).
func TestSheetsOfAnotherProgramAreTaken(t *testing.T) {
	folder := filepath.Join("..", "..", "testdata", "spreadsheets")
	files, err := filepath.Glob(filepath.Join(folder, "orders-*.csv"))
	require.NoError(t, err)
	require.Len(t, files, 5)
	d := newDesk(t)
	require.Zero(t, d.types("", "workbook", d.file("week.xlsx")), d.err.String())
	for _, file := range append(files, filepath.Join(folder, "orders.xlsx")) {
		name := filepath.Base(file)
		data, written := d.file(name+".book"), d.file(name+".out.csv")
		require.Zero(t, d.types("", "import", d.file("week.xlsx"), "--data", data), d.err.String())
		require.Zero(t, d.types("", "import", file, "--data", data), name+": "+d.err.String())
		require.Zero(t, d.types("", "export", "orders", written, "--data", data), d.err.String())
		text, err := os.ReadFile(written)
		require.NoError(t, err)
		for _, line := range []string{"The Example Inn,Butterhead 12,2027-04-14,3,0042,", "The Example Inn,Mixed 12,2027-04-14,2,0042,", "The Example Inn,Butterhead 12,2027-04-21,1,,", "für Gäste",
			`'=leave at the door; ring ""twice""; first line second line`} {
			require.Contains(t, string(text), line, name)
		}
		require.Equal(t, filepath.Ext(file) == ".xlsx", strings.Contains(string(text), "The Example Inn,Mixed 12,2027-05-05,6,"), "the second sheet's merged customer")
	}
}
