package pages_test

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

// answers sends the question that the page asks, first with what is wrong and
// then as it should be; the page it leads to is given back.
func (h *house) answers(p *page, wrong, right url.Values) *page {
	h.t.Helper()
	form := p.form("main [name=base]")
	address := attr(p.one("main form"), "action")
	for name, values := range wrong {
		form[name] = values
	}
	refused := h.post(address, form)
	refused.wellMade(h.t.(*testing.T), http.StatusUnprocessableEntity)
	require.NotEmpty(h.t, refused.all(".err"), "the field is named: %s", refused.told())
	for name, values := range wrong {
		if len(values) == 1 && values[0] != "" {
			require.Equal(h.t, values[0], refused.form("main [name=base]").Get(name), "what was typed stays")
		}
	}
	for name, values := range right {
		form[name] = values
	}
	return h.follow(h.post(address, form))
}

func TestSixQuestionsToAFirstPackList(t *testing.T) {
	h := newHouse(t)
	p := h.get("/first?q=orders")
	require.Equal(t, "/first?q=varieties", attr(p.one("main form"), "action"), "no question comes before those it needs")
	p = h.answers(p, url.Values{"varieties": {""}}, url.Values{"varieties": {"Romaine\n Butterhead\n\nOakleaf\n"}})
	p = h.answers(p, url.Values{"products[1].name": {"Mix"}, "products[1].ROMAINE": {"six"}},
		url.Values{"products[1].ROMAINE": {"6"}, "products[1].BUTTERHEAD": {"6"}, "products[3].name": {"Oak"}, "products[3].OAKLEAF": {"12"}})
	p = h.answers(p, url.Values{"name": {"Stillwater Heads"}, "carrier": {"Own round"}},
		url.Values{"zone": {"America/Chicago"}, "pickups": {"thu", "mon"}})
	p = h.answers(p, url.Values{"rafts[1].heads_per_raft": {"2000"}}, url.Values{"rafts[1].heads_per_raft": {"28"}})
	p = h.answers(p, url.Values{"beds[0].rafts_now": {"1.3"}}, url.Values{"beds[0].rafts_now": {"3"}, "beds[1].rafts_now": {"3"}, "beds[2].rafts_now": {"2.5"}})
	p = h.answers(p, url.Values{"customers[0].MIX": {"4"}}, url.Values{"customers[0].name": {"Blue Door"}, "customers[1].name": {"Copper Pan"}, "customers[1].MIX": {"2"}, "customers[1].OAK": {"1"}})
	require.Contains(t, p.text("main"), "All six are answered")
	require.Equal(t, "/papers", attr(p.one(".empty .first"), "href"))
	require.Contains(t, h.get("/recipe/2027-03-04").text("main"), "Lay out 6 cases")

	before, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	again := h.get("/first?q=orders").form("main [name=base]")
	require.Equal(t, "Blue Door", again.Get("customers[0].name"))
	again.Set("customers[0].MIX", "4")
	h.follow(h.post("/first?q=orders", again))
	after, err := h.book.Revision(t.Context())
	require.NoError(t, err)
	require.Equal(t, before, after, "an answer sent again changes nothing")
}

// What more a farm could tell is shown one thing at a time, and a thing that was
// told is not asked again.
func TestWhatMoreAFarmCouldTell(t *testing.T) {
	h := full(t, 12)
	p := h.get("/first")
	p.wellMade(t, http.StatusOK)
	require.Len(t, p.all("main .lead"), 1)
	require.Contains(t, p.text("#more-h"), "How long each variety keeps", "the first of the list that this farm has not told")
	asked := map[string]bool{}
	for range 4 {
		asked[p.text("#more-h")] = true
		rest := p.all("details.fold a")
		if len(rest) == 0 {
			break
		}
		p = h.get(attr(rest[len(rest)-1], "href"))
	}
	rec, err := h.book.Varieties.Get(t.Context(), book.Owner(), "V01")
	require.NoError(t, err)
	days := 10
	rec.Value.ShelfDays = &days
	must[domain.Variety](t)(h.book.Varieties.Replace(t.Context(), book.Owner(), "V01", rec.Value, book.Note{Base: rec.Rev}))
	require.NotContains(t, h.get("/first").text("main"), "How long each variety keeps")
}

func TestTheInventedFarmIsOpenedBesideAnEmptyBook(t *testing.T) {
	h := newHouse(t)
	require.NotContains(t, h.get("/first").text("main"), "invented", "where none can be opened none is offered")
	require.Equal(t, http.StatusInternalServerError, h.post("/first/demo", nil).status, "handed to the edge")
	opened := 0
	h.pages.Demo = func(ctx context.Context) (string, error) {
		opened++
		if _, ends := ctx.Deadline(); ends {
			return "", errors.New("it would end with the request")
		}
		return "http://127.0.0.1:9/", nil
	}
	p := h.get("/first")
	require.Contains(t, p.text("main"), "Open the invented farm")
	p = h.post("/first/demo", nil)
	p.wellMade(t, http.StatusOK)
	require.Equal(t, "http://127.0.0.1:9/", attr(p.one("main a.first"), "href"))
	require.Equal(t, 1, opened)
	h.pages.Invented = true
	require.Contains(t, h.get("/first").text(".invented"), "Nothing done here reaches your own book")
	must[domain.Variety](t)(h.book.Varieties.Create(t.Context(), book.Owner(), domain.Variety{Name: "Lollo"}, book.Note{}))
	require.NotContains(t, h.get("/first").text("main"), "Open the invented farm", "a book in use offers none")
}

// Times are the farm's own, wherever the server stands.
func TestTimesAreByTheFarmsClock(t *testing.T) {
	h := full(t, 3)
	_, _, err := h.book.NewKey(t.Context(), book.Owner(), "scales", []domain.Role{domain.RolePacking}, time.Date(2027, 6, 1, 3, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	require.Contains(t, h.get("/people").text("main table"), "Mon May 31 10:00 pm", "an evening in Chicago")
	require.True(t, strings.Contains(h.get("/history").text("tbody"), "Wed Mar 3 9:00 am"))
}
