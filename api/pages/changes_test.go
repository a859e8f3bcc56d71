package pages_test

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"headtally/api/book"
	"headtally/api/pages"
	"headtally/domain"
)

// form gives what a browser would send for the form that holds an element:
// every field as it stands, without its buttons.
func (p *page) form(selector string) url.Values {
	p.t.Helper()
	n := p.one(selector)
	for n.Data != "form" {
		n = n.Parent
		require.NotNil(p.t, n, "%s stands in no form", selector)
	}
	values := url.Values{}
	for d := range n.Descendants() {
		switch d.Data {
		case "input":
			if kind := attr(d, "type"); (kind != "checkbox" && kind != "radio") || has(d, "checked") {
				values.Add(attr(d, "name"), attr(d, "value"))
			}
		case "textarea":
			values.Add(attr(d, "name"), textOf(d))
		case "select":
			values.Add(attr(d, "name"), chosen(d))
		}
	}
	return values
}

func chosen(list *html.Node) string {
	first, seen := "", false
	for o := range list.Descendants() {
		if o.Data != "option" {
			continue
		}
		if has(o, "selected") {
			return attr(o, "value")
		}
		if !seen {
			first, seen = attr(o, "value"), true
		}
	}
	return first
}

// follow fetches the page a change was answered with.
func (h *house) follow(p *page) *page {
	h.t.Helper()
	require.Equal(h.t, http.StatusSeeOther, p.status, p.told())
	address, _, _ := strings.Cut(p.header.Get("Location"), "#")
	next := h.get(address)
	if next.status == http.StatusSeeOther {
		return h.follow(next)
	}
	require.Equal(h.t, http.StatusOK, next.status, next.told())
	return next
}

const dayPage = "/day/2027-03-04"

func TestAnswersToALineStick(t *testing.T) {
	h := full(t, 30)
	p := h.get(dayPage)
	promise := p.form(".decide button[name=promise]")
	n := attr(p.one(".decide button[name=promise]"), "value")
	promise.Set("promise", n)
	p = h.follow(h.post(dayPage+"/answer", promise))
	require.Equal(t, "The promise is noted.", p.text(".said"))
	require.Contains(t, p.text("#decide"), n+" promised")

	cut := p.form(".decide button[name=cut]")
	cut.Set("cut", n)
	p = h.follow(h.post(dayPage+"/answer", cut))
	settled, err := h.book.Decision(t.Context(), book.Owner(), cut.Get("line"))
	require.NoError(t, err)
	require.Equal(t, n, fmt.Sprint(*settled.Value.AtMost))

	move := p.form(".decide button[name=move]")
	move.Set("move", "1")
	p = h.follow(h.post(dayPage+"/answer", move))
	require.Equal(t, "The line was moved.", p.text(".said"))
}

func TestTwoPeopleAnsweringOneLineAreTold(t *testing.T) {
	h := full(t, 30)
	p := h.get(dayPage)
	mine := p.form(".decide button[name=promise]")
	mine.Set("promise", "1")
	h.follow(h.post(dayPage+"/answer", mine))
	mine.Set("own", "cut")
	mine.Del("promise")
	mine.Set("cut", "")
	mine.Set("cases", "1")
	p = h.post(dayPage+"/answer", mine)
	require.Equal(t, http.StatusConflict, p.status)
	require.Contains(t, p.text(".wrong"), "You wanted to cut to 1", "what I wanted")
	require.Contains(t, p.text("#decide"), "1 promised", "what stands now")
}

func TestAnAnswerThatCannotBe(t *testing.T) {
	h := full(t, 30)
	mine := h.get(dayPage).form(".decide button[name=promise]")
	mine.Set("own", "promise")
	mine.Set("promise", "")
	mine.Set("cases", "999")
	p := h.post(dayPage+"/answer", mine)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.Contains(t, p.text(".wrong"), "Must be from 1 to")
	mine.Del("promise")
	require.Equal(t, http.StatusUnprocessableEntity, h.post(dayPage+"/answer", mine).status)
}

