package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

func TestWhoWentShortLastIsShownWhereItIsDecided(t *testing.T) {
	h := newHouse(t)
	h.order("GRILL", "OAK-CASE", 2, tuesday)
	h.order("INN", "OAK-CASE", 3, tuesday)
	h.order("INN", "OAK-CASE", 1, friday)
	h.order("GRILL", "OAK-CASE", 1, friday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", HeadsNow: 30})
	require.Zero(t, h.day(monday, friday).Lines[0].Shorted, "nothing was printed yet")

	_, err := h.book.Issue(t.Context(), owner, monday, monday, "")
	require.NoError(t, err)
	last := map[string]Shorted{}
	for _, l := range h.day(monday, friday).Lines {
		last[l.Line.Customer] = l.Shorted
	}
	require.Equal(t, map[string]Shorted{"INN": {tuesday, 2}, "GRILL": {}}, last, "30 heads are three cases: two for the anchor, one for the Inn")
	for _, l := range h.day(monday, tuesday).Lines {
		require.Zero(t, l.Shorted, "the day itself is not the last one")
	}

	h.count(domain.BedCount{Bed: "1", Variety: "OAK", HeadsNow: 50})
	_, err = h.book.Issue(t.Context(), owner, monday, monday, "")
	require.NoError(t, err)
	for _, l := range h.day(monday, friday).Lines {
		require.Zero(t, l.Shorted, "the printing that replaced it gave everything")
	}
}

func TestWhatNobodyCountedIsNotShort(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 3, tuesday)
	given := h.day(monday, tuesday).Given()
	require.Equal(t, []domain.Cases{0, 0}, []domain.Cases{given[0].Cases, given[0].Lacked}, "nobody has walked yet")
	h.count()
	require.EqualValues(t, 3, h.day(monday, tuesday).Given()[0].Lacked, "every bed was walked, and there is no oak")
}
