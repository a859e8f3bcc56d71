package prints

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
)

// recalled is a drill of a lot of Red oakleaf, of which two customers got cases.
func recalled(s *story) *book.Recall {
	sent := func(customer, name string, cases domain.Cases, trace string) book.Sent {
		return book.Sent{Day: thursday, Carrier: "ferry", Shipped: domain.Shipped{Trace: trace, Customer: customer, Product: mixed, Cases: cases}, Name: name, Phone: "555 0100"}
	}
	run := packedRuns()[0]
	return &book.Recall{Code: run.Trace, Farm: s.Farm, Day: wednesday, Names: map[string]string{redOak: "Red oakleaf", mixed: "Mixed living case"},
		Lots: []book.TracedLot{{Lot: "B-12/2", Variety: redOak, Bed: "2", Lifted: wednesday, Heads: 72, Batch: "B-12", Sown: wednesday.Add(-40), SeedLot: "SL-7"}},
		Runs: []book.TracedRun{{Packed: wednesday, PackedRun: run}},
		Calls: []book.RecallCall{{Customer: "c1", Name: "Bistro Annabel", Phone: "555 0100", Cases: 2, Back: 1, Got: []book.Sent{sent("c1", "Bistro Annabel", 2, run.Trace)}},
			{Customer: "c2", Name: "The Long Table", Cases: 1, Got: []book.Sent{sent("c2", "The Long Table", 1, run.Trace)}}},
		Unsure: []book.RecallCall{{Customer: "c3", Name: "Harbour Kitchen", Phone: "555 0101", Cases: 1, Got: []book.Sent{sent("c3", "Harbour Kitchen", 1, "")}}},
		Hold: []book.RecallHold{{Trace: run.Trace, Product: mixed, Cases: 1}, {Place: planning.Chilled, Lot: "B-12/2@2026-03-11", Variety: redOak, Heads: 12},
			{Place: planning.Bed, Lot: "B-12/2", Variety: redOak, Bed: "2", Heads: 36}},
		Packed: 4, Sent: 3, Back: 1}
}

// The sheet names everybody to ring with their telephone and cases, what is held
// back in the house, and that it is no legal advice.
func TestTheRecallSheetNamesWhomToRing(t *testing.T) {
	p, err := Recall(recalled(ordinary()), issued)
	require.NoError(t, err)
	checkWords(t, p)
	text := wholeText(t, p)
	for _, want := range []string{"Recall of 1152KMB", "Bistro Annabel", "555 0100", "2 Mixed living case, 1152KMB", "1 of them came back",
		"Harbour Kitchen", "no lot code", "36 heads of Red oakleaf stand in bed 2: do not lift", "12 heads of Red oakleaf loose",
		"batch B-12", "seed lot SL-7", "4 packed, 3 sent, 1 came back", "no legal advice"} {
		assert.Contains(t, text, want)
	}
	assert.NotContains(t, text, "count the cooler", "every case is accounted for")
	c := recalled(ordinary())
	c.Missing, c.Calls = 2, nil
	p, err = Recall(c, issued)
	require.NoError(t, err)
	assert.Contains(t, wholeText(t, p), "count the cooler")
	assert.Contains(t, wholeText(t, p), "Nobody has got cases of it")
}

// The number under which labels were issued stands on each.
func TestALabelBearsItsIssue(t *testing.T) {
	for stock, o := range map[Stock]Options{LabelSheet: {Number: 7, PrintedAt: printedAt}, LabelRoll: {Number: 7, PrintedAt: printedAt}} {
		p, err := CaseLabels(ordinary().facts(), wednesday, packedRuns(), stock, o)
		require.NoError(t, err)
		assert.Contains(t, wholeText(t, p), "No. 7")
	}
}

// A farm's own stacks: nine cases are one stack of ten.
func TestStacksAreAsHighAsTheFarmStacksThem(t *testing.T) {
	s := tell().truck("ferry", "Ferry Freight", "05:30")
	s.customer("Bistro", "ferry", 1).asks(mixed, 9, 9)
	for high, want := range map[int]string{10: "1 of 1", 0: "2 of 2", 3: "3 of 3"} {
		p, err := StackTags(s.Day, high, issued)
		require.NoError(t, err)
		assert.Contains(t, wholeText(t, p), want)
	}
}