func TestAClosedPickupAsksWhyAChangeComesLate(t *testing.T) {
	h := full(t, 30)
	p := h.follow(h.post(dayPage+"/close", url.Values{"carrier": {"NORTH"}}))
	require.Contains(t, p.text(".cutoffs"), "North truck: orders closed")
	cell := cellOf(t, h.get("/orders/2027-03-04"), "C001", "P1")
	late := url.Values{attr(cell, "name"): {"9"}}
	p = h.post("/orders/2027-03-04", late)
	require.Equal(t, http.StatusConflict, p.status)
	require.Equal(t, "9", attr(cellOf(t, p, "C001", "P1"), "value"), "what was typed is kept")
	late.Set("late", "customer")
	h.follow(h.post("/orders/2027-03-04", late))
	require.Contains(t, h.get("/history").text("main"), "late (customer)")
	p = h.follow(h.post(dayPage+"/close", url.Values{"carrier": {"NORTH"}, "open": {"1"}}))
	require.NotContains(t, p.text(".cutoffs"), "orders closed")
}

func cellOf(t *testing.T, p *page, customer, product string) *html.Node {
	t.Helper()
	for _, n := range p.all(".grid input") {
		if strings.HasPrefix(attr(n, "name"), "cell~"+customer+"~"+product+"~2027-03-04") {
			return n
		}
	}
	require.Fail(t, "no cell", "%s %s", customer, product)
	return nil
}

func TestTypingIntoTheGrid(t *testing.T) {
	for _, address := range []string{"/orders/2027-03-04", "/week/2027-03-04"} {
		t.Run(address, func(t *testing.T) {
			h := full(t, 12)
			form := h.get(address).form(".grid input")
			name := "cell~C001~P1~2027-03-04~2"
			require.Contains(t, form, name)
			form.Set(name, "5")
			p := h.follow(h.post(address, form))
			require.Contains(t, p.form(".grid input"), "cell~C001~P1~2027-03-04~5")

			// The same form again: somebody else's five stands beside my seven.
			form.Set(name, "7")
			p = h.post(address, form)
			p.wellMade(t, http.StatusConflict)
			require.Contains(t, p.text(".wrong"), "Somebody else changed")
			cell := cellOf(t, p, "C001", "P1")
			require.Equal(t, "7", attr(cell, "value"))
			require.Contains(t, textOf(cell.Parent), "now 5, you typed 7")

			form = url.Values{name: {"five"}}
			p = h.post(address, form)
			p.wellMade(t, http.StatusUnprocessableEntity)
			require.Equal(t, "five", attr(cellOf(t, p, "C001", "P1"), "value"))
		})
	}
}

func TestACellAnswersWhileItIsTyped(t *testing.T) {
	h := full(t, 12)
	ask := func(method, cases string) (int, pages.CellAnswer) {
		values := url.Values{"name": {"cell~C001~P1~2027-03-04~2"}, "cases": {cases}}
		w := httptest.NewRecorder()
		if method == http.MethodGet {
			h.ServeHTTP(w, httptest.NewRequest(method, "/p/cell?"+values.Encode(), nil))
		} else {
			r := httptest.NewRequest(method, "/p/cell", strings.NewReader(values.Encode()))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			h.ServeHTTP(w, r)
		}
		var answer pages.CellAnswer
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &answer))
		return w.Code, answer
	}
	_, two := ask(http.MethodGet, "2")
	require.Equal(t, "2 sure, 2 if all comes in", two.Say)
	_, many := ask(http.MethodGet, "4000")
	require.Regexp(t, `^\d+ sure, \d+ if all comes in; 4000 on none of the days planned$`, many.Say)
	status, _ := ask(http.MethodGet, "x")
	require.Equal(t, http.StatusUnprocessableEntity, status)

	status, put := ask(http.MethodPost, "3")
	require.Equal(t, http.StatusOK, status)
	require.Equal(t, "cell~C001~P1~2027-03-04~3", put.Name)
	require.Contains(t, put.Get, "mark")
	status, stale := ask(http.MethodPost, "6")
	require.Equal(t, http.StatusConflict, status)
	require.Equal(t, "now 3, you typed 6", stale.Say)
}

