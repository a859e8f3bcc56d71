package pages_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/api/pages"
	"headtally/api/words"
	"headtally/domain"
)

// readsLines makes the pages read files of lines with commas.
func (h *house) readsLines() {
	h.pages.Read = func(name string, content []byte) ([]book.Table, error) {
		table := book.Table{Name: name}
		for i, line := range strings.Split(strings.TrimSpace(string(content)), "\n") {
			row := book.TableRow{Number: i + 1}
			for _, cell := range strings.Split(line, ",") {
				row.Cells = append(row.Cells, book.TextCell(cell))
			}
			table.Rows = append(table.Rows, row)
		}
		return []book.Table{table}, nil
	}
}

func TestAnOrderSheetIsLookedAtAndTaken(t *testing.T) {
	h := full(t, 12)
	h.readsLines()
	h.get("/sheet").wellMade(t, http.StatusOK)
	p := h.drop("orders.csv", "Customer,Product,Date,Cases\nHarbor Table,Little gem flat,2027-03-04,4\nHarbour Tabel,P1,2027-03-04,2\n")
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main"), "Harbour Tabel")
	address := attr(p.one("#sheetform"), "action")
	tied := p.form("#sheetform select")
	tied.Set("tie~customer~Harbour Tabel", "C002")
	p = h.get(address + "?" + tied.Encode())
	p.wellMade(t, http.StatusOK)
	take := p.form("#sheetform select")
	require.NotEmpty(t, p.all("#sheetform button.first"), textOf(p.one("main")))
	h.follow(h.post(address, take))
	orders, err := h.book.Orders.List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Len(t, orders, 2)
	h.get("/sheet/0000").wellMade(t, http.StatusNotFound)
	h.post("/sheet", nil).wellMade(t, http.StatusUnprocessableEntity)
}

func TestASheetThatCannotBeReadSaysWhy(t *testing.T) {
	h := full(t, 12)
	h.readsLines()
	for content, why := range map[string]string{
		"Customer,Arrival,Cases\nHarbor Table,2027-03-04,4\n":                         "case",
		"Customer,Product,Arrival,Cases\nHarbor Table,Little gem flat,2027-03-04,4\n": "how many days after pickup",
		"Customer,Product,Date,Cases\nHarbor Table,Little gem flat,03/04/2027,4\n":    "may mean two days",
	} {
		p := h.drop("orders.csv", content)
		p.wellMade(t, http.StatusOK)
		require.Contains(t, p.text("main"), why)
	}
}

// drop sends a file as a browser does.
func (h *house) drop(name, content string) *page {
	return h.follow(h.sendSheet("/sheet", name, content))
}

func (h *house) sendSheet(address, name, content string) *page {
	var body bytes.Buffer
	parts := multipart.NewWriter(&body)
	part, err := parts.CreateFormFile("sheet", name)
	require.NoError(h.t, err)
	_, err = io.WriteString(part, content)
	require.NoError(h.t, err)
	require.NoError(h.t, parts.Close())
	r := httptest.NewRequest(http.MethodPost, address, &body)
	r.Header.Set("Content-Type", parts.FormDataContentType())
	return h.send(r)
}

// TestHowASheetWasReadIsKept: the office says once how a sender writes, and the
// sender's next sheet is read by itself.
func TestHowASheetWasReadIsKept(t *testing.T) {
	h := full(t, 12)
	h.readsLines()
	p := h.drop("first.csv", "Outlet,Art,Wanted,Pcs\nHarbor Table,Little gem flat,05/03/2027,4\n")
	require.NotEmpty(t, p.all(".wrong"), "no heading is known")
	address := attr(p.one("#sheetform"), "action")
	form := p.form("#sheetform select")
	for field, heading := range map[string]string{"customer": "Outlet", "case": "Art", "arrival day": "Wanted", "cases": "Pcs"} {
		form.Set("theirs~"+field, heading)
	}
	form.Set("day_order", "dmy")
	form.Set("after", "1")
	form.Set("sender", "Depot")
	form.Set("keep", "1")
	p = h.get(address + "?" + form.Encode())
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main"), "dates are day, month, year; cases arrive 1 day after pickup")
	take := p.form("#sheetform select")
	require.Equal(t, "Depot", take.Get("sender"))
	h.follow(h.post(address, take))

	p = h.drop("second.csv", "Outlet,Art,Wanted,Pcs\nHarbor Table,Little gem flat,05/03/2027,6\n")
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main"), "Read by the layout Depot")
	require.Contains(t, p.text("main"), "What changes", "it stands instead of the first")

	page := h.get("/layouts/DEPOT")
	page.wellMade(t, http.StatusOK)
	changed := page.form("main [name]")
	changed.Set("customers[0].theirs", "No 4")
	changed.Set("customers[0].ours", "C002")
	changed.Set("unit", "heads")
	h.follow(h.post("/layouts/DEPOT", changed))
	rec, err := h.book.Layouts().Get(t.Context(), book.Owner(), "DEPOT")
	require.NoError(t, err)
	require.Equal(t, map[string]string{"No 4": "C002"}, rec.Value.Customers)
	require.Equal(t, "heads", rec.Value.Unit)
	require.Equal(t, "Wanted", rec.Value.Columns["arrival day"])

	changed.Set("columns.case", "wanted")
	p = h.post("/layouts/DEPOT", changed)
	p.wellMade(t, http.StatusConflict)
	changed.Set("base", fmt.Sprint(rec.Rev))
	p = h.post("/layouts/DEPOT", changed)
	p.wellMade(t, http.StatusUnprocessableEntity)
	h.get("/history?of=layouts&code=DEPOT").wellMade(t, http.StatusOK)
}

