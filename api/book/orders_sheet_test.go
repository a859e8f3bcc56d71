package book

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// sheetOf is a table as it would come of a CSV file, or of a workbook where a
// value is no text.
func sheetOf(name string, rows ...[]any) Table {
	t := Table{Name: name}
	for _, r := range rows {
		t.Add(r...)
	}
	return t
}

var orderHeading = []any{"Customer", "Case", "Pickup day", "Cases", "Purchase order", "Reference", "Note"}

// orderSheet is an order sheet with the usual heading.
func orderSheet(rows ...[]any) []Table {
	return []Table{sheetOf("Orders", append([][]any{orderHeading}, rows...)...)}
}

func (h *house) preview(tables []Table, o OrderSheet) *OrderPreview {
	h.t.Helper()
	p, err := h.book.PreviewOrders(h.t.Context(), owner, tables, o)
	require.NoError(h.t, err)
	return p
}

// take previews and takes.
func (h *house) take(tables []Table, o OrderSheet) *Taken {
	h.t.Helper()
	p := h.preview(tables, o)
	require.Empty(h.t, p.Faults)
	taken, err := h.book.TakeOrders(h.t.Context(), owner, tables, o, p.Revision)
	require.NoError(h.t, err)
	return taken
}

// lines are "customer product day cases" of all orders that stand.
func (h *house) lines() (list []string) {
	h.t.Helper()
	orders, err := h.book.Orders.List(h.t.Context(), owner, Query{})
	require.NoError(h.t, err)
	for _, o := range orders {
		for _, l := range o.Value.Lines {
			list = append(list, fmt.Sprintf("%s %s %s %d", o.Value.Customer, l.Product, o.Value.Pickup, l.Cases))
		}
	}
	return list
}

func days(n int) *int { return &n }

