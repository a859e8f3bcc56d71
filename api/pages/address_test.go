package pages_test

import (
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api"
	"headtally/api/book"
	"headtally/api/words"
)

// asked is a page as the whole service answers a browser on its own machine.
func (h *house) asked(address string) *page {
	h.t.Helper()
	service, err := api.New(api.Deps{Book: h.book, Now: h.now, Log: slog.New(slog.DiscardHandler), Pages: h.pages, Alone: true})
	require.NoError(h.t, err)
	r := httptest.NewRequest(http.MethodGet, address, nil)
	r.Host, r.RemoteAddr = "127.0.0.1", "127.0.0.1:5000"
	r.Header.Set("Accept", "text/html")
	r.Header.Set("Accept-Language", "en")
	w := httptest.NewRecorder()
	service.ServeHTTP(w, r)
	return readPage(h.t, w)
}

// What an address asks and cannot be read is told by its name, and never taken
// for what is usual.
func TestAnAddressThatCannotBeReadIsRefused(t *testing.T) {
	h := full(t, 3)
	h.pages.WriteCSV = func(io.Writer, book.Table, *words.Speech) error { return nil }
	h.pages.WriteXLSX = func(io.Writer, []book.Table, *words.Speech) error { return nil }
	for address, says := range map[string]string{
		"/availability?hold_back=abc":     "Cases of each product held back: must be from 0 to 1000000.",
		"/availability?hold_back=-1":      "Cases of each product held back: must be from 0 to 1000000.",
		"/availability.pdf?hold_back=abc": "Cases of each product held back: must be from 0 to 1000000.",
		"/surges/new?day=tomorrow":        "Day: must be a day of the calendar written YYYY-MM-DD.",
		"/calendar/new?day=2027-02-29":    "Day: must be a day of the calendar written YYYY-MM-DD.",
		"/standing/new?customer=C999":     "Customer: there is no customer C999.",
		"/promise?customer=C999":          "Customer: there is no customer C999.",
		"/promise?day=soon&product=P1":    "Day: must be a day of the calendar written YYYY-MM-DD.",
		"/exports/orders?format=doc":      "Kind of file: must be one of xlsx and csv.",
		"/exports/orders?from=2027-13-01": "From: must be a day of the calendar written YYYY-MM-DD.",
		"/exports/orders?to=13":           "Until: must be a day of the calendar written YYYY-MM-DD.",
		"/history?of=weather":             "Records: must be one of calendar, carriers, customers",
	} {
		p := h.asked(address)
		p.wellMade(t, http.StatusUnprocessableEntity)
		require.Contains(t, p.text("main"), says, address)
	}
	require.Equal(t, "abc", attr(h.asked("/availability?hold_back=abc").one("[name=hold_back]"), "value"), "what was typed stays")
	h.asked("/availability?hold_back=").wellMade(t, http.StatusOK)
	h.asked("/availability?hold_back=2&said=saved&ref=mail").wellMade(t, http.StatusOK)
}

// A refused page speaks the farm's language and has its days, whatever the
// browser asks for.
func TestARefusalSpeaksAsTheFarmDoes(t *testing.T) {
	h := full(t, 3)
	p := h.asked("/day/2027-12-01")
	p.wellMade(t, http.StatusNotFound)
	require.Contains(t, p.text("main"), "There is no pickup day Wednesday, December 1, 2027.")
	h.speak("es")
	p = h.asked("/day/2027-12-01")
	p.wellMade(t, http.StatusNotFound)
	require.Contains(t, p.text("main"), "miércoles 1 de diciembre de 2027")
	require.Contains(t, p.text("h1"), "No")
}
