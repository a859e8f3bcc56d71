package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// What is on a label stays on it: of two printed runs the first is not packed,
// and the second keeps its code.
func TestARunKeepsTheCodeOnItsLabels(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 2, tuesday)
	h.order("GRILL", "BLEND", 3, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8}, domain.BedCount{Bed: "2", Variety: "COS", RaftsNow: 8})
	issue, err := h.book.Issue(ctx, owner, monday, monday, "")
	require.NoError(t, err)
	require.Len(t, issue.Value.Runs, 2)
	packing, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday, Changes: []PackedChange{{Run: 0}}}, "")
	require.NoError(t, err)
	require.Len(t, packing.Value.Runs, 1)
	require.Equal(t, "27060-02", packing.Value.Runs[0].Trace)
	again, err := h.book.Issue(ctx, owner, monday, monday, "")
	require.NoError(t, err)
	require.Equal(t, "27060-01", again.Value.Runs[0].Trace, "what was not packed is still to be packed under its code")
}

// A code that was packed is not printed again on other cases.
func TestALotCodeIsGivenOnce(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 2, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8})
	_, err := h.book.Issue(ctx, owner, monday, monday, "")
	require.NoError(t, err)
	_, err = h.book.RecordPacked(ctx, owner, PackedTold{Day: monday, Changes: []PackedChange{{Run: 0, Cases: 1}}}, "")
	require.NoError(t, err)
	again, err := h.book.Issue(ctx, owner, monday, monday, "")
	require.NoError(t, err)
	require.Equal(t, "27060-02", again.Value.Runs[0].Trace)
}

// A calendar that moves a pickup moves the words given for it.
func TestAWordGoesWithAPickupThatTheCalendarMoves(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 2, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8})
	_, err := h.book.Promise(t.Context(), owner, monday, h.day(monday, tuesday).Lines[0].Base, 2, Note{})
	require.NoError(t, err)
	wednesday := tuesday.Add(1)
	add(h, h.book.Exceptions, domain.Exception{Day: tuesday, Kind: domain.Moved, To: wednesday})
	require.Equal(t, domain.Cases(2), h.day(wednesday, wednesday).Lines[0].Promised)
}

func TestACaseThatCameBackIsOnHandAgain(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 2, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8})
	_, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday}, "")
	require.NoError(t, err)
	_, err = h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)
	_, err = h.book.CameBack(ctx, owner, domain.Return{Day: tuesday, Customer: "INN", Product: "OAK-CASE", Trace: "27060-01", Cases: 1, Became: "stock"}, "")
	require.NoError(t, err)
	trace, err := h.book.Trace(ctx, owner, "27060-01")
	require.NoError(t, err)
	require.Equal(t, domain.Cases(1), trace.OnHand["27060-01"])
}

// A printed day of which nothing was told counts as done, and what left of it
// can be traced by the codes on its labels.
func TestCasesOfAPrintedDayAreTraced(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 2, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8})
	_, err := h.book.Issue(ctx, owner, monday, monday, "")
	require.NoError(t, err)
	h.clock = h.clock.AddDate(0, 0, 1)
	left, err := h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)
	require.Equal(t, "27060-01", left.Value.Took[0].Trace)
	trace, err := h.book.Trace(ctx, owner, "27060-01")
	require.NoError(t, err)
	require.Len(t, trace.Sent, 1)
	require.Equal(t, "1", trace.Lots[0].Bed)
	require.Equal(t, domain.Heads(20), trace.Lots[0].Heads)
	require.Zero(t, trace.OnHand["27060-01"])
	_, err = h.book.CameBack(ctx, owner, domain.Return{Day: tuesday, Customer: "INN", Product: "OAK-CASE", Trace: "27060-01", Cases: 1, Became: "stock"}, "")
	require.NoError(t, err)
}