func TestOrderSheetsAreRead(t *testing.T) {
	two := []string{"INN BLEND 2027-03-02 3", "GRILL OAK-CASE 2027-03-05 2"}
	cases := []struct {
		name   string
		tables []Table
		opts   OrderSheet
		want   []string
	}{
		{"as it is written by a person", orderSheet([]any{"Inn", "Blend", "2027-03-02", "3"}, []any{"grill", "oak CASE", "2027-03-05", "2"}), OrderSheet{}, two},
		{"columns in any order under other headings, codes and date cells", []Table{sheetOf("x",
			[]any{"P.O. #", "Qty", "Ship Date", "ITEM", "Client"}, []any{nil, 3, tuesday, "BLEND", "INN"}, []any{"7", 2, friday, "OAK-CASE", "GRILL"})}, OrderSheet{}, two},
		{"headings in Spanish", []Table{sheetOf("x", []any{"Cliente", "Producto", "Fecha de recogida", "Cajas"}, []any{"Inn", "Blend", "2027-03-02", 3})}, OrderSheet{}, two[:1]},
		{"a title above, the headings again, a total and blank rows", []Table{{Name: "x", Rows: []TableRow{
			{1, []TableCell{TextCell("Orders of week 9")}}, {3, []TableCell{TextCell("Customer"), TextCell("Case"), TextCell("Day"), TextCell("Cases")}},
			{4, []TableCell{TextCell("Inn"), TextCell("Blend"), DayCell(tuesday), NumberCell(3)}}, {5, []TableCell{TextCell("Customer"), TextCell("Case"), TextCell("Day"), TextCell("Cases")}},
			{6, []TableCell{{}, {}, {}, {}, TextCell("checked")}}, {7, []TableCell{TextCell("Grill"), TextCell("Oak case"), DayCell(friday), NumberCell(2)}},
			{9, []TableCell{TextCell("Total"), {}, {}, NumberCell(5)}}}}}, OrderSheet{}, two},
		{"0 and blank are none", orderSheet([]any{"Inn", "Blend", tuesday, 3}, []any{"Inn", "Oak case", tuesday, 0}, []any{"Grill", "Blend", friday, nil},
			[]any{"Nobody", "Nothing", "someday", "0"}, []any{"Grill", "Oak case", friday, "2"}), OrderSheet{}, two},
		{"day before month, as told", orderSheet([]any{"Inn", "Blend", "2/3/2027", 3}, []any{"Grill", "Oak case", "05.03.27", 2}), OrderSheet{DayOrder: DayMonthYear}, two},
		{"month before day, as told", orderSheet([]any{"Inn", "Blend", "3/2/2027", 3}, []any{"Grill", "Oak case", "3-05-2027", 2}), OrderSheet{DayOrder: MonthDayYear}, two},
		{"the day it arrives, two days after pickup", []Table{sheetOf("x", []any{"Customer", "Case", "Delivery date", "Cases"},
			[]any{"Inn", "Blend", "2027-03-04", 3}, []any{"Grill", "Oak case", "2027-03-07", 2})}, OrderSheet{DaysAfterPickup: days(2)}, two},
		{"one customer and one day for the whole sheet", []Table{sheetOf("x", []any{"Case", "Cases"}, []any{"Blend", 3})}, OrderSheet{Customer: "Inn", Day: tuesday}, two[:1]},
		{"heads that are whole cases", []Table{sheetOf("x", []any{"Customer", "Case", "Day", "Heads"}, []any{"Inn", "Blend", tuesday, 36})}, OrderSheet{}, two[:1]},
		{"dozens of heads", orderSheet([]any{"Inn", "Blend", tuesday, 3}), OrderSheet{Unit: "dozens"}, two[:1]},
		{"a column a product", []Table{sheetOf("x", []any{"Customer", "Day", "Blend", "Oak case", "Total"}, []any{"Inn", tuesday, 3, nil, 3}, []any{"Grill", friday, 0, 2, 2})}, OrderSheet{}, two},
		{"a column a day", []Table{sheetOf("x", []any{"Customer", "Case", tuesday, "2027-03-05"}, []any{"Inn", "Blend", 3, nil}, []any{"Grill", "Oak case", nil, 2})}, OrderSheet{}, two},
		{"two sheets, and one that holds none", []Table{sheetOf("read me", []any{"Please order by noon"}),
			orderSheet([]any{"Inn", "Blend", tuesday, 3})[0], orderSheet([]any{"Grill", "Oak case", friday, 2})[0]}, OrderSheet{}, two},
		{"only the sheet named", []Table{sheetOf("a", orderHeading, []any{"Inn", "Blend", tuesday, 9}), sheetOf("b", orderHeading, []any{"Inn", "Blend", tuesday, 3})}, OrderSheet{Sheet: "B"}, two[:1]},
		{"a merged customer", []Table{{Name: "x", Rows: []TableRow{{1, []TableCell{TextCell("Customer"), TextCell("Case"), TextCell("Day"), TextCell("Cases")}},
			{2, []TableCell{TextCell("Inn"), TextCell("Blend"), DayCell(tuesday), NumberCell(3)}},
			{3, []TableCell{{Kind: CellText, Text: "Inn", Spread: true}, TextCell("Oak case"), DayCell(tuesday), NumberCell(1)}}}}}, OrderSheet{}, []string{two[0], "INN OAK-CASE 2027-03-02 1"}},
		{"days that are past are left out", orderSheet([]any{"Inn", "Blend", "2027-02-26", 1}, []any{"Inn", "Blend", tuesday, 3}), OrderSheet{}, two[:1]},
		{"the sender's own headings", []Table{sheetOf("x", []any{"Who", "What", "When", "Date", "Cases"}, []any{"Inn", "Blend", tuesday, "noon", 3})},
			OrderSheet{Columns: map[string]string{"customer": "who", "case": "WHAT", "pickup day": "when"}}, two[:1]},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h := newHouse(t)
			h.take(c.tables, c.opts)
			require.ElementsMatch(t, c.want, h.lines())
		})
	}
}

