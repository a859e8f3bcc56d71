package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

func liftSheetOf(rows ...[]any) []Table {
	return []Table{sheetOf("Lift", append([][]any{{"Day", "Variety", "Bed", "Lot", "Rafts", "Heads", "Culls"}}, rows...)...)}
}

func TestALiftIsTakenFromASheetOnce(t *testing.T) {
	h := oakHouse(t)
	tables := append(liftSheetOf([]any{"2027-03-01", "oak", nil, nil, 2, 43, 2}), sheetOf("notes", []any{"windy"}))
	require.Equal(t, domain.LiftSheetKind, SheetsAre(tables))
	p, err := h.book.PreviewLift(t.Context(), owner, tables, LiftSheet{})
	require.NoError(t, err)
	require.Empty(t, p.Faults)
	require.Equal(t, "sheet notes", p.Notes[0].Place)
	require.Equal(t, monday, p.Lift.Day)
	require.True(t, p.Lift.Done)
	require.Len(t, p.Lift.Rows, 1)
	require.Equal(t, [2]domain.Heads{43, 2}, [2]domain.Heads{p.Lift.Rows[0].Heads, p.Lift.Rows[0].Culls})
	h.standing(monday, 80, 0, 0)

	_, err = h.book.TakeLift(t.Context(), owner, tables, LiftSheet{Name: "lift.csv"}, p.Revision-1)
	require.ErrorIs(t, err, domain.ErrStale)
	taken, err := h.book.TakeLift(t.Context(), owner, tables, LiftSheet{Name: "lift.csv"}, p.Revision)
	require.NoError(t, err)
	require.Equal(t, p.Lift.Rows, taken.Lift.Value.Rows)
	require.Equal(t, domain.LiftSheetKind, taken.Sheet.Kind)
	_, loose, _ := h.stands(monday)
	require.Equal(t, 43, loose)
	again, err := h.book.TakeLift(t.Context(), owner, tables, LiftSheet{Name: "lift.csv"}, p.Revision)
	require.NoError(t, err)
	require.True(t, again.Already)

	better := liftSheetOf([]any{nil, "Oak", 1, nil, 2, 41, 4})
	fixed, err := h.book.PreviewLift(t.Context(), owner, better, LiftSheet{Day: monday, Instead: taken.Lift.Value.ID})
	require.NoError(t, err)
	corrected, err := h.book.TakeLift(t.Context(), owner, better, LiftSheet{Day: monday, Instead: taken.Lift.Value.ID}, fixed.Revision)
	require.NoError(t, err)
	require.Equal(t, taken.Lift.Value.ID, corrected.Lift.Value.Instead)
	_, loose, _ = h.stands(monday)
	require.Equal(t, 41, loose)
}

func TestLiftsOfABedAreOfThatBed(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 4, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8}, domain.BedCount{Bed: "2", Variety: "OAK", RaftsNow: 8})
	p, err := h.book.PreviewLift(t.Context(), owner, liftSheetOf([]any{nil, "Oak", "2", nil, 1, 20, nil}), LiftSheet{Open: true})
	require.NoError(t, err)
	require.Empty(t, p.Faults)
	require.False(t, p.Lift.Done)
	require.Equal(t, []string{"2", "OAK"}, []string{p.Lift.Rows[0].Bed, p.Lift.Rows[0].Variety})
	require.Len(t, p.Lift.Rows, 1)
}

func TestLiftSheetsRefused(t *testing.T) {
	cases := []struct {
		name        string
		tables      []Table
		place, code string
	}{
		{"part of a head", liftSheetOf([]any{nil, "Oak", nil, nil, nil, 4.5}), "sheet Lift, row 2, column F (heads)", "not_whole"},
		{"no heads told", liftSheetOf([]any{nil, "Oak", nil, nil, 2}), "sheet Lift, row 2, column F (heads)", "required"},
		{"an unknown variety, with one near it", liftSheetOf([]any{nil, "Oka", nil, nil, nil, 4}), "sheet Lift, row 2, column B (variety)", "unknown_variety_near"},
		{"neither a variety nor a lot", liftSheetOf([]any{nil, nil, "1", nil, nil, 4}), "sheet Lift, row 2, column B (variety)", "required"},
		{"a variety twice", liftSheetOf([]any{nil, "Oak", nil, nil, nil, 4}, []any{nil, "oak", nil, nil, nil, 5}), "sheet Lift, row 3, column B (variety)", "told_twice"},
		{"two days", liftSheetOf([]any{monday, "Oak", nil, nil, nil, 4}, []any{monday.Add(-1), "Cos", nil, nil, nil, 5}), "sheet Lift, row 3, column A (count day)", "another_count_day"},
		{"what does not stand", liftSheetOf([]any{nil, "Oak", nil, nil, nil, 4}, []any{nil, "Cos", nil, nil, nil, 5}), "sheet Lift, row 3", "variety_not_in_beds"},
		{"not in that bed", liftSheetOf([]any{nil, "Oak", "9", nil, nil, 4}), "sheet Lift, row 2", "not_in_bed"},
		{"no such lot", liftSheetOf([]any{nil, nil, nil, "X9", nil, 4}), "sheet Lift, row 2", "not_in_beds"},
		{"a day ahead", liftSheetOf([]any{tuesday, "Oak", nil, nil, nil, 4}), "sheet Lift, row 2 (day)", "day_ahead"},
		{"no lift at all", []Table{sheetOf("Orders", orderHeading)}, "file lift.csv", "no_count_heading"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h := oakHouse(t)
			p, err := h.book.PreviewLift(t.Context(), owner, c.tables, LiftSheet{Name: "lift.csv"})
			require.NoError(t, err)
			require.Len(t, p.Faults, 1)
			require.Equal(t, c.place+" "+c.code, p.Faults[0].Place+" "+p.Faults[0].Code)
			_, err = h.book.TakeLift(t.Context(), owner, c.tables, LiftSheet{Name: "lift.csv"}, p.Revision)
			require.Equal(t, p.Faults, faultsOf(t, err))
			after, err := h.book.Revision(t.Context())
			require.NoError(t, err)
			require.Equal(t, p.Revision, after)
		})
	}
}
