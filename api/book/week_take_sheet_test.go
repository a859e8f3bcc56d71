package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// workbookOf is the example's workbook as it comes back from a spreadsheet, with
// cells written over: sheet, row, column, value.
func workbookOf(edits ...func(sheets map[string]*Table)) []Table {
	facts := ExampleFarm(monday)
	var tables []Table
	for _, t := range WorkbookTables(&facts) {
		tables = append(tables, asRead(t))
	}
	sheets := map[string]*Table{}
	for i := range tables {
		sheets[tables[i].Name] = &tables[i]
	}
	for _, edit := range edits {
		edit(sheets)
	}
	return tables
}

// write puts a value into the row of a sheet whose first cell says so.
func write(sheet, first string, column int, v any) func(map[string]*Table) {
	return func(sheets map[string]*Table) {
		t := sheets[sheet]
		for i := range t.Rows {
			if t.Rows[i].At(0).Text == first {
				for len(t.Rows[i].Cells) <= column {
					t.Rows[i].Cells = append(t.Rows[i].Cells, TableCell{})
				}
				t.Rows[i].Cells[column] = cellOf(v)
			}
		}
	}
}

func (h *house) takeWorkbook(tables []Table) *TakenWorkbook {
	h.t.Helper()
	taken, err := h.book.TakeWorkbook(h.t.Context(), owner, tables, "", "week.xlsx")
	require.NoError(h.t, err)
	return taken
}

func TestTheSameWorkbookAgainChangesNothing(t *testing.T) {
	h := newHouse(t)
	h.takeWorkbook(workbookOf())
	before, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	require.True(t, h.takeWorkbook(workbookOf()).Already)
	after, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	require.Equal(t, before, after)
}

// TestACorrectedWorkbookDoublesNothing: a grower corrects a row and takes the
// workbook once more.
func TestACorrectedWorkbookDoublesNothing(t *testing.T) {
	h := newHouse(t)
	h.takeWorkbook(workbookOf())
	require.Equal(t, []string{"THE-EXAMPLE-INN BUTTERHEAD-12 2027-03-02 3"}, h.lines())
	more := func(sheets map[string]*Table) {
		for i := range sheets[sheetOrders].Rows {
			if row := &sheets[sheetOrders].Rows[i]; row.At(1).Text == "Butterhead 12" {
				row.Cells[4], row.Cells[5] = NumberCell(5), NumberCell(2)
			} else if row.At(1).Text == "Mixed 12" {
				row.Cells[4] = NumberCell(6)
			}
		}
	}
	taken := h.takeWorkbook(workbookOf(more, write(sheetFarm, "good heads in ten", 1, 8)))
	require.Equal(t, [2]int{0, 2}, [2]int{taken.Added, taken.Changed})
	require.Equal(t, []string{"THE-EXAMPLE-INN BUTTERHEAD-12 2027-03-02 5"}, h.lines())
	standing, err := h.book.Standing.List(t.Context(), owner, Query{})
	require.NoError(t, err)
	require.Len(t, standing, 1)
	require.Equal(t, domain.Cases(6), standing[0].Value.Terms[0].Cases)
	decisions, err := h.book.Facts(t.Context(), owner, monday)
	require.NoError(t, err)
	require.Equal(t, domain.Cases(2), decisions.Decisions[0].Promised)
	counts, err := h.book.Counts.List(t.Context(), owner, Query{})
	require.NoError(t, err)
	require.Len(t, counts, 1)
	farm, err := h.book.Farm(t.Context())
	require.NoError(t, err)
	require.Equal(t, 8, farm.Value.GoodInTen)
}

// TestWhatAWorkbookDoesNotSpeakOfStays: item codes, trade numbers, and the farm
// where there is no farm sheet.
func TestWhatAWorkbookDoesNotSpeakOfStays(t *testing.T) {
	h := newHouse(t)
	h.takeWorkbook(workbookOf())
	rec, err := h.book.Customers.Get(t.Context(), owner, "THE-EXAMPLE-INN")
	require.NoError(t, err)
	rec.Value.ItemCodes = map[string]string{"MIXED-12": "77"}
	_, err = h.book.Customers.Replace(t.Context(), owner, "THE-EXAMPLE-INN", rec.Value, Note{Base: rec.Rev})
	require.NoError(t, err)
	farm, err := h.book.Farm(t.Context())
	require.NoError(t, err)
	farm.Value.CaseSpaces = 77
	_, err = h.book.SetFarm(t.Context(), owner, farm.Value, Note{Base: farm.Rev})
	require.NoError(t, err)

	h.takeWorkbook(workbookOf(write(sheetCustomers, "The Example Inn", 1, "anchor"), write(sheetFarm, "cooler spaces for cases", 1, nil)))
	rec, err = h.book.Customers.Get(t.Context(), owner, "THE-EXAMPLE-INN")
	require.NoError(t, err)
	require.Equal(t, domain.Anchor, rec.Value.Importance)
	require.Equal(t, map[string]string{"MIXED-12": "77"}, rec.Value.ItemCodes)
	farm, err = h.book.Farm(t.Context())
	require.NoError(t, err)
	require.Equal(t, 77, farm.Value.CaseSpaces)
}