func TestTheTelephoneLine(t *testing.T) {
	h := full(t, 12)
	form := h.get("/customer/C001").form("#entry")
	form.Set("entry", "+2 romaine, 1 chef")
	p := h.follow(h.post("/customer/C001/entry", form))
	require.Contains(t, p.text("#reply"), "4 × Romaine case")
	require.Contains(t, p.text("#reply"), "1 × Chef's mix")

	form = p.form("#entry")
	form.Set("entry", "+2")
	p = h.post("/customer/C001/entry", form)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.Equal(t, "+2", attr(p.one("#entry"), "value"))
	require.Contains(t, p.text(".wrong"), "can mean several: Romaine case and Chef's mix")
}

func TestAPromiseIsPutDown(t *testing.T) {
	h := full(t, 12)
	p := h.get("/promise?product=P2&day=2027-03-05&cases=2&customer=C003")
	form := p.form("button[name=word]")
	form.Set("word", "2")
	p = h.follow(h.post("/promise", form))
	require.Contains(t, p.text("#reply"), "2 × Butterhead case")
	require.Contains(t, h.get("/day/2027-03-05").text("main"), "promised")

	form.Set("customer", "")
	p = h.post("/promise", form)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.Equal(t, "2", attr(p.one("input[name=cases]"), "value"))
	h.get("/promise?product=P2&day=2027-03-05&cases=many").wellMade(t, http.StatusUnprocessableEntity)
	h.get("/promise?product=P2&day=2029-03-05&cases=2").wellMade(t, http.StatusUnprocessableEntity)
}

func TestAWalkSentTwiceIsStoredOnce(t *testing.T) {
	h := full(t, 12)
	form := h.get("/beds/walk").form(".walk input")
	form.Set("beds[0].rafts_now", "2½")
	form.Set("beds[1].rafts_next", "3,5")
	h.follow(h.post("/beds/walk", form))
	h.follow(h.post("/beds/walk", form))
	counts, err := h.book.Counts.List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Len(t, counts, 2)
	rec, err := h.book.Counts.Get(t.Context(), book.Owner(), form.Get("id"))
	require.NoError(t, err)
	require.EqualValues(t, 5, rec.Value.Beds[0].RaftsNow)
	require.EqualValues(t, 7, rec.Value.Beds[1].RaftsNext)
}

func TestAWalkWithAFaultKeepsEverythingTyped(t *testing.T) {
	h := full(t, 12)
	form := h.get("/beds/walk").form(".walk input")
	form.Set("beds[0].rafts_now", "4")
	form.Set("beds[1].rafts_now", "some")
	p := h.post("/beds/walk", form)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.Contains(t, p.text(".walk"), "“some” is no number of rafts")
	require.Equal(t, form.Get("id"), attr(p.one("[name=id]"), "value"))
	require.Equal(t, "4", attr(p.one("[name=beds[0].rafts_now]"), "value"))
	require.Equal(t, "some", attr(p.one("[name=beds[1].rafts_now]"), "value"))

	form.Set("beds[1].rafts_now", "1")
	form.Set("next", "1")
	p = h.post("/beds/walk", form)
	p.wellMade(t, http.StatusOK)
	require.Equal(t, "beds[2].rafts_now", attr(p.one("[autofocus]"), "name"), "Enter goes on to the first empty box")
}

func TestAFormWithAFaultNamesTheField(t *testing.T) {
	h := full(t, 12)
	form := h.get("/customers/C001").form("#f-name")
	form.Set("name", "")
	form.Set("email", "nobody")
	form.Set("stop", "first")
	p := h.post("/customers/C001", form)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.Contains(t, p.text("[id=e-stop]"), "“first” is no whole number")
	require.Equal(t, "first", attr(p.one("[id=f-stop]"), "value"))
	form.Set("stop", "1")
	p = h.post("/customers/C001", form)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.Equal(t, "This is needed.", p.text("[id=e-name]"))
	require.Equal(t, "true", attr(p.one("[id=f-email]"), "aria-invalid"))
	require.Equal(t, "nobody", attr(p.one("[id=f-email]"), "value"), "what was typed is kept")
}

