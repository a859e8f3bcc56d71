package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

var countHeading = []any{"Bed", "Variety", "Rafts now", "Rafts next", "Rafts after", "Heads now", "Rafts poor", "Heads per raft", "Count day", "Place"}

func countSheet(rows ...[]any) Table {
	return sheetOf("Count", append([][]any{countHeading}, rows...)...)
}

func coolerSheet(rows ...[]any) Table {
	return sheetOf("Cooler", append([][]any{{"Variety", "Heads", "Case", "Cases", "Pulled", "Contents"}}, rows...)...)
}

func TestWalkCountsAreRead(t *testing.T) {
	h := newHouse(t)
	tables := []Table{
		countSheet([]any{"1", "oak", 2.5, "1", nil, nil, 0.5, nil, "2027-03-01"}, []any{2, "COS", nil, nil, nil, 40, nil, nil, nil, 3}, []any{nil, nil, nil}, []any{3, "Oak", nil, nil, "0.5", nil, nil, 18}),
		coolerSheet([]any{"Oak", 12, nil, nil, "2027-02-28"}, []any{nil, nil, "Blend", 2, "2027-02-27", "6 Oak / 6 cos"}),
		sheetOf("notes", []any{"windy"}),
	}
	p, err := h.book.PreviewCount(t.Context(), owner, tables, CountSheet{Whole: true, SpeaksTo: friday})
	require.NoError(t, err)
	require.Empty(t, p.Faults)
	require.Equal(t, "sheet notes", p.Notes[0].Place)
	three, eighteen := 3, domain.Heads(18)
	require.Equal(t, domain.Count{Day: monday, SpeaksTo: friday, Whole: true, Cooler: true,
		Beds: []domain.BedCount{{Bed: "1", Variety: "OAK", RaftsNow: 5, RaftsNext: 2, Poor: 1}, {Bed: "2", Variety: "COS", HeadsNow: 40, Place: &three},
			{Bed: "3", Variety: "OAK", RaftsAfter: 1, HeadsPerRaft: &eighteen}},
		Loose:  []domain.LooseHeads{{Variety: "OAK", Heads: 12, Pulled: monday.Add(-1)}},
		Packed: []domain.PackedCount{{Product: "BLEND", Cases: 2, Pulled: monday.Add(-2), Contents: []domain.VarietyHeads{{Variety: "OAK", Heads: 6}, {Variety: "COS", Heads: 6}}}},
	}, p.Count)

	taken, err := h.book.TakeCount(t.Context(), owner, tables, CountSheet{Name: "walk.csv", Whole: true, SpeaksTo: friday}, p.Revision)
	require.NoError(t, err)
	require.Len(t, taken.Count.Value.Beds, 3)
	again, err := h.book.TakeCount(t.Context(), owner, tables, CountSheet{Name: "walk.csv", Whole: true}, p.Revision)
	require.NoError(t, err)
	require.True(t, again.Already)
	counts, err := h.book.Counts.List(t.Context(), owner, Query{})
	require.NoError(t, err)
	require.Len(t, counts, 1, "the same file again changes nothing")
}

func TestWalkCountsRefused(t *testing.T) {
	cases := []struct {
		name        string
		table       Table
		place, code string
	}{
		{"a third of a raft", countSheet([]any{"1", "Oak", 0.33}), "sheet Count, row 2, column C (rafts now)", "no_half_rafts"},
		{"negative rafts", countSheet([]any{"1", "Oak", "-1"}), "sheet Count, row 2, column C (rafts now)", "at_least"},
		{"part of a head", countSheet([]any{"1", "Oak", nil, nil, nil, 1.5}), "sheet Count, row 2, column F (heads now)", "not_whole"},
		{"a formula without a value", countSheet([]any{"1", "Oak", TableCell{Kind: CellNoValue}}), "sheet Count, row 2, column C (rafts now)", "formula_without_value"},
		{"no bed", countSheet([]any{nil, "Oak", 1}), "sheet Count, row 2, column A (bed)", "required"},
		{"no variety", countSheet([]any{"1", nil, 1}), "sheet Count, row 2, column B (variety)", "required"},
		{"an unknown variety, with one near it", countSheet([]any{"1", "Oka", 1}), "sheet Count, row 2, column B (variety)", "unknown_variety_near"},
		{"more poor rafts than rafts", countSheet([]any{"1", "Oak", 1, nil, nil, nil, 2}), "sheet Count, row 2, column G (rafts poor)", "more_poor_than_rafts"},
		{"a bed and variety twice", countSheet([]any{"1", "Oak", 1}, []any{"1", "Oak", 2}), "sheet Count, row 3, column A (bed)", "same_bed_and_variety"},
		{"two days in one count", countSheet([]any{"1", "Oak", 1, nil, nil, nil, nil, nil, monday}, []any{"2", "Oak", 1, nil, nil, nil, nil, nil, tuesday}),
			"sheet Count, row 3, column I (count day)", "another_count_day"},
		{"no day of the pull", coolerSheet([]any{"Oak", 12}), "sheet Cooler, row 2, column E (pulled)", "required"},
		{"29 February of a common year", coolerSheet([]any{"Oak", 12, nil, nil, "2027-02-29"}), "sheet Cooler, row 2, column E (pulled)", "no_such_day"},
		{"contents that are none", coolerSheet([]any{nil, nil, "Blend", 1, monday, "some Oak"}), "sheet Cooler, row 2, column F (contents)", "contents_form"},
		{"pulled after the count", coolerSheet([]any{"Oak", 12, nil, nil, tuesday}), "sheet Cooler, row 2 (pulled)", "after_count"},
		{"no count at all", sheetOf("Orders", orderHeading), "file walk.csv", "no_count_heading"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h := newHouse(t)
			p, err := h.book.PreviewCount(t.Context(), owner, []Table{c.table}, CountSheet{Name: "walk.csv"})
			require.NoError(t, err)
			require.Len(t, p.Faults, 1)
			require.Equal(t, c.place+" "+c.code, p.Faults[0].Place+" "+p.Faults[0].Code)
			_, err = h.book.TakeCount(t.Context(), owner, []Table{c.table}, CountSheet{Name: "walk.csv"}, p.Revision)
			require.Equal(t, p.Faults, faultsOf(t, err))
			after, err := h.book.Revision(t.Context())
			require.NoError(t, err)
			require.Equal(t, p.Revision, after)
		})
	}
}

func TestACountIsTakenOnItsPreviewsRevisionOnly(t *testing.T) {
	h := newHouse(t)
	_, err := h.book.TakeCount(t.Context(), owner, []Table{countSheet([]any{"1", "Oak", 1})}, CountSheet{}, 1)
	require.ErrorIs(t, err, domain.ErrStale)
}