func TestOrderSheetsRefused(t *testing.T) {
	line := []any{"Inn", "Blend", tuesday, 3}
	with := func(column int, v any) []any {
		row := []any{"Inn", "Blend", tuesday, 3, nil, nil, nil}
		row[column] = v
		return row
	}
	cases := []struct {
		name   string
		tables []Table
		opts   OrderSheet
		place  string
		code   string
	}{
		{"negative cases", orderSheet(line, with(3, -1)), OrderSheet{}, "sheet Orders, row 3, column D (cases)", "at_least"},
		{"negative cases as text", orderSheet(with(3, "-1")), OrderSheet{}, "sheet Orders, row 2, column D (cases)", "at_least"},
		{"too many cases", orderSheet(with(3, 1_000_001)), OrderSheet{}, "sheet Orders, row 2, column D (cases)", "at_most"},
		{"part of a case", orderSheet(with(3, 2.5)), OrderSheet{}, "sheet Orders, row 2, column D (cases)", "not_whole"},
		{"no number of cases", orderSheet(with(3, "3 cs")), OrderSheet{}, "sheet Orders, row 2, column D (cases)", "no_number"},
		{"a formula without a value", orderSheet(with(3, TableCell{Kind: CellNoValue})), OrderSheet{}, "sheet Orders, row 2, column D (cases)", "formula_without_value"},
		{"a formula without a value for a day", orderSheet(with(2, TableCell{Kind: CellNoValue})), OrderSheet{}, "sheet Orders, row 2, column C (pickup day)", "formula_without_value"},
		{"an error for a name", orderSheet(with(0, TableCell{Kind: CellBroken, Text: "#REF!"})), OrderSheet{}, "sheet Orders, row 2, column A (customer)", "formula_broken"},
		{"figures in merged cells", orderSheet(with(3, TableCell{Kind: CellNumber, Number: 3, Text: "3", Spread: true})), OrderSheet{}, "sheet Orders, row 2, column D (cases)", "merged_figure"},
		{"29 February of a common year", orderSheet(with(2, "2027-02-29")), OrderSheet{}, "sheet Orders, row 2, column C (pickup day)", "no_such_day"},
		{"29 February, day first", orderSheet(with(2, "29/2/2027")), OrderSheet{DayOrder: DayMonthYear}, "sheet Orders, row 2, column C (pickup day)", "no_such_day_in_order"},
		{"a day in an order not told", orderSheet(with(2, "2/3/2027")), OrderSheet{}, "sheet Orders, row 2, column C (pickup day)", "day_order_not_told"},
		{"a year of two digits", orderSheet(with(2, "26/2/27")), OrderSheet{}, "sheet Orders, row 2, column C (pickup day)", "day_order_not_told"},
		{"a number for a day", orderSheet(with(2, 46023)), OrderSheet{}, "sheet Orders, row 2, column C (pickup day)", "number_for_day"},
		{"a day in words", orderSheet(with(2, "next Tuesday")), OrderSheet{}, "sheet Orders, row 2, column C (pickup day)", "no_day"},
		{"no day", orderSheet(with(2, nil)), OrderSheet{}, "sheet Orders, row 2, column C (pickup day)", "required"},
		{"no day, though rows may wait", orderSheet(with(2, nil)), OrderSheet{Park: true}, "sheet Orders, row 2, column C (pickup day)", "required"},
		{"a day without a pickup", orderSheet(with(2, "2027-03-03")), OrderSheet{}, "sheet Orders, row 2, column C (pickup day)", "no_pickup"},
		{"an unknown customer", orderSheet(with(0, "Inm")), OrderSheet{}, "sheet Orders, row 2, column A (customer)", "unknown_customer"},
		{"no customer", orderSheet(with(0, nil)), OrderSheet{}, "sheet Orders, row 2, column A (customer)", "required"},
		{"an unknown product", orderSheet(with(1, "Blendd")), OrderSheet{}, "sheet Orders, row 2, column B (case)", "unknown_product"},
		{"a reference too long", orderSheet(with(5, fmt.Sprintf("%061d", 1))), OrderSheet{}, "sheet Orders, row 2, column F (reference)", "too_long"},
		{"two rows alike", orderSheet(line, []any{"Grill", "Blend", tuesday, 1}, []any{"inn", "BLEND", "2027-03-02", 4}), OrderSheet{}, "sheet Orders, row 4", "rows_alike"},
		{"two rows alike, though rows may wait", orderSheet(line, line), OrderSheet{Park: true}, "sheet Orders, row 3", "rows_alike"},
		{"a heading twice", []Table{sheetOf("Orders", []any{"Customer", "Case", "Day", "Cases", "Qty"}, line)}, OrderSheet{}, "sheet Orders, row 1, column E (cases)", "heading_twice"},
		{"a heading missing", []Table{sheetOf("Orders", []any{"Customer", "Case", "Cases"}, line)}, OrderSheet{}, "sheet Orders, row 1", "column_missing"},
		{"no heading", []Table{sheetOf("Orders", line)}, OrderSheet{Name: "o.csv"}, "file o.csv", "no_order_heading"},
		{"arrival days, not told how many days", []Table{sheetOf("Orders", []any{"Customer", "Case", "Arrival", "Cases"}, line)}, OrderSheet{}, "sheet Orders, row 1, column C (arrival day)", "arrival_not_told"},
		{"heads that are no whole cases", orderSheet(with(3, 13)), OrderSheet{Unit: "heads"}, "sheet Orders, row 2, column D (heads)", "no_whole_cases"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h := newHouse(t)
			p := h.preview(c.tables, c.opts)
			require.Len(t, p.Faults, 1)
			require.Equal(t, c.place+" "+c.code, p.Faults[0].Place+" "+p.Faults[0].Code)
			_, err := h.book.TakeOrders(t.Context(), owner, c.tables, c.opts, p.Revision)
			require.Equal(t, p.Faults, faultsOf(t, err))
			require.Empty(t, h.lines())
			after, err := h.book.Revision(t.Context())
			require.NoError(t, err)
			require.Equal(t, p.Revision, after, "nothing was changed")
		})
	}
}