func TestTwoPeopleEditingOneRecordAreTold(t *testing.T) {
	h := full(t, 12)
	mine := h.get("/customers/C001").form("#f-name")
	theirs := h.get("/customers/C001").form("#f-name")
	theirs.Set("note", "back door")
	h.follow(h.post("/customers/C001", theirs))
	mine.Set("phone", "555-9999")
	p := h.post("/customers/C001", mine)
	p.wellMade(t, http.StatusConflict)
	require.Contains(t, p.text("main"), "in the book now: back door", "what stands now is shown beside what I typed")
	require.Equal(t, "555-9999", attr(p.one("#f-phone"), "value"))
	again := p.form("#f-name")
	again.Set("note", "back door")
	h.follow(h.post("/customers/C001", again))
	rec, err := h.book.Customers.Get(t.Context(), book.Owner(), "C001")
	require.NoError(t, err)
	require.Equal(t, "back door", rec.Value.Note)
	require.Equal(t, "555-9999", rec.Value.Phone)
}

func TestEveryFormStoresWhatItShows(t *testing.T) {
	h := full(t, 12)
	must[domain.Exception](t)(h.book.Exceptions.Create(t.Context(), book.Owner(), domain.Exception{Day: pickup.Add(7), Kind: domain.Closed}, book.Note{}))
	list, err := h.book.Standing.List(t.Context(), book.Owner(), book.Query{Limit: 1})
	require.NoError(t, err)
	exceptions, err := h.book.Exceptions.List(t.Context(), book.Owner(), book.Query{Limit: 1})
	require.NoError(t, err)
	before, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	for _, address := range []string{"/customers/C001", "/products/P4", "/varieties/V01", "/carriers/NORTH", "/farm", "/standing/" + list[0].Value.ID, "/calendar/" + exceptions[0].Value.ID} {
		p := h.post(address, h.get(address).form("[name=base]"))
		require.Equal(t, http.StatusSeeOther, p.status, "%s: %s", address, p.body)
	}
	after, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	require.Equal(t, before, after, "a form sent back as it was shown changes nothing")
}

func TestARecordStillNamedIsNotEnded(t *testing.T) {
	h := full(t, 12)
	p := h.post("/varieties/V01/end", h.get("/varieties/V01").form("[name=base]"))
	p.wellMade(t, http.StatusConflict)
	require.Contains(t, p.text(".wrong"), "still named")
}

func TestPapersOfAPackingDay(t *testing.T) {
	h := full(t, 12)
	h.pages.Rack = func(*book.PackingDay) []pages.Paper { return []pages.Paper{{Name: "harvest", Title: "Harvest list"}} }
	h.pages.Draw = func(w io.Writer, _ *book.PackingDay, name string) error {
		_, err := io.WriteString(w, "%PDF "+name)
		return err
	}
	p := h.follow(h.get("/papers"))
	p.wellMade(t, http.StatusOK)
	r := h.get(attr(p.one(".decide a"), "href"))
	require.Equal(t, "application/pdf", r.header.Get("Content-Type"))
	require.Contains(t, r.body, "%PDF harvest")
	p = h.follow(h.post("/papers/2027-03-03/issue", nil))
	require.Contains(t, p.text("main"), "Number 1")
	require.Equal(t, http.StatusInternalServerError, h.get("/papers/2027-03-03/load.pdf").status, "an unknown paper is handed to the edge")
}

