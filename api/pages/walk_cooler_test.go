package pages_test

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

// chilled is a full farm in whose cooler lie loose heads and packed cases.
func chilled(t testing.TB) *house {
	h := full(t, 12)
	_, err := h.book.Counts.Create(t.Context(), book.Owner(), domain.Count{Day: today, Cooler: true,
		Loose:  []domain.LooseHeads{{Variety: "V03", Heads: 40, Pulled: today.Add(-1)}},
		Packed: []domain.PackedCount{{Product: "P2", Cases: 5, Trace: "27061-01", Pulled: today.Add(-1)}}}, book.Note{})
	require.NoError(t, err)
	return h
}

func (h *house) lastCount() domain.Count {
	h.t.Helper()
	counts, err := h.book.Counts.List(h.t.Context(), book.Owner(), book.Query{})
	require.NoError(h.t, err)
	last := counts[0].Value
	for _, c := range counts {
		if c.Rev > counts[0].Rev {
			counts[0], last = c, c.Value
		}
	}
	return last
}

// The cooler is counted on the walk: what the book holds there with one box
// each, and what it does not know with a row to fill in.
func TestTheCoolerIsCountedOnTheWalk(t *testing.T) {
	h := chilled(t)
	p := h.get("/beds/walk")
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main"), "Butterheadpulled Tue Mar 2 · the book has 40 heads")
	require.Contains(t, p.text("main"), "Butterhead case 27061-01pulled Tue Mar 2 · the book has 5 cases")
	form := p.form("[name=cooler]")
	form.Set("loose[0].heads", "36")
	form.Set("packed[0].cases", "4")
	form.Set("loose[1].variety", "V05")
	form.Set("loose[1].pulled", "2027-03-03")
	form.Set("loose[1].heads", "12")

	p = h.post("/beds/walk", form)
	p.wellMade(t, http.StatusUnprocessableEntity)
	require.Contains(t, p.text(".wrong"), "Tick that the whole cooler was counted")
	form = p.form("[name=cooler]")
	require.Equal(t, "36", form.Get("loose[0].heads"), "what was typed stays")
	require.Contains(t, p.text("main"), "the book has 40 heads")
	form.Set("cooler", "1")
	h.follow(h.post("/beds/walk", form))
	h.follow(h.post("/beds/walk", form))

	c := h.lastCount()
	require.True(t, c.Cooler)
	require.False(t, c.Whole)
	require.Empty(t, c.Beds, "no bed was walked")
	require.Equal(t, []domain.LooseHeads{{Variety: "V03", Heads: 36, Pulled: today.Add(-1)}, {Variety: "V05", Heads: 12, Pulled: today}}, c.Loose)
	require.Len(t, c.Packed, 1)
	require.Equal(t, domain.Cases(4), c.Packed[0].Cases)
	require.Equal(t, "27061-01", c.Packed[0].Trace)
	held, err := h.book.InCooler(t.Context(), book.Owner(), today)
	require.NoError(t, err)
	require.Len(t, held.Loose, 2, "sent twice, stored once, and it stands instead of what was known")
	require.Equal(t, "A1", h.get("/beds/walk").form("[name=cooler]").Get("beds[0].bed"), "the beds of the last walk are still asked")
}

// What is missing in a row of the cooler is told in that row.
func TestFaultsOfTheCoolerStandInTheirRows(t *testing.T) {
	h := chilled(t)
	form := h.get("/beds/walk").form("[name=cooler]")
	form.Set("cooler", "1")
	form.Set("packed[2].trace", "99999-01")
	form.Set("packed[2].cases", "3")
	form.Set("loose[2].heads", "7")
	p := h.post("/beds/walk", form)
	p.wellMade(t, http.StatusUnprocessableEntity)
	faults := p.all(".walk .state.short")
	require.Len(t, faults, 2)
	require.Contains(t, textOf(faults[0]), "Variety: this is needed.")
	require.Contains(t, textOf(faults[0]), "Lifted on: this is needed.")
	require.Contains(t, textOf(faults[1]), "Product: this is needed.")
	require.Equal(t, "99999-01", p.form("[name=cooler]").Get("packed[2].trace"))
	h.post("/beds/walk", url.Values{"id": {"W1"}, "day": {"2027-03-03"}, "whole": {"1"}, "beds[0].bed": {"A1"}, "beds[0].variety": {"V01"}}).wellMade(t, http.StatusUnprocessableEntity)
}