func TestEverythingWrongWithARowIsTold(t *testing.T) {
	h := newHouse(t)
	p := h.preview(orderSheet([]any{"Inm", "Blend", "2027-02-29", -3}), OrderSheet{})
	var codes []string
	for _, f := range p.Faults {
		codes = append(codes, f.Code)
	}
	require.Equal(t, []string{"no_such_day", "unknown_customer", "at_least"}, codes)
}

func TestRowsAlikeNameBoth(t *testing.T) {
	h := newHouse(t)
	p := h.preview(orderSheet([]any{"Inn", "Blend", tuesday, 3}, []any{"Inn", "Blend", tuesday, 3}, []any{"Inn", "Blend", tuesday, 3, nil, "R2"}), OrderSheet{})
	require.Equal(t, []Fate{FateLine, FateRefused, FateLine}, []Fate{p.Rows[0].Fate, p.Rows[1].Fate, p.Rows[2].Fate})
	require.Equal(t, SheetPlace("Orders", 2, -1, ""), p.Faults[0].Args["other"])
}

func TestTheSameFileTwiceChangesNothing(t *testing.T) {
	h := newHouse(t)
	first := h.take(orderSheet([]any{"Inn", "Blend", tuesday, 3}), OrderSheet{Name: "a.xlsx"})
	require.Equal(t, 1, first.Added)
	before, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	again := []Table{sheetOf("renamed", []any{"Customer", "Case", "Pickup day", "Cases", "Purchase order", "Reference", "Note", nil}, []any{"Inn", "Blend", "2027-03-02", "3", nil})}
	p := h.preview(again, OrderSheet{Name: "b.csv"})
	require.True(t, p.Already, "the same rows as CSV")
	taken, err := h.book.TakeOrders(t.Context(), owner, again, OrderSheet{Name: "b.csv"}, 0)
	require.NoError(t, err)
	require.True(t, taken.Already)
	require.Equal(t, "a.xlsx", taken.Sheet.Name)
	after, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	require.Equal(t, before, after)
	require.Len(t, h.lines(), 1)
}

func TestAPreviewIsTakenOnItsOwnRevisionOnly(t *testing.T) {
	h := newHouse(t)
	tables := orderSheet([]any{"Inn", "Blend", tuesday, 3})
	p := h.preview(tables, OrderSheet{})
	h.order("INN", "OAK-CASE", 1, friday)
	_, err := h.book.TakeOrders(t.Context(), owner, tables, OrderSheet{}, p.Revision)
	require.ErrorIs(t, err, domain.ErrStale)
	_, err = h.book.TakeOrders(t.Context(), owner, tables, OrderSheet{}, NoBase)
	require.ErrorIs(t, err, domain.ErrNoMatch)
	require.Len(t, h.lines(), 1)
}