func TestTheMorningIsEnteredOnce(t *testing.T) {
	h := full(t, 12)
	p := h.get("/morning/2027-03-03")
	lift := p.form("[name=heads~V01]")
	lift.Set("heads~V01", "many")
	p = h.post("/morning/2027-03-03/lift", lift)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.Equal(t, "many", attr(p.one("[name=heads~V01]"), "value"))
	lift.Set("heads~V01", "31")
	lift.Set("culls~V01", "5")
	h.follow(h.post("/morning/2027-03-03/lift", lift))
	before, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	p = h.follow(h.post("/morning/2027-03-03/lift", lift))
	after, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	require.Equal(t, before, after, "sent again, stored once")

	packed := p.form("[name=runs[0].cases]")
	packed.Set("runs[0].cases", "1")
	p = h.follow(h.post("/morning/2027-03-03/packed", packed))
	gone := p.form("[name=gone_cases]")
	h.post("/morning/2027-03-03/gone", gone).wellMade(t, http.StatusUnprocessableEntity)
	gone.Set("gone[0].variety", "V01")
	gone.Set("gone[0].heads", "2")
	gone.Set("gone[0].where", "staff")
	gone.Set("gone_cases", "1")
	p = h.follow(h.post("/morning/2027-03-03/gone", gone))
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main table"), "31")

	require.Equal(t, "/morning/2027-03-03?instead=L1", attr(p.one("[aria-labelledby=to-h] a"), "href"))
	p = h.get("/morning/2027-03-03?instead=L1&by=lot")
	p.wellMade(t, http.StatusOK)
	box := attr(p.one("[aria-labelledby=li-h] ol input"), "name")
	require.True(t, strings.HasPrefix(box, "lot~"))
	again := p.form("[name=instead]")
	again.Set(box, "30")
	p = h.follow(h.post("/morning/2027-03-03/lift", again))
	require.NotContains(t, p.text("main table"), "31")
	run := h.get("/trace?code=27062-01")
	run.wellMade(t, http.StatusOK)
	require.NotEmpty(t, run.all("main table"))
	recall := h.get(attr(run.one("main p.acts a"), "href"))
	require.Contains(t, recall.body, "%PDF recall of 27062-01")
	spare := h.get("/availability?hold_back=3")
	spare.wellMade(t, http.StatusOK)
	require.Contains(t, spare.text("textarea"), "spare")
	require.Contains(t, h.get(attr(spare.one(".head a"), "href")).body, "%PDF spare as of")
	h.get("/trace?code=nothing").wellMade(t, http.StatusNotFound)
}

func TestABatchFromSowingToTheBed(t *testing.T) {
	h := full(t, 12)
	sow := h.get("/batches").form("[name=trays]")
	sow.Set("trays", "4")
	sow.Set("seed_lot", "SL-7")
	p := h.follow(h.post("/batches", sow))
	address := attr(p.one("main tbody th a"), "href")
	tell := h.get(address).form("[name=step]")
	tell.Set("step", "set")
	p = h.post(address, tell)
	p.wellMade(t, http.StatusUnprocessableEntity)
	tell.Set("rafts", "2.5")
	tell.Set("bed", "D1")
	p = h.follow(h.post(address, tell))
	require.Contains(t, p.text("main"), "set into a bed · 2½ rafts · bed D1")
	h.get("/sowing").wellMade(t, http.StatusOK)
}

func TestWhoIsHitIfALotIsThrownAway(t *testing.T) {
	h := full(t, 30)
	p := h.get("/outlook/V03/2027-03-04")
	for _, link := range p.all("main a") {
		if strings.HasPrefix(attr(link, "href"), "/beds/without") {
			p = h.get(attr(link, "href"))
			break
		}
	}
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main"), "would be hit")
	require.NotEmpty(t, p.all("main tbody tr"))
}

func TestEverythingSureIsPromisedInOneAction(t *testing.T) {
	h := full(t, 12)
	p := h.follow(h.post(dayPage+"/sure", nil))
	require.Equal(t, "A word is given for everything that is sure.", p.text(".said"))
	board, err := h.book.Board(t.Context(), book.Owner(), today, pickup)
	require.NoError(t, err)
	require.Positive(t, board.States[pickup].Promised)
	require.Zero(t, board.States[pickup].Unpromised)
	require.Zero(t, board.States[pickup].Broken)
	given, err := h.book.PromiseSure(t.Context(), book.Owner(), today, pickup, book.Note{})
	require.NoError(t, err)
	require.Zero(t, given, "a second time there is nothing to give")
}

