package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// TestFromACaseBackToTheBedAndForwardToEverybody packs and sends a morning, and
// asks from each end.
func TestFromACaseBackToTheBedAndForwardToEverybody(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 2, tuesday)
	h.order("GRILL", "BLEND", 3, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8}, domain.BedCount{Bed: "2", Variety: "COS", RaftsNow: 8})
	_, err := h.book.RecordLift(ctx, owner, monday, []LiftCount{{Variety: "OAK", Heads: 40, Culls: 2}, {Variety: "COS", Heads: 20}}, true, "")
	require.NoError(t, err)
	packing, err := h.book.RecordPacked(ctx, owner, monday, nil, nil, "")
	require.NoError(t, err)
	_, err = h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)

	var oakCase, blend string
	for _, r := range packing.Value.Runs {
		if r.Product == "BLEND" {
			blend = r.Trace
		} else {
			oakCase = r.Trace
		}
	}
	back, err := h.book.Trace(ctx, owner, blend)
	require.NoError(t, err)
	require.Len(t, back.Runs, 1)
	require.Len(t, back.Lots, 2)
	beds := map[string]string{}
	for _, l := range back.Lots {
		beds[l.Variety] = l.Bed
		require.Equal(t, monday, l.Lifted)
		require.NotEmpty(t, l.Count)
	}
	require.Equal(t, map[string]string{"OAK": "1", "COS": "2"}, beds)
	require.Len(t, back.Sent, 1)
	require.Equal(t, "Grill", back.Sent[0].Name)
	require.Equal(t, domain.Cases(3), back.Sent[0].Cases)
	require.Zero(t, back.OnHand[blend])

	oakLot := ""
	for _, l := range back.Lots {
		if l.Variety == "OAK" {
			oakLot = l.Lot
			require.Equal(t, domain.Heads(2), l.Culls)
		}
	}
	forward, err := h.book.Trace(ctx, owner, oakLot)
	require.NoError(t, err)
	require.Len(t, forward.Sent, 2, "both customers got heads of that lot")

	customer, err := h.book.Trace(ctx, owner, "INN")
	require.NoError(t, err)
	require.Equal(t, oakCase, customer.Runs[0].Trace)

	_, err = h.book.Trace(ctx, owner, "nothing")
	require.ErrorIs(t, err, domain.ErrNotFound)
}

// The events and paragraphs of 21 CFR 1.1325, 1.1330 and 1.1340 (eCFR, title 21,
// part 1, subpart S), which a grower who packs and ships keeps.
func TestKeyDataNameEveryEvent(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 2, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8})
	_, err := h.book.RecordPacked(ctx, owner, monday, nil, nil, "")
	require.NoError(t, err)
	_, err = h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)
	rows, err := h.book.KeyData(ctx, owner, "27060-01")
	require.NoError(t, err)
	events := map[string]string{}
	for _, r := range rows {
		events[r.Event] = r.Paragraph
		require.NotZero(t, r.Day)
		require.NotZero(t, r.Quantity)
		require.NotEmpty(t, r.Document)
	}
	require.Equal(t, map[string]string{"harvesting": "§ 1.1325(a)(1)", "cooling": "§ 1.1325(b)(1)",
		"initial packing": "§ 1.1330(a)", "shipping": "§ 1.1340(a)"}, events)
}