func TestRowsOfOneOrder(t *testing.T) {
	h := newHouse(t)
	rows := orderSheet(
		[]any{"Inn", "Blend", tuesday, 3, "4711", nil, "side door"}, []any{"Inn", "Oak case", tuesday, 1, "4711", nil, "side door"},
		[]any{"Inn", "Blend", friday, 2, "4711"}, []any{"Grill", "Blend", tuesday, 1, "4711"}, []any{"Inn", "Blend", tuesday, 1, "4711", "R9", "early"})
	taken := h.take(rows, OrderSheet{})
	require.Equal(t, 4, taken.Added)
	rec, err := h.book.Orders.Get(t.Context(), owner, taken.Sheet.Orders[0])
	require.NoError(t, err)
	require.Equal(t, domain.Order{ID: taken.Sheet.Orders[0], Customer: "INN", Pickup: tuesday, Mode: domain.Add, PO: "4711", Note: "side door",
		Lines: []domain.OrderLine{{Product: "BLEND", Cases: 3}, {Product: "OAK-CASE", Cases: 1}}, Received: taken.Sheet.Taken}, rec.Value)
}

func TestNoneInsteadOfTheStandingOrderIsALine(t *testing.T) {
	h := newHouse(t)
	h.take(orderSheet([]any{"Inn", "Blend", tuesday, 0}, []any{"Inn", "Oak case", tuesday, nil}), OrderSheet{Mode: domain.Replace})
	require.Equal(t, []string{"INN BLEND 2027-03-02 0"}, h.lines())
	p := h.preview(orderSheet([]any{"Inn", "Blend", tuesday, 2, nil, "R1"}), OrderSheet{Mode: domain.Replace})
	require.Equal(t, "sheet Orders, row 2 both_replace", p.Faults[0].Place+" "+p.Faults[0].Code)
}

func TestUnknownNamesAreOfferedAllAtOnce(t *testing.T) {
	h := newHouse(t)
	tables := orderSheet([]any{"The Inn", "Blend", tuesday, 1}, []any{"Gril", "Oak cse", tuesday, 1}, []any{"gril", "Blend", friday, 1}, []any{"Zephyr", "Blend", friday, 1})
	p := h.preview(tables, OrderSheet{})
	require.Equal(t, []Unknown{
		{Kind: "customer", Name: "The Inn", Rows: []int{2}, Count: 1},
		{Kind: "customer", Name: "Gril", Rows: []int{3, 4}, Count: 2, Nearest: []Named{{"GRILL", "Grill"}}},
		{Kind: "customer", Name: "Zephyr", Rows: []int{5}, Count: 1},
		{Kind: "product", Name: "Oak cse", Rows: []int{3}, Count: 1, Nearest: []Named{{"OAK-CASE", "Oak case"}}},
	}, p.Unknown)

	t.Run("tied to ours, or made", func(t *testing.T) {
		o := OrderSheet{NewCustomers: true, Ties: []Tie{{Kind: "customer", Name: "gril", Code: "GRILL"}, {Kind: "product", Name: "Oak cse", Code: "OAK-CASE"},
			{Kind: "customer", Name: "The Inn", Customer: &domain.Customer{Importance: domain.Casual}}}}
		h.take(tables, o)
		require.ElementsMatch(t, []string{"THE-INN BLEND 2027-03-02 1", "GRILL OAK-CASE 2027-03-02 1", "GRILL BLEND 2027-03-05 1", "ZEPHYR BLEND 2027-03-05 1"}, h.lines())
		rec, err := h.book.Customers.Get(t.Context(), owner, "THE-INN")
		require.NoError(t, err)
		require.Equal(t, domain.Customer{Code: "THE-INN", Name: "The Inn", Importance: domain.Casual, Substitutes: "yes", Carrier: "VAN"}, rec.Value)
	})
	t.Run("a tie to nothing", func(t *testing.T) {
		p := h.preview(tables, OrderSheet{Ties: []Tie{{Kind: "customer", Name: "gril", Code: "NOBODY"}}})
		require.Equal(t, "ties[0].code", p.Faults[0].Place)
	})
}

