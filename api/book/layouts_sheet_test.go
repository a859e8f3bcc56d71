package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// depot is how an invented depot writes its order sheets: stores of its own,
// arrival days with the day first, numbers for cases, heads for quantities.
func depot(h *house) Record[domain.Layout] {
	return add(h, h.book.Layouts(), domain.Layout{Name: "Depot", DayOrder: "dmy", DaysAfterPickup: days(1), Unit: "heads",
		Columns: map[string]string{"customer": "Outlet", "case": "Art. no", "arrival day": "Wanted", "cases": "Pcs"}})
}

func depotSheet(rows ...[]any) []Table {
	return []Table{sheetOf("Export", append([][]any{{"Outlet", "Art. No.", "Wanted", "Pcs"}}, rows...)...)}
}

func TestALayoutIsChosenByItsHeadings(t *testing.T) {
	h := newHouse(t)
	depot(h)
	add(h, h.book.Layouts(), domain.Layout{Name: "Other", Columns: map[string]string{"customer": "Outlet", "cases": "Crates"}})
	add(h, h.book.Layouts(), domain.Layout{Name: "Few", Columns: map[string]string{"customer": "Outlet"}})
	tables := depotSheet([]any{"Inn", "17", "03/03/2027", 24}, []any{"No 4", "17", "06/03/2027", 12})
	p := h.preview(tables, OrderSheet{})
	require.Equal(t, "DEPOT", p.Layout)
	require.Equal(t, []string{"No 4", "17"}, []string{p.Unknown[0].Name, p.Unknown[1].Name}, "unknown names once each")

	ties := []Tie{{Kind: "customer", Name: "No 4", Code: "GRILL"}, {Kind: "product", Name: "17", Code: "BLEND"}}
	h.take(tables, OrderSheet{Ties: ties})
	require.ElementsMatch(t, []string{"INN BLEND 2027-03-02 2", "GRILL BLEND 2027-03-05 1"}, h.lines())

	// The next sheet needs no ties, and stands instead of the first on its days.
	later := depotSheet([]any{"Inn", "17", "03/03/2027", 36})
	require.Equal(t, []LineChange{{Order: h.preview(later, OrderSheet{}).Changes[0].Order, Customer: "INN", Product: "BLEND", Day: tuesday, Was: 2, Now: 3}}, h.preview(later, OrderSheet{}).Changes)
	h.take(later, OrderSheet{})
	require.ElementsMatch(t, []string{"INN BLEND 2027-03-02 3", "GRILL BLEND 2027-03-05 1"}, h.lines())
}

func TestWhereTwoLayoutsFitAPersonChooses(t *testing.T) {
	h := newHouse(t)
	depot(h)
	again := add(h, h.book.Layouts(), domain.Layout{Name: "Depot 2", DayOrder: "mdy", DaysAfterPickup: days(1),
		Columns: map[string]string{"customer": "Outlet", "case": "Art. no", "arrival day": "Wanted", "cases": "Pcs"}})
	tables := depotSheet([]any{"Inn", "Blend", "03/03/2027", 24})
	require.Empty(t, h.preview(tables, OrderSheet{}).Layout)
	p := h.preview(tables, OrderSheet{Layout: again.Value.Code})
	require.Equal(t, domain.Cases(24), p.Rows[0].Cases)
	_, err := h.book.PreviewOrders(t.Context(), owner, tables, OrderSheet{Layout: "NONE"})
	require.Equal(t, "layout unknown", faultsOf(t, err)[0].Place+" "+faultsOf(t, err)[0].Code)
}

func TestALayoutIsKeptFromASheetThatWasRead(t *testing.T) {
	h := newHouse(t)
	o := OrderSheet{Sender: "Canteens", Keep: true, DayOrder: DayMonthYear, Columns: map[string]string{"customer": "Outlet", "case": "Art no", "pickup day": "Wanted", "cases": "Pcs"},
		Ties: []Tie{{Kind: "product", Name: "17", Code: "BLEND"}}}
	first := depotSheet([]any{"Inn", "17", "2/3/2027", 2})
	require.Equal(t, []string{"Outlet", "Art. No.", "Wanted", "Pcs"}, h.preview(first, OrderSheet{}).Headings)
	h.take(first, o)
	later := depotSheet([]any{"Inn", "17", "2/3/2027", 3})
	p := h.preview(later, OrderSheet{})
	require.Equal(t, "CANTEENS", p.Layout)
	require.Empty(t, p.Faults)

	// What is told of a later sheet goes into the layout too, and its names stay.
	o = OrderSheet{Layout: "CANTEENS", Keep: true, Unit: "heads", DayOrder: MonthDayYear}
	h.take(depotSheet([]any{"Inn", "17", "3/2/2027", 24}), o)
	kept, err := h.book.Layouts().Get(t.Context(), owner, "CANTEENS")
	require.NoError(t, err)
	require.Equal(t, domain.Layout{Code: "CANTEENS", Name: "Canteens", DayOrder: "mdy", Unit: "heads", Mode: domain.Add,
		Columns: o.By(&kept.Value).Columns, Products: map[string]string{"17": "BLEND"}}, kept.Value)
}

// TestALayoutIsKeptByTheHeadingsOfItsSheet: where nobody told headings, those
// that were found are what the next sheet is known by.
func TestALayoutIsKeptByTheHeadingsOfItsSheet(t *testing.T) {
	h := newHouse(t)
	rows := func(cases int) []Table {
		return []Table{sheetOf("Export", []any{"Account", "SKU", "Deliver on", "Qty"}, []any{"Inn", "Blend", "03/03/2027", cases})}
	}
	h.take(rows(2), OrderSheet{Sender: "Depot", Keep: true, DayOrder: DayMonthYear, DaysAfterPickup: days(1)})
	p := h.preview(rows(3), OrderSheet{})
	require.Equal(t, "DEPOT", p.Layout)
	require.Equal(t, "Depot", p.Read.Sender)
	require.Equal(t, []LineChange{{Order: p.Changes[0].Order, Customer: "INN", Product: "BLEND", Day: tuesday, Was: 2, Now: 3}}, p.Changes)
	require.Equal(t, "DEPOT", h.preview(rows(3), OrderSheet{Sender: "depot"}).Layout, "by who sends it, too")

	_, err := h.book.PreviewOrders(t.Context(), owner, rows(2), OrderSheet{Keep: true})
	require.Equal(t, domain.Faults{{Place: "sender", Code: "required"}}, faultsOf(t, err), "a layout has a name")
}

func TestLayoutsRefused(t *testing.T) {
	h := newHouse(t)
	cases := []struct {
		name   string
		layout domain.Layout
		place  string
		code   string
	}{
		{"no name", domain.Layout{}, "name", "required"},
		{"a column of nothing", domain.Layout{Name: "A", Columns: map[string]string{"colour": "Colour"}}, "columns.colour", "one_of"},
		{"one heading for two columns", domain.Layout{Name: "A", Columns: map[string]string{"case": "Item", "customer": "item"}}, "columns.customer", "layout_heading"},
		{"an unknown product", domain.Layout{Name: "A", Products: map[string]string{"17": "NONE"}}, "products.17", "unknown"},
		{"an order of days of nothing", domain.Layout{Name: "A", DayOrder: "dym"}, "day_order", "one_of"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := h.book.Layouts().Create(t.Context(), owner, c.layout, Note{})
			faults := faultsOf(t, err)
			require.Equal(t, c.place+" "+c.code, faults[0].Place+" "+faults[0].Code)
		})
	}
}
