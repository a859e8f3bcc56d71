package pages_test

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
)

// TestAHolidayIsSuggestedAndMoreIsExpected: the country's holidays are listed,
// and what the grower expects of one is typed from there.
func TestAHolidayIsSuggestedAndMoreIsExpected(t *testing.T) {
	h := full(t, 12)
	require.Contains(t, h.get("/holidays").text("main"), "No holidays are suggested")
	form := h.get("/farm").form("[name=country]")
	form.Set("country", "atlantis")
	h.post("/farm", form).wellMade(t, http.StatusUnprocessableEntity)
	form.Set("country", "US")
	h.follow(h.post("/farm", form))
	p := h.get("/holidays")
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main"), "Thursday, November 25", "Thanksgiving Day of 2027 (5 U.S.C. 6103)")

	p = h.get("/surges/new?day=2027-11-22&name=Thanksgiving")
	p.wellMade(t, http.StatusOK)
	form = p.form("[name=percent]")
	require.Equal(t, "2027-11-22", form.Get("from"))
	form.Set("until", "2027-11-24")
	form.Set("percent", "20")
	form.Set("heads", "40")
	form.Set("variety", "V01")
	h.post("/surges/new", form).wellMade(t, http.StatusUnprocessableEntity)
	form.Del("heads")
	h.follow(h.post("/surges/new", form))
	list, err := h.book.Surges.List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, 20, list[0].Value.Percent)
	require.Contains(t, h.get("/surges").text("main"), "20 in 100 more")

	p = h.get("/calendar/new?day=2027-11-25&note=Thanksgiving")
	require.Equal(t, "2027-11-25", p.form("[name=day]").Get("day"))
	h.follow(h.post("/calendar/new", p.form("[name=day]")))
	require.Contains(t, h.get("/holidays").text("main"), "in the calendar")
}