func TestAWorkbookWithAFaultChangesNothing(t *testing.T) {
	cases := []struct {
		name        string
		edit        func(map[string]*Table)
		place, code string
	}{
		{"negative cases", write(sheetOrders, "The Example Inn", 4, -1), "sheet Orders, row 3, column E (cases)", "at_least"},
		{"29 February of a common year", write(sheetOrders, "The Example Inn", 10, "2027-02-29"), "sheet Orders, row 3, column K (from)", "no_such_day"},
		{"an unknown variety", write(sheetCases, "Butterhead 12", 2, "Kale"), "sheet Cases, row 3, column C (varieties)", "unknown_variety"},
		{"rafts in thirds", write(sheetCount, "1", 3, 0.3), "sheet Count, row 3, column D (rafts now)", "no_half_rafts"},
		{"a formula without a value", write(sheetCount, "1", 3, TableCell{Kind: CellNoValue}), "sheet Count, row 3, column D (rafts now)", "formula_without_value"},
		{"no such weekday", write(sheetDays, "Van", 2, "Someday"), "sheet Days, row 3, column C (weekdays)", "no_weekday"},
		{"a setting of nothing", write(sheetFarm, "good heads in ten", 1, "many"), "sheet Farm", "no_number"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h := newHouse(t)
			before, err := h.book.Revision(t.Context())
			require.NoError(t, err)
			_, err = h.book.TakeWorkbook(t.Context(), owner, workbookOf(c.edit), "", "week.xlsx")
			first := faultsOf(t, err)[0]
			require.Contains(t, first.Place, c.place)
			require.Equal(t, c.code, first.Code)
			after, err := h.book.Revision(t.Context())
			require.NoError(t, err)
			require.Equal(t, before, after)
		})
	}
}

// TestClosedDaysOfAWorkbook: a day without a pickup is read before the orders
// that must not fall on it.
func TestClosedDaysOfAWorkbook(t *testing.T) {
	closed := func(sheets map[string]*Table) {
		sheets[sheetDays].Add(nil, nil, nil, nil, nil, nil, nil, tuesday.Add(7), "Closed", nil, "stocktaking")
		sheets[sheetDays].Add("Van", nil, nil, nil, nil, nil, nil, friday, "moved", friday.Add(1))
	}
	facts, faults := ReadWorkbook(workbookOf(closed), "")
	require.Empty(t, faults)
	require.Equal(t, []domain.Exception{{ID: "X1", Day: tuesday.Add(7), Kind: domain.Closed, Note: "stocktaking"},
		{ID: "X2", Day: friday, Kind: domain.Moved, Carrier: "VAN", To: friday.Add(1)}}, facts.Exceptions)
	var again []Table
	for _, table := range WorkbookTables(&facts) {
		again = append(again, asRead(table))
	}
	back, faults := ReadWorkbook(again, "")
	require.Empty(t, faults)
	require.Equal(t, facts.Exceptions, back.Exceptions)

	h := newHouse(t)
	h.takeWorkbook(workbookOf(closed))
	h.takeWorkbook(workbookOf(closed, write(sheetFarm, "good heads in ten", 1, 8)))
	exceptions, err := h.book.Exceptions.List(t.Context(), owner, Query{})
	require.NoError(t, err)
	require.Len(t, exceptions, 2)

	_, faults = ReadWorkbook(workbookOf(func(sheets map[string]*Table) {
		sheets[sheetDays].Add(nil, nil, nil, nil, nil, nil, nil, tuesday, "closed")
	}), "")
	require.Equal(t, "no_pickup", faults[0].Code)
	require.Equal(t, "sheet Orders, row 4, column C (pickup day)", faults[0].Place)
}
