package book

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

func (h *house) export(what Export) []Table {
	h.t.Helper()
	tables, err := h.book.Export(h.t.Context(), owner, what, monday, 0, 0)
	require.NoError(h.t, err)
	return tables
}

// asRead is a table as a sheet program gives it back, with English headings.
func asRead(t Table) Table {
	back := Table{Name: t.Name}
	for _, r := range t.Rows {
		row := TableRow{Number: r.Number}
		for _, c := range r.Cells {
			if c.Kind == CellHeading {
				c.Kind = CellText
			}
			row.Cells = append(row.Cells, c)
		}
		back.Rows = append(back.Rows, row)
	}
	return back
}

// texts are the rows of a table below its headings.
func texts(t Table) (rows [][]string) {
	for _, r := range t.Rows[1:] {
		var row []string
		for _, c := range r.Cells {
			row = append(row, c.Text)
		}
		rows = append(rows, row)
	}
	return rows
}

func TestOrdersAreExportedChangedAndTakenBack(t *testing.T) {
	h := newHouse(t)
	first := h.order("INN", "BLEND", 3, tuesday)
	add(h, h.book.Orders, domain.Order{Customer: "INN", Pickup: tuesday, Mode: domain.Replace, Lines: []domain.OrderLine{{Product: "OAK-CASE", Cases: 1}}})
	h.order("GRILL", "BLEND", 2, friday)
	add(h, h.book.Standing, domain.Standing{Customer: "INN", Product: "BLEND", Terms: []domain.Term{{From: monday, Cases: 4, Weekdays: domain.WeekdaysOf(5)}}})
	tables := h.export(ExportOrders)
	sheets := []Table{asRead(tables[0]), asRead(tables[1])}
	p := h.preview(sheets, OrderSheet{})
	require.Empty(t, p.Faults)
	require.Empty(t, p.Changes, "what was not touched changes nothing")
	require.Equal(t, "sheet_of_standing_orders", p.Notes[0].Code)
	taken, err := h.book.TakeOrders(t.Context(), owner, sheets, OrderSheet{}, p.Revision)
	require.NoError(t, err)
	require.Equal(t, [3]int{0, 0, 0}, [3]int{taken.Added, taken.Changed, taken.Removed})

	changed := asRead(tables[0])
	own := slices.IndexFunc(changed.Rows, func(r TableRow) bool { return r.At(5).Text == first.Value.ID })
	changed.Rows[own].Cells[3] = NumberCell(7)
	taken = h.take([]Table{changed}, OrderSheet{})
	require.Equal(t, 1, taken.Changed)
	require.ElementsMatch(t, []string{"INN BLEND 2027-03-02 7", "INN OAK-CASE 2027-03-02 1", "GRILL BLEND 2027-03-05 2"}, h.lines())
	rec, err := h.book.Orders.Get(t.Context(), owner, first.Value.ID)
	require.NoError(t, err)
	require.Empty(t, rec.Value.Reference)

	changed.Rows[1].Cells[0] = TextCell("Grill")
	changed.Rows[2].Cells[0] = TextCell("Grill")
	require.Equal(t, "order_of_another", h.preview([]Table{changed}, OrderSheet{}).Faults[0].Code)
}

func TestTallyPlanAndOutlookAreExported(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 3, tuesday)
	h.order("GRILL", "OAK-CASE", 2, tuesday.Add(14))
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", HeadsNow: 20})
	require.Equal(t, [][]string{{"2027-03-02", "Oak", "30", "20", "10", "yes"}}, texts(h.export(ExportTally)[0]))
	plan := h.export(ExportPlan)
	require.Equal(t, [][]string{{"2027-03-02", "Van", "Inn", "Oak case", "", "3", "2", "1", "1", "brief.not_enough_ready"}}, texts(plan[0]))
	require.Equal(t, [][]string{{"2027-03-01", "2027-03-02", "Oak case", "2", "10 Oak"}}, texts(plan[1]))
	require.Equal(t, [][]string{{"2027-03-02", "Oak", "30"}, {"2027-03-16", "Oak", "20"}}, texts(h.export(ExportOutlook)[0]))
}

func TestWhatWasNotCountedIsNotExportedAsShort(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 3, tuesday)
	require.Equal(t, [][]string{{"2027-03-02", "Oak", "30", "0", "", "no"}}, texts(h.export(ExportTally)[0]))
	require.Equal(t, "brief.not_counted", texts(h.export(ExportPlan)[0])[0][9])
}

func TestWhatWasShippedIsExported(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	add(h, h.book.Orders, domain.Order{Customer: "INN", Pickup: tuesday, PO: "4711", Lines: []domain.OrderLine{{Product: "OAK-CASE", Cases: 2}}})
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", HeadsNow: 40})
	_, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday}, "")
	require.NoError(t, err)
	_, err = h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)
	rows := texts(h.export(ExportShipped)[0])
	require.Len(t, rows, 1)
	require.Equal(t, []string{"Inn", "4711", "Oak case", "2027-03-02", "2", "Van"}, rows[0][:6])
	require.NotEmpty(t, rows[0][6], "the trace")

	none, err := h.book.Export(ctx, owner, ExportShipped, monday, friday, 0)
	require.NoError(t, err)
	require.Empty(t, texts(none[0]))
}

func TestNoOtherExport(t *testing.T) {
	h := newHouse(t)
	_, err := h.book.Export(t.Context(), owner, "everything", monday, 0, 0)
	require.Equal(t, "one_of", faultsOf(t, err)[0].Code)
	_, err = h.book.Export(t.Context(), Person{}, ExportTally, monday, 0, 0)
	require.ErrorIs(t, err, domain.ErrDenied)
}

// TestRecordsOfOneNameAreToldByCode: a sheet that is read back must know which
// is meant.
func TestRecordsOfOneNameAreToldByCode(t *testing.T) {
	h := newHouse(t)
	add(h, h.book.Customers, domain.Customer{Code: "INN-2", Name: "The inn"})
	add(h, h.book.Customers, domain.Customer{Code: "INN-3", Name: "INN"})
	h.order("INN", "BLEND", 3, tuesday)
	h.order("INN-3", "BLEND", 2, tuesday)
	sheet := asRead(h.export(ExportOrders)[0])
	require.Equal(t, []string{"INN", "INN-3"}, []string{sheet.Rows[1].Cells[0].Text, sheet.Rows[2].Cells[0].Text})
	p := h.preview([]Table{sheet}, OrderSheet{})
	require.Empty(t, p.Faults)
	require.Empty(t, p.Changes)
}
