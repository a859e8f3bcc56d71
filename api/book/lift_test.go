package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/planning"
)

// told is RecordLift of heads of Oak on Monday.
func (h *house) lifted(heads, culls domain.Heads, instead string) (domain.Lift, error) {
	rec, err := h.book.RecordLift(h.t.Context(), owner, LiftTold{Day: monday, Counts: []LiftCount{{Variety: "OAK", Heads: heads, Culls: culls}}, Done: true, Instead: instead}, "")
	return rec.Value, err
}

func (h *house) packed(changes ...PackedChange) domain.Packing {
	h.t.Helper()
	rec, err := h.book.RecordPacked(h.t.Context(), owner, PackedTold{Day: monday, Changes: changes}, "")
	require.NoError(h.t, err)
	return rec.Value
}

// stands is the heads of Oak in the beds, loose in the cooler and in cases, as
// of a day.
func (h *house) stands(asOf domain.Day) (beds, loose, cased int) {
	h.t.Helper()
	w, err := h.book.Week(h.t.Context(), owner, asOf)
	require.NoError(h.t, err)
	for _, l := range w.Problem.Lots {
		switch {
		case l.Variety != "OAK":
		case l.Place == planning.Bed:
			beds += l.Heads
		default:
			loose += l.Heads
		}
	}
	for _, p := range w.Problem.Packed {
		for _, c := range p.Contents {
			cased += p.Cases * c.Heads
		}
	}
	return beds, loose, cased
}

func (h *house) standing(asOf domain.Day, beds, loose, cased int) {
	h.t.Helper()
	b, l, c := h.stands(asOf)
	require.Equal(h.t, [3]int{beds, loose, cased}, [3]int{b, l, c}, "beds, loose, in cases")
}

// oakHouse has eighty heads of Oak in bed 1 and four cases of ten asked for.
func oakHouse(t testing.TB) *house {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 4, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8})
	return h
}

func TestALiftToldAfterThePackingTakesNothingTwice(t *testing.T) {
	h := oakHouse(t)
	h.packed()
	h.standing(monday, 40, 0, 40)
	lift, err := h.lifted(43, 2, "")
	require.NoError(t, err)
	require.Equal(t, "L1", lift.Instead, "it stands instead of what was taken for lifted")
	h.standing(monday, 40, 3, 40)
	again, err := h.lifted(44, 1, lift.ID)
	require.NoError(t, err)
	require.Equal(t, lift.ID, again.Instead)
	h.standing(monday, 40, 4, 40)
	kept, err := h.book.Lifts().Get(t.Context(), owner, "L1")
	require.NoError(t, err)
	require.Equal(t, domain.Heads(40), kept.Value.Rows[0].Heads, "what it stands instead of is left as it was")
	_, err = h.lifted(44, 1, "L1")
	require.Equal(t, "no_such_lift", faultsOf(t, err)[0].Code, "that one holds no more")
}

func TestAPackingToldBeforeTheLiftLiftsOnlyWhatItTook(t *testing.T) {
	h := oakHouse(t)
	h.order("GRILL", "OAK-CASE", 2, friday)
	h.packed(PackedChange{Run: 0, Cases: 2})
	h.standing(monday, 60, 0, 20)
	d := h.day(monday, tuesday)
	require.Equal(t, 4, d.Lines[0].Plan.Filled, "the beds are open still: the other two cases can be lifted")
	require.Zero(t, d.Week.Problem.NextPull)
	h.packed()
	h.standing(monday, 40, 0, 40)
}

// What was only taken for lifted stays so for the varieties that are not told.
func TestALiftToldForOneVarietyLeavesTheOthers(t *testing.T) {
	h := newHouse(t)
	h.order("GRILL", "BLEND", 3, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 2}, domain.BedCount{Bed: "2", Variety: "COS", RaftsNow: 8})
	h.packed()
	w, err := h.book.Week(t.Context(), owner, monday)
	require.NoError(t, err)
	before := heads(w.Problem, "COS")
	_, err = h.lifted(19, 1, "")
	require.NoError(t, err)
	w, err = h.book.Week(t.Context(), owner, monday)
	require.NoError(t, err)
	require.Equal(t, before, heads(w.Problem, "COS"))
	require.Equal(t, 1, heads(w.Problem, "OAK"), "nineteen came out and eighteen were packed")
}

func heads(p *planning.Problem, variety string) (n int) {
	for _, l := range p.Lots {
		if l.Variety == variety {
			n += l.Heads
		}
	}
	return n
}

// A day that was printed, of which only the lift was told, was packed as printed
// as far as its heads went.
func TestALiftWithoutAPackingIsPackedAsPrinted(t *testing.T) {
	h := oakHouse(t)
	_, err := h.book.Issue(t.Context(), owner, monday, monday, "")
	require.NoError(t, err)
	_, err = h.lifted(37, 3, "")
	require.NoError(t, err)
	h.standing(monday, 40, 37, 0)
	h.standing(tuesday, 40, 7, 30)
	left, err := h.book.Depart(t.Context(), owner, "VAN", tuesday, "")
	require.NoError(t, err)
	require.Equal(t, domain.Cases(3), left.Value.Took[0].Cases)
	require.NotEmpty(t, left.Value.Took[0].Trace)
}