func TestTheCustomersOwnItemCodesGoFirst(t *testing.T) {
	h := newHouse(t)
	add(h, h.book.Customers, domain.Customer{Name: "Depot", ItemCodes: map[string]string{"OAK-CASE": "Blend"}})
	h.take(orderSheet([]any{"Depot", "blend", tuesday, 1}, []any{"Inn", "blend", tuesday, 1}), OrderSheet{})
	require.ElementsMatch(t, []string{"DEPOT OAK-CASE 2027-03-02 1", "INN BLEND 2027-03-02 1"}, h.lines())
}

func TestRowsThatCannotBeReadAreParkedWhenAsked(t *testing.T) {
	h := newHouse(t)
	tables := orderSheet([]any{"Inn", "Blend", tuesday, 3}, []any{"Nobody", "Blend", friday, 1}, []any{"Inn", "Blend", "2027-03-03", 1}, []any{"Inn", "Blend", friday, "many"})
	taken := h.take(tables, OrderSheet{Park: true})
	require.Equal(t, 3, taken.Parked)
	require.Equal(t, []string{"INN BLEND 2027-03-02 3"}, h.lines())
	parked, err := h.book.Parked(t.Context(), owner, monday)
	require.NoError(t, err)
	require.Len(t, parked, 3)
	require.Equal(t, "no_pickup", parked[0].Value.Fault.Code)
	require.Equal(t, []string{"Nobody", "Blend", "2027-03-05", "1"}, parked[1].Value.Cells)
	_, err = h.book.SettleParked(t.Context(), owner, parked[0].Value.ID, "order O9", Note{Base: parked[0].Rev})
	require.NoError(t, err)
	parked, err = h.book.Parked(t.Context(), owner, monday)
	require.NoError(t, err)
	require.Len(t, parked, 2)
}

func TestALaterSheetOfTheSenderStandsInsteadOfTheEarlier(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "BLEND", 7, tuesday)
	o := OrderSheet{Sender: "Depot"}
	first := orderSheet([]any{"Inn", "Blend", tuesday, 3}, []any{"Grill", "Blend", tuesday, 1}, []any{"Inn", "Blend", friday, 5})
	h.take(first, o)
	later := orderSheet([]any{"Inn", "Blend", tuesday, 4}, []any{"Grill", "Oak case", tuesday, 1, "77"})
	p := h.preview(later, o)
	var changes []string
	for _, c := range p.Changes {
		changes = append(changes, fmt.Sprintf("%s %s %s %d->%d", c.Customer, c.Product, c.Day, c.Was, c.Now))
	}
	require.Equal(t, []string{"GRILL BLEND 2027-03-02 1->0", "GRILL OAK-CASE 2027-03-02 0->1", "INN BLEND 2027-03-02 3->4"}, changes)
	taken := h.take(later, o)
	require.Equal(t, [3]int{1, 1, 1}, [3]int{taken.Added, taken.Changed, taken.Removed})
	require.ElementsMatch(t, []string{"INN BLEND 2027-03-02 7", "INN BLEND 2027-03-02 4", "GRILL OAK-CASE 2027-03-02 1", "INN BLEND 2027-03-05 5"}, h.lines())

	back := h.take(first, o)
	require.False(t, back.Already, "the first can stand again")
	require.ElementsMatch(t, []string{"INN BLEND 2027-03-02 7", "INN BLEND 2027-03-02 3", "GRILL BLEND 2027-03-02 1", "INN BLEND 2027-03-05 5"}, h.lines())
}

func TestAnOrderOfTheSameReferenceIsChanged(t *testing.T) {
	h := newHouse(t)
	h.take(orderSheet([]any{"Inn", "Blend", tuesday, 3, nil, "R1"}), OrderSheet{})
	taken := h.take(orderSheet([]any{"Inn", "Blend", tuesday, 2, "4711", "R1"}), OrderSheet{})
	require.Equal(t, 1, taken.Changed)
	require.Equal(t, []string{"INN BLEND 2027-03-02 2"}, h.lines())
}