func TestAfterTheMorningThePapersLieAsPrinted(t *testing.T) {
	h := full(t, 12)
	ctx, address := t.Context(), "/papers/"+today.String()
	_, err := h.book.Issue(ctx, book.Owner(), today, today, "")
	require.NoError(t, err)
	require.NotEmpty(t, h.get(address).all("[action="+address+"/issue]"))
	_, err = h.book.RecordLift(ctx, book.Owner(), book.LiftTold{Day: today, Done: true, RestAsPlanned: true}, "")
	require.NoError(t, err)
	_, err = h.book.RecordPacked(ctx, book.Owner(), book.PackedTold{Day: today}, "")
	require.NoError(t, err)
	p := h.get(address)
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main"), "Number 1")
	require.Contains(t, p.text("main"), "as they were printed")
	require.Empty(t, p.all("[action="+address+"/issue]"))
}

// A form sent a second time with other figures is told, and neither stored
// unseen nor passed over.
func TestAFormSentTwiceWithOtherFiguresIsTold(t *testing.T) {
	h := full(t, 3)
	line := h.get("/customer/C003?day=2027-03-04").form("#entry")
	line.Set("entry", "+2 romaine")
	h.follow(h.post("/customer/C003/entry", line))
	h.follow(h.post("/customer/C003/entry", line))
	require.EqualValues(t, 2, h.ordered("C003", "P1"), "the same twice is once")
	line.Set("entry", "+3 romaine")
	p := h.post("/customer/C003/entry", line)
	p.wellMade(t, http.StatusConflict)
	require.Contains(t, p.text(".wrong"), "This form was sent before")
	require.EqualValues(t, 2, h.ordered("C003", "P1"))
	again := p.form("#entry")
	require.Equal(t, "+3 romaine", again.Get("entry"))
	h.follow(h.post("/customer/C003/entry", again))
	require.EqualValues(t, 5, h.ordered("C003", "P1"), "sent again it is another")

	walk := h.get("/beds/walk").form("[name=whole]")
	walk.Set("beds[0].rafts_now", "3")
	h.follow(h.post("/beds/walk", walk))
	h.follow(h.post("/beds/walk", walk))
	walk.Set("beds[0].rafts_now", "4")
	p = h.post("/beds/walk", walk)
	p.wellMade(t, http.StatusConflict)
	again = p.form("[name=whole]")
	require.Equal(t, "4", again.Get("beds[0].rafts_now"))
	h.follow(h.post("/beds/walk", again))
	counts, err := h.book.Counts.List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Len(t, counts, 3)
}

// Papers that were kept are listed by what they are called and when they were
// printed, and fetched by the name they are kept under.
func TestKeptPapersHaveTheirTitles(t *testing.T) {
	h := full(t, 12)
	h.book.Draw(func(domain.Issue, *book.PackingDay) ([]book.Paper, error) {
		return []book.Paper{{Name: "harvest", Bytes: []byte("%PDF 1")}, {Name: "load.2027-03-04.NORTH", Bytes: []byte("%PDF 2")}}, nil
	})
	p := h.follow(h.post("/papers/2027-03-03/issue", nil))
	require.Contains(t, p.text("main details"), "printed Wed Mar 3 9:00 am by")
	kept := p.all("main details a")
	require.Len(t, kept, 2)
	require.Equal(t, "Harvest list", textOf(kept[0]))
	require.Equal(t, "Load sheet, Thu Mar 4, North truck", textOf(kept[1]))
	require.Equal(t, "%PDF 2", h.get(attr(kept[1], "href")).body)
}

// A batch of which nothing was lifted has no records to follow.
func TestOnlyWhatWasLiftedIsTraced(t *testing.T) {
	h := growing(t)
	leads := func(p *page) (to string) {
		for _, a := range p.all("main a") {
			if strings.HasPrefix(attr(a, "href"), "/trace") {
				to = attr(a, "href")
			}
		}
		return to
	}
	p := h.get("/batches/SECOND")
	require.Empty(t, leads(p))
	tell := p.form("[name=why]")
	tell.Set("step", "lifted")
	tell.Set("heads", "30")
	to := leads(h.follow(h.post("/batches/SECOND", tell)))
	require.Equal(t, "/trace?code=SECOND", to)
	h.get(to).wellMade(t, http.StatusOK)
}