func TestALayoutNeedsItsSender(t *testing.T) {
	h := full(t, 12)
	h.readsLines()
	p := h.drop("orders.csv", "Customer,Product,Date,Cases\nHarbor Table,Little gem flat,2027-03-04,4\n")
	form := p.form("#sheetform select")
	form.Set("keep", "1")
	p = h.post(attr(p.one("#sheetform"), "action"), form)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.NotEmpty(t, p.all("#sheetform [name=keep][checked]"), "what was asked is still there")
}

// another is another program's pages on the same book.
func (h *house) another() *house {
	o := &house{t: h.t, book: h.book, echo: echo.New(), now: h.now}
	o.pages = pages.New(pages.Deps{Book: h.book, Now: h.now})
	o.pages.Register(o.echo)
	return o
}

// TestADroppedSheetOutlivesTheProgram: another program on the same book finds
// it too.
func TestADroppedSheetOutlivesTheProgram(t *testing.T) {
	h := full(t, 12)
	h.readsLines()
	address := attr(h.drop("orders.csv", "Customer,Product,Date,Cases\nHarbor Table,Little gem flat,2027-03-04,4\n").one("#sheetform"), "action")
	other := h.another()
	other.readsLines()
	p := other.get(address)
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main"), "Harbor Table")
	other.follow(other.post(address, p.form("#sheetform select")))
	require.Contains(t, h.get(address).text("main"), "taken before")
	require.Equal(t, address, h.get(address+"/taking").header.Get("Location"), "who does not take it sends to the sheet's own page")
}

// TestALongTakingShowsHowFarItIs: the page loads again by itself, without a
// script, and tells the end.
func TestALongTakingShowsHowFarItIs(t *testing.T) {
	h := full(t, 12)
	h.readsLines()
	p := h.drop("orders.csv", "Customer,Product,Date,Cases\nHarbor Table,Little gem flat,2027-03-04,4\n")
	address, form := attr(p.one("#sheetform"), "action"), p.form("#sheetform select")

	// Somebody else writes all the while, so this sheet waits.
	writing, goOn := make(chan bool), make(chan bool)
	ended := make(chan error, 1)
	go func() { ended <- h.takeSlowly(context.WithoutCancel(t.Context()), writing, goOn) }()
	<-writing
	sent := h.post(address, form)
	require.Equal(t, address+"/taking", sent.header.Get("Location"), sent.body)
	p = h.get(address + "/taking")
	p.wellMade(t, http.StatusOK)
	require.Equal(t, "1", p.header.Get("Refresh"))
	close(goOn)
	require.NoError(t, <-ended)
	for p.header.Get("Refresh") != "" {
		p = h.get(address + "/taking")
	}
	p.wellMade(t, http.StatusConflict)
	require.Contains(t, p.text(".wrong"), "The book changed while you looked")
	p = h.get(address)
	h.follow(h.post(address, p.form("#sheetform select")))
}

// takeSlowly takes another sheet, and waits in the midst of it.
func (h *house) takeSlowly(ctx context.Context, writing chan<- bool, goOn <-chan bool) error {
	sheet := book.Table{Name: "Other", Rows: []book.TableRow{}}
	sheet.Add("Customer", "Product", "Date", "Cases")
	sheet.Add("C003", "P1", domain.MustDay("2027-03-05"), 1)
	o := book.OrderSheet{Progress: func(int, int) { writing <- true; <-goOn }}
	p, err := h.book.PreviewOrders(ctx, book.Owner(), []book.Table{sheet}, o)
	if err == nil {
		_, err = h.book.TakeOrders(ctx, book.Owner(), []book.Table{sheet}, o, p.Revision)
	}
	if err != nil {
		close(writing)
	}
	return err
}

