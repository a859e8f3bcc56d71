package pages_test

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

// TestATruckThatDidNotCome: one action hands its lines to another day.
func TestATruckThatDidNotCome(t *testing.T) {
	h := full(t, 12)
	require.Contains(t, h.get("/after").header.Get("Location"), "/after/2027-03-0")
	p := h.get("/after/2027-03-04")
	p.wellMade(t, http.StatusOK)
	form := p.form(".didnotcome [name=to]")
	to := domain.MustDay(form.Get("to"))
	require.Greater(t, to, pickup)
	lines := func(day domain.Day) int {
		d, err := h.book.Day(t.Context(), book.Owner(), today, day)
		require.NoError(t, err)
		n := 0
		for _, l := range d.Lines {
			if l.Carrier == form.Get("carrier") {
				n++
			}
		}
		return n
	}
	before, there := lines(pickup), lines(to)
	require.Positive(t, before)
	h.follow(h.post("/after/2027-03-04/not-collected", form))
	require.Zero(t, lines(pickup))
	require.Equal(t, there+before, lines(to))

	form.Set("to", "")
	h.post("/after/2027-03-04/not-collected", form).wellMade(t, http.StatusUnprocessableEntity)
	form.Set("to", "2027-03-03")
	h.post("/after/2027-03-04/not-collected", form).wellMade(t, http.StatusUnprocessableEntity)
}

func TestCasesThatCameBack(t *testing.T) {
	h := full(t, 12)
	form := url.Values{"customer": {"C002"}, "product": {"P1"}, "cases": {"2"}, "became": {"food_bank"}, "why": {"kitchen closed"}}
	h.follow(h.post("/after/2027-03-02/came-back", form))
	returns, err := h.book.Returns().List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Len(t, returns, 1)
	require.EqualValues(t, 2, returns[0].Value.Cases)
	require.Equal(t, "kitchen closed", returns[0].Value.Why)

	form.Set("became", "stock")
	p := h.post("/after/2027-03-02/came-back", form)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.NotEmpty(t, p.text("#e-trace"), "what is in them must be known")
	form.Set("cases", "two")
	p = h.post("/after/2027-03-02/came-back", form)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.NotEmpty(t, p.text("#e-cases"))
}

// TestOnesOwnLastChangeIsTakenBack from the history, and only that.
func TestOnesOwnLastChangeIsTakenBack(t *testing.T) {
	h := full(t, 12)
	must[domain.Order](t)(h.book.Orders.Create(t.Context(), book.Owner(), domain.Order{Customer: "C001", Pickup: pickup.Add(7), Mode: domain.Add,
		Lines: []domain.OrderLine{{Product: "P1", Cases: 7}}}, book.Note{}))
	p := h.get("/history")
	p.wellMade(t, http.StatusOK)
	form := p.form(".undo [name=code]")
	require.NotEmpty(t, form.Get("code"), "the newest first")
	orders := func() int {
		list, err := h.book.Orders.List(t.Context(), book.Owner(), book.Query{})
		require.NoError(t, err)
		return len(list)
	}
	require.Equal(t, 1, orders())
	h.follow(h.post("/history/undo", form))
	require.Zero(t, orders())
	form.Set("code", "NONE")
	h.post("/history/undo", form)
	require.Zero(t, orders())
}

// A change that is taken back once orders are closed asks for its reason on the
// page, and is made with it.
func TestTakingBackLateAsksForItsReason(t *testing.T) {
	h := full(t, 12)
	order := must[domain.Order](t)(h.book.Orders.Create(t.Context(), book.Owner(), domain.Order{Customer: "C001", Pickup: pickup, Mode: domain.Add,
		Lines: []domain.OrderLine{{Product: "P1", Cases: 7}}}, book.Note{}))
	_, err := h.book.Close(t.Context(), book.Owner(), "NORTH", pickup, false, "")
	require.NoError(t, err)
	undo := url.Values{"kind": {"order"}, "code": {order.Value.ID}}
	p := h.post("/history/undo", undo)
	p.wellMade(t, http.StatusConflict)
	require.Contains(t, p.text(".wrong"), "say why the change comes late")
	form := p.form(".undo [name=late]")
	require.Equal(t, order.Value.ID, form.Get("code"))
	require.NotEmpty(t, form.Get("late"))
	h.follow(h.post("/history/undo", form))
	list, err := h.book.Orders.List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Empty(t, list)
}

// The history speaks of whose order it is and for which day, of trucks by their
// names and of lists as people read them.
func TestTheHistorySpeaksAsPeopleDo(t *testing.T) {
	h := full(t, 3)
	must[domain.Order](t)(h.book.Orders.Create(t.Context(), book.Owner(), domain.Order{Customer: "C001", Pickup: pickup.Add(7), Mode: domain.Add,
		Lines: []domain.OrderLine{{Product: "P1", Cases: 7}}}, book.Note{}))
	must[domain.Standing](t)(h.book.Standing.Create(t.Context(), book.Owner(), domain.Standing{Customer: "C002", Product: "P2",
		Terms: []domain.Term{{From: pickup, Every: 1, Cases: 4, Weekdays: domain.WeekdaysOf(time.Monday, time.Thursday)}}}, book.Note{}))
	p := h.get("/history").text("main")
	require.Contains(t, p, "order Harbor Table, Thu Mar 11")
	require.Contains(t, p, "7 cases of Romaine case")
	require.Contains(t, p, "standing order Mill Street Kitchen, Butterhead case")
	require.Contains(t, p, "4 cases of Butterhead case · Monday and Thursday · from Thu Mar 4")
	require.Contains(t, p, "Truck or round: North truck")
	require.Contains(t, p, "count Wed Mar 3")
	require.NotContains(t, p, "Bed 1 ")
}