func TestNoSheetTakesAWordBack(t *testing.T) {
	h := newHouse(t)
	first := h.take(orderSheet([]any{"Inn", "Blend", tuesday, 3, nil, "R1"}), OrderSheet{})
	_, err := h.book.Promise(t.Context(), owner, monday, domain.LineID(first.Sheet.Orders[0], "BLEND", "VAN", tuesday), 3, Note{Base: 0})
	require.NoError(t, err)
	p := h.preview(orderSheet([]any{"Inn", "Blend", tuesday, 2, nil, "R1"}), OrderSheet{})
	require.Equal(t, "sheet Orders, row 2 word_stands", p.Faults[0].Place+" "+p.Faults[0].Code)
}

func TestALowStopLeavesTheBookAsItWas(t *testing.T) {
	h := newHouse(t)
	tables := manyOrders(600)
	p := h.preview(tables, OrderSheet{})
	ctx, stop := context.WithCancel(t.Context())
	o := OrderSheet{Progress: func(done, total int) {
		if done == 400 {
			stop()
		}
	}}
	_, err := h.book.TakeOrders(ctx, owner, tables, o, p.Revision)
	require.ErrorIs(t, err, context.Canceled)
	require.Empty(t, h.lines())
	after, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	require.Equal(t, p.Revision, after)
}

// manyOrders is a sheet of so many orders, a day each.
func manyOrders(n int) []Table {
	t := sheetOf("Orders", orderHeading)
	for i := range n {
		t.Add([]string{"Inn", "Grill"}[i%2], []string{"Blend", "Oak case"}[i/2%2], tuesday.Add(i%7/4*3+7*(i/4%50)), i%5+1, "4711", fmt.Sprintf("R%d", i), "note")
	}
	return []Table{t}
}

func BenchmarkTakeOrders20000(b *testing.B) {
	tables := manyOrders(19_999)
	for b.Loop() {
		b.StopTimer()
		h := newHouse(b)
		p := h.preview(tables, OrderSheet{})
		b.StartTimer()
		if _, err := h.book.TakeOrders(b.Context(), owner, tables, OrderSheet{}, p.Revision); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPreviewOrders20000(b *testing.B) {
	tables, h := manyOrders(19_999), newHouse(b)
	b.ReportAllocs()
	for b.Loop() {
		if p := h.preview(tables, OrderSheet{}); len(p.Faults) > 0 {
			b.Fatal(p.Faults[0])
		}
	}
}

func FuzzReadDay(f *testing.F) {
	for _, seed := range []string{"2027-02-29", "29/2/2028", "1.3.27", "2027-03-01T00:00:00Z", "12-31-1999", "0/0/0"} {
		f.Add(seed, "dmy")
	}
	f.Fuzz(func(t *testing.T, text, order string) {
		d, m := readDay(TextCell(text), DayOrder(order))
		if m != nil {
			return
		}
		year, month, day := d.Date()
		for order, written := range map[DayOrder]string{"": d.String(), YearMonthDay: d.String(),
			DayMonthYear: fmt.Sprintf("%d/%d/%04d", day, month, year), MonthDayYear: fmt.Sprintf("%d-%d-%04d", month, day, year)} {
			again, m := readDay(TextCell(written), order)
			require.Nil(t, m, "%q is read as %s, and not %q", text, d, written)
			require.Equal(t, d, again, "%q", written)
		}
	})
}

func TestADateThatIsOneDayOnlyIsRead(t *testing.T) {
	for text, day := range map[string]string{"26/11/2026": "2026-11-26", "11/26/2026": "2026-11-26", "4.4.2027": "2027-04-04", "2027/3/4": "2027-03-04", "3/4/2027": "", "26/11/26": "",
		"-26/11/2026": "", "26//11/2026": "", "26/11/2026/": "", "26/11.2026": "", "26-11-2026": "2026-11-26"} {
		d, m := readDay(TextCell(text), "")
		if day == "" {
			require.NotNil(t, m, text)
			continue
		}
		require.Nil(t, m, text)
		require.Equal(t, domain.MustDay(day), d, text)
	}
}