func TestTablesLeaveTheBook(t *testing.T) {
	h := full(t, 12)
	h.pages.WriteCSV = func(w io.Writer, t book.Table, _ *words.Speech) error {
		_, err := fmt.Fprintf(w, "%s %d", t.Name, len(t.Rows))
		return err
	}
	h.pages.WriteXLSX = func(w io.Writer, tables []book.Table, _ *words.Speech) error {
		_, err := fmt.Fprintf(w, "%d tables", len(tables))
		return err
	}
	p := h.get("/exports")
	p.wellMade(t, http.StatusOK)
	require.Len(t, p.all("main form"), len(book.Exports))
	for _, x := range book.Exports {
		csv := h.get("/exports/" + string(x) + "?format=csv")
		require.Equal(t, http.StatusOK, csv.status)
		require.Equal(t, "text/csv; charset=utf-8", csv.header.Get("Content-Type"))
		require.Contains(t, csv.header.Get("Content-Disposition"), string(x)+"-2027-")
	}
	require.Contains(t, h.get("/exports/orders?"+url.Values{"format": {"xlsx"}, "from": {"2027-03-01"}}.Encode()).body, "2 tables")
	h.get("/exports/orders?from=tomorrow").wellMade(t, http.StatusUnprocessableEntity)
	require.NotEqual(t, http.StatusOK, h.get("/exports/everything").status)
}

func TestALiftCountIsTakenFromASheetOnThePage(t *testing.T) {
	h := full(t, 12)
	h.readsLines()
	address := "/morning/2027-03-03"
	h.get(address).wellMade(t, http.StatusOK)
	sent := func(content string) *page { return h.sendSheet(address+"/sheet", "lift.csv", content) }
	p := sent("Variety,Heads,Culls\nNobody's,40,2\n")
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.Contains(t, p.text(".wrong"), "Nobody")
	lifts, err := h.book.Lifts().List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Empty(t, lifts)

	name := h.get(address).text(".walk li b")
	for range 2 { // the second time the very same sheet changes nothing
		h.follow(sent("Variety,Heads,Culls\n" + name + ",40,2\n"))
	}
	lifts, err = h.book.Lifts().List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Len(t, lifts, 1)
	require.EqualValues(t, 40, lifts[0].Value.Rows[0].Heads)
}

// TestAProductOfASheetIsMadeOnTheWay: from the row that waits, or from the sheet
// itself, a product is made of the name the sheet says, and its maker comes back.
func TestAProductOfASheetIsMadeOnTheWay(t *testing.T) {
	h := full(t, 12)
	h.readsLines()
	makes := func(from *page, name string) *page {
		from.wellMade(t, http.StatusOK)
		form := h.get(waysToProduct(from)[0])
		form.wellMade(t, http.StatusOK)
		require.Equal(t, name, attr(form.one("[name=name]"), "value"))
		action := attr(form.one("main form"), "action")
		h.post(action, url.Values{"name": {name}}).wellMade(t, http.StatusUnprocessableEntity)
		return h.follow(h.post(action, url.Values{"name": {name}, "slots[0].heads": {"6"}, "slots[0].first": {"V01"}}))
	}
	p := h.drop("orders.csv", "Customer,Product,Date,Cases\nHarbor Table,Dawn box,2027-03-04,4\nHarbor Table,Dusk box,2027-03-04,2\n")
	p = makes(p, "Dawn box")
	require.Len(t, p.all("[aria-labelledby=un-h] tbody tr"), 1, "the other is known by its name now")

	address := attr(p.one("#sheetform"), "action")
	p = h.get(address + "?park=1")
	h.follow(h.post(address, p.form("#sheetform select")))
	rows, err := h.book.Parked(t.Context(), book.Owner(), 1)
	require.NoError(t, err)
	require.Len(t, rows, 1)
	at := "/sheet/parked/" + rows[0].Value.ID
	p = makes(h.get(at), "Dusk box")
	require.Contains(t, p.text("main"), "Dusk box is a product now")
	require.Equal(t, at, attr(p.one(`main form`), "action"))
	require.Empty(t, waysToProduct(p))
	require.NotEmpty(t, p.all("main a[href=/orders/2027-03-04]"))
}

// waysToProduct are the addresses at which a page offers to make a product.
func waysToProduct(p *page) (all []string) {
	for _, a := range p.all("main a") {
		if href := attr(a, "href"); strings.HasPrefix(href, "/products/new?") {
			all = append(all, href)
		}
	}
	return all
}

func TestAFormGoesBackToNoOtherSite(t *testing.T) {
	h := full(t, 12)
	p := h.post("/products/new?back="+url.QueryEscape("//elsewhere.example/"), url.Values{"name": {"Dawn box"}, "slots[0].heads": {"6"}, "slots[0].first": {"V01"}})
	require.Equal(t, "/?said=saved", p.header.Get("Location"))
}
