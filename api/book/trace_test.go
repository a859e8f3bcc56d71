package book

import (
	"strconv"
	"strings"
	"testing"
	"time"

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
	_, err := h.book.RecordLift(ctx, owner, LiftTold{Day: monday, Counts: []LiftCount{{Variety: "OAK", Heads: 40, Culls: 2}, {Variety: "COS", Heads: 20}}, Done: true}, "")
	require.NoError(t, err)
	packing, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday}, "")
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
	_, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday}, "")
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

// Cases that a count finds keep their trace where their lot code is told; those
// without one are named wherever they can be of what is asked.
func TestCountedCasesKeepTheirTraceWhereItIsTold(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 3, tuesday)
	h.order("GRILL", "OAK-CASE", 1, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8})
	_, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday}, "")
	require.NoError(t, err)
	add(h, h.book.Counts, domain.Count{Day: monday, Cooler: true, Packed: []domain.PackedCount{
		{Product: "OAK-CASE", Cases: 3, Pulled: monday, Trace: "27060-01", Line: domain.LineID("O8", "OAK-CASE", "VAN", tuesday)},
		{Product: "OAK-CASE", Cases: 1, Pulled: monday}}})
	left, err := h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)
	traces := map[string]domain.Cases{}
	for _, s := range left.Value.Took {
		traces[s.Trace] += s.Cases
	}
	require.Equal(t, map[string]domain.Cases{"27060-01": 3, "": 1}, traces)

	back, err := h.book.Trace(ctx, owner, "27060-01")
	require.NoError(t, err)
	require.Len(t, back.Sent, 1+len(left.Value.Took)-2)
	require.Len(t, back.Uncoded, 1, "a case of which nobody knows can be of it")
	require.Equal(t, domain.Cases(1), back.Uncoded[0].Cases)
	customer, err := h.book.Trace(ctx, owner, back.Uncoded[0].Customer)
	require.NoError(t, err)
	require.NotEmpty(t, customer.Uncoded, "from the customer too")
}

// A drill names who got cases of the lots, and all that is still here; every
// case packed is accounted for.
func TestARecallDrillNamesWhomToRing(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	inn, err := h.book.Customers.Get(ctx, owner, "INN")
	require.NoError(t, err)
	inn.Value.Phone = "555 0111"
	_, err = h.book.Customers.Replace(ctx, owner, "INN", inn.Value, Note{Base: inn.Rev})
	require.NoError(t, err)
	h.order("INN", "OAK-CASE", 2, tuesday)
	h.order("GRILL", "BLEND", 3, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8}, domain.BedCount{Bed: "2", Variety: "COS", RaftsNow: 8})
	_, err = h.book.RecordLift(ctx, owner, LiftTold{Day: monday, Counts: []LiftCount{{Variety: "OAK", Heads: 60}, {Variety: "COS", Heads: 20}}, Done: true}, "")
	require.NoError(t, err)
	p, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday, Changes: []PackedChange{{Run: 0, Cases: 4}}}, "")
	require.NoError(t, err)
	h.clock = h.clock.Add(24 * time.Hour)
	_, err = h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)
	var oakCase string
	for _, r := range p.Value.Runs {
		if r.Product == "OAK-CASE" {
			oakCase = r.Trace
		}
	}
	_, err = h.book.CameBack(ctx, owner, domain.Return{Day: tuesday, Customer: "INN", Product: "OAK-CASE", Cases: 1, Trace: oakCase, Became: "compost"}, "")
	require.NoError(t, err)

	drill, err := h.book.Recall(ctx, owner, oakCase)
	require.NoError(t, err)
	require.Len(t, drill.Runs, 2, "the blend holds heads of the same lot")
	require.Len(t, drill.Calls, 2)
	by := map[string]RecallCall{}
	var got domain.Cases
	for _, c := range drill.Calls {
		by[c.Name] = c
		for _, s := range c.Got {
			got += s.Cases
		}
	}
	require.Equal(t, "555 0111", by["Inn"].Phone)
	require.Equal(t, domain.Cases(1), by["Inn"].Back)
	require.Equal(t, drill.Sent, got)
	require.Equal(t, domain.Cases(5), drill.Sent)
	var here domain.Cases
	beds := 0
	for _, x := range drill.Hold {
		here += x.Cases
		if x.Bed != "" {
			beds++
		}
	}
	require.Equal(t, drill.Packed, drill.Sent+here, "every case is with somebody or here")
	require.Zero(t, drill.Missing)
	require.Equal(t, 1, beds, "the rest of the bed must not be lifted")
	_, err = h.book.Recall(ctx, owner, "nothing")
	require.ErrorIs(t, err, domain.ErrNotFound)
}

// TestATraceOutlivesTwoYears: answers, dropped sheets and signed-in browsers are
// cleared away in time; what a trace is made of never is.
func TestATraceOutlivesTwoYears(t *testing.T) {
	h := oakHouse(t)
	ctx := t.Context()
	lift, err := h.lifted(40, 2, "")
	require.NoError(t, err)
	code := h.packed().Runs[0].Trace
	_, err = h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)
	dropped, err := h.book.DropSheet(ctx, owner, "mail.csv", []byte("x"))
	require.NoError(t, err)
	before, err := h.book.Trace(ctx, owner, code)
	require.NoError(t, err)
	records, err := h.book.KeyData(ctx, owner, code)
	require.NoError(t, err)

	h.clock = h.clock.AddDate(3, 0, 0)
	for i := range 3 { // each clears away what is over
		_, err = h.book.DropSheet(ctx, owner, "mail.csv", []byte{byte(i)})
		require.NoError(t, err)
		kept := h.book.Keep(ctx, owner, func(any) (Reply, error) {
			return Reply{Key: strings.Repeat("k", i+1), Status: 200, Header: "{}"}, nil
		})
		_, err = h.book.Customers.Create(kept, owner, domain.Customer{Name: "Later " + strconv.Itoa(i)}, Note{})
		require.NoError(t, err)
	}
	_, err = h.book.DroppedSheet(ctx, owner, dropped)
	require.ErrorIs(t, err, domain.ErrNotFound, "the sheet was cleared away")
	after, err := h.book.Trace(ctx, owner, code)
	require.NoError(t, err)
	require.Equal(t, before.Runs, after.Runs)
	require.Equal(t, before.Lots, after.Lots)
	require.Equal(t, before.Sent, after.Sent)
	later, err := h.book.KeyData(ctx, owner, code)
	require.NoError(t, err)
	require.Equal(t, records, later)
	_, err = h.book.Lifts().Get(ctx, owner, lift.ID)
	require.NoError(t, err)
}
