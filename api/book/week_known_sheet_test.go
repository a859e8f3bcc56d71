package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// customersNamed are the book's customers as "code name importance".
func (h *house) customersNamed() (list []string) {
	records, err := h.book.Customers.List(h.t.Context(), owner, Query{})
	require.NoError(h.t, err)
	for _, r := range records {
		list = append(list, r.Value.Code+" "+r.Value.Name+" "+string(r.Value.Importance))
	}
	return list
}

// TestAWorkbookSpeaksOfTheBooksOwnRecords: what the book has under a code that is
// not made from its name is the same record, and no second one.
func TestAWorkbookSpeaksOfTheBooksOwnRecords(t *testing.T) {
	h := newHouse(t)
	carriers, err := h.book.Carriers.List(t.Context(), owner, Query{})
	require.NoError(t, err)
	add(h, h.book.Customers, domain.Customer{Code: "K7", Name: "The Example Inn", Carrier: carriers[0].Value.Code, Importance: domain.Anchor})
	add(h, h.book.Varieties, domain.Variety{Code: "V1", Name: "Green Butterhead"})
	h.takeWorkbook(workbookOf(func(sheets map[string]*Table) { sheets[sheetCustomers].Rows = nil }))
	require.Contains(t, h.customersNamed(), "K7 The Example Inn anchor", "only the orders name it: it stays as it is")
	require.NotContains(t, h.customersNamed(), "THE-EXAMPLE-INN The Example Inn steady")
	orders, err := h.book.Standing.List(t.Context(), owner, Query{})
	require.NoError(t, err)
	of := map[string]bool{}
	for _, o := range orders {
		of[o.Value.Customer] = true
	}
	require.True(t, of["K7"])
}

// TestNamesThatGiveOneCodeAreTwoRecords: a code made from a long name is cut
// off, and the book may have used it for another.
func TestNamesThatGiveOneCodeAreTwoRecords(t *testing.T) {
	const east, west = "The kitchen of the northern harbour, east", "The kitchen of the northern harbour, west"
	require.Equal(t, domain.CodeFrom(east, func(string) bool { return false }), domain.CodeFrom(west, func(string) bool { return false }))
	h := newHouse(t)
	add(h, h.book.Customers, domain.Customer{Name: east, Carrier: "VAN", Importance: domain.Anchor})
	ordersFor := func(name string) func(map[string]*Table) {
		return func(sheets map[string]*Table) {
			rows := sheets[sheetOrders].Rows
			for i := range rows {
				if rows[i].At(0).Text == "The Example Inn" {
					rows[i].Cells[0] = TextCell(name)
				}
			}
		}
	}
	h.takeWorkbook(workbookOf(ordersFor(west)))
	code := domain.CodeFrom(east, func(string) bool { return false })
	require.Contains(t, h.customersNamed(), code+" "+east+" anchor", "stays as it was")
	require.Contains(t, h.customersNamed(), code+"-2 "+west+" steady")
}

func TestANameThatIsSeveralRecordsIsRefused(t *testing.T) {
	h := newHouse(t)
	add(h, h.book.Varieties, domain.Variety{Code: "GB1", Name: "Green butterhead"})
	add(h, h.book.Varieties, domain.Variety{Code: "GB2", Name: "Green-Butterhead"})
	_, err := h.book.TakeWorkbook(t.Context(), owner, workbookOf(write(sheetVarieties, "Green butterhead", 0, "GREEN BUTTERHEAD")), "", "week.xlsx")
	faults := faultsOf(t, err)
	require.Equal(t, "ambiguous", faults[0].Code)
	require.Equal(t, []string{"GB1", "GB2"}, faults[0].Args["codes"])
	_, looked, err := h.book.PreviewWorkbook(t.Context(), owner, workbookOf(write(sheetVarieties, "Green butterhead", 0, "GREEN BUTTERHEAD")), "")
	require.NoError(t, err)
	require.Equal(t, faults, looked)
}

func TestANewCustomerOfAnEndedOnesNameIsAnother(t *testing.T) {
	h := newHouse(t)
	gone := add(h, h.book.Customers, domain.Customer{Code: "CORNER", Name: "Corner", Carrier: "VAN"})
	_, err := h.book.Customers.End(t.Context(), owner, "CORNER", Note{Base: gone.Rev})
	require.NoError(t, err)
	h.take(orderSheet([]any{"Corner", "Blend", tuesday, 3}), OrderSheet{NewCustomers: true})
	require.Contains(t, h.lines(), "CORNER-2 BLEND 2027-03-02 3")
}