// A day that was printed, of which only the packing was told, was lifted as
// printed: what the packing took for lifted is in that.
func TestAPackingWithoutALiftIsLiftedAsPrinted(t *testing.T) {
	h := oakHouse(t)
	_, err := h.book.Issue(t.Context(), owner, monday, monday, "")
	require.NoError(t, err)
	h.packed(PackedChange{Run: 0, Cases: 2})
	h.standing(monday, 60, 0, 20)
	h.standing(tuesday, 40, 20, 20)
}

func TestADroppedTrayBeforeThePacking(t *testing.T) {
	h := oakHouse(t)
	ctx := t.Context()
	_, err := h.lifted(40, 0, "")
	require.NoError(t, err)
	dropped := PackedTold{Day: monday, GoneOnly: true, Gone: []domain.HeadsGone{{Variety: "OAK", Heads: 12, Where: domain.Dropped}}}
	_, err = h.book.RecordPacked(ctx, owner, dropped, "")
	require.NoError(t, err)
	h.standing(monday, 40, 28, 0)
	require.Equal(t, 2, h.day(monday, tuesday).Lines[0].Plan.Filled)
	h.packed()
	h.standing(monday, 40, 8, 20)

	dropped.Changes = []PackedChange{{}}
	_, err = h.book.RecordPacked(ctx, owner, dropped, "")
	require.Equal(t, "changes", faultsOf(t, err)[0].Place)
	dropped.Changes, dropped.Gone[0].Variety = nil, "KALE"
	_, err = h.book.RecordPacked(ctx, owner, dropped, "")
	require.Equal(t, "gone[0].variety", faultsOf(t, err)[0].Place)
}

func TestSpareCasesGoSomewhere(t *testing.T) {
	h := oakHouse(t)
	ctx := t.Context()
	_, err := h.lifted(50, 0, "")
	require.NoError(t, err)
	p := h.packed(PackedChange{Run: 0, Cases: 5})
	h.standing(monday, 40, 0, 50)
	code := p.Runs[0].Trace
	_, err = h.book.RecordPacked(ctx, owner, PackedTold{Day: monday, GoneOnly: true, GoneCases: []domain.CasesGone{{Trace: code, Cases: 1, Where: domain.FoodBank}}}, "")
	require.NoError(t, err)
	h.standing(monday, 40, 0, 40)
	require.Equal(t, 4, h.day(monday, tuesday).Lines[0].Plan.Filled, "the spare one went")
	trace, err := h.book.Trace(ctx, owner, code)
	require.NoError(t, err)
	require.Equal(t, domain.Cases(4), trace.OnHand[code])
	require.Equal(t, []TracedGone{{Day: monday, Trace: code, Cases: 1, Where: domain.FoodBank}}, trace.Gone)
	_, err = h.book.RecordPacked(ctx, owner, PackedTold{Day: monday, GoneOnly: true, GoneCases: []domain.CasesGone{{Trace: "27060-77", Cases: 1, Where: domain.Stall}}}, "")
	require.Equal(t, "gone_cases[0].trace", faultsOf(t, err)[0].Place)
}

func TestWhatLiesAheadCannotBeToldYet(t *testing.T) {
	h := oakHouse(t)
	_, err := h.book.RecordLift(t.Context(), owner, LiftTold{Day: tuesday, Counts: []LiftCount{{Variety: "OAK", Heads: 40}}}, "")
	require.Equal(t, domain.Faults{{Place: "day", Code: "day_ahead", Args: map[string]any{"today": monday}}}, faultsOf(t, err))
	_, err = h.book.RecordPacked(t.Context(), owner, PackedTold{Day: tuesday}, "")
	require.Equal(t, "day_ahead", faultsOf(t, err)[0].Code)
}

// Lots of a variety can be told one by one, with their culls.
func TestALiftToldByLot(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 4, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 1}, domain.BedCount{Bed: "2", Variety: "OAK", RaftsNow: 3})
	p, err := h.book.PackingDay(t.Context(), owner, monday, monday)
	require.NoError(t, err)
	var counts []LiftCount
	for i, pull := range p.Week.Plan.Pulls {
		counts = append(counts, LiftCount{Lot: pull.Lot, Heads: domain.Heads(pull.HeadsLifted - 2), Culls: domain.Heads(i + 1)})
	}
	require.Len(t, counts, 2)
	rec, err := h.book.RecordLift(t.Context(), owner, LiftTold{Day: monday, Counts: counts, Done: true}, "")
	require.NoError(t, err)
	rest, err := h.book.RecordLift(t.Context(), owner, LiftTold{Day: monday, Counts: counts[:1], RestAsPlanned: true, Done: true, Instead: rec.Value.ID}, "")
	require.NoError(t, err)
	require.Len(t, rest.Value.Rows, 2)
	require.Equal(t, rec.Value.Rows, rest.Value.Rows, "the other lot is as it was told")
	for i, row := range rec.Value.Rows {
		require.Equal(t, counts[i].Culls, row.Culls)
		require.NotZero(t, row.Rafts, "the rafts are those planned")
		require.NotEmpty(t, row.Bed)
	}
	_, err = h.book.RecordLift(t.Context(), owner, LiftTold{Day: monday, Counts: []LiftCount{{Lot: "9/OAK/C1.1a", Heads: 2}}}, "")
	require.Equal(t, "rows[0]", faultsOf(t, err)[0].Place)
}
