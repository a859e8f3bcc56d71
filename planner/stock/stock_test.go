package stock

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/planning"
)

var (
	monday = domain.MustDay("2027-03-01")
	walk   = time.Date(2027, 3, 1, 6, 0, 0, 0, time.UTC)
	line   = "O1/MIX/VAN/2027-03-02"
)

// house is a bed of two and a half rafts of fifty heads, and eight loose ones,
// as Monday's walk found them.
func house() Held {
	rafts, cautious := domain.HalfRafts(5), 45
	return Held{CoolerSince: walk, Since: map[string]time.Time{"1/OAK/C1.1a": walk}, Lots: []planning.Lot{
		{Code: "1/OAK/C1.1a", Variety: "OAK", Place: planning.Bed, Heads: 50, CautiousHeads: &cautious, Rafts: &rafts, Ready: monday, Last: monday.Add(6)},
		{Code: "cooler/OAK/C1.1", Variety: "OAK", Place: planning.Chilled, Heads: 8, Pulled: monday.Add(-1)},
	}}
}

func lifted(at time.Time, rafts domain.HalfRafts, heads, culls domain.Heads) domain.Lift {
	return domain.Lift{ID: "L1", Day: monday, At: at, Done: true, Rows: []domain.LiftRow{{Lot: "1/OAK/C1.1a", Variety: "OAK", Rafts: rafts, Heads: heads, Culls: culls}}}
}

// packed is four cases of three heads for the line, and one spare.
func packed(at time.Time) domain.Packing {
	return domain.Packing{ID: "P1", Day: monday, At: at, Runs: []domain.PackedRun{{Product: "MIX", Cases: 5, Trace: "27060-01",
		Contents: []domain.VarietyHeads{{Variety: "OAK", Heads: 3}},
		Lots:     []domain.LotTaken{{Lot: "1/OAK/C1.1a", Variety: "OAK", Pulled: monday, Heads: 15}},
		Lines:    []domain.LineCases{{Line: line, Cases: 4}}}},
		Gone: []domain.HeadsGone{{Variety: "OAK", Heads: 2, Where: domain.Dropped}}}
}

// heads are the heads of each lot that is left.
func heads(h Held) map[string]int {
	m := map[string]int{}
	for _, l := range h.Lots {
		m[l.Code] = l.Heads
	}
	return m
}

func TestWhatWasLiftedLiesInTheCooler(t *testing.T) {
	f := &domain.Facts{Lifts: []domain.Lift{lifted(walk.Add(time.Hour), 2, 18, 2)}}
	h := Now(house(), f, monday)
	require.Equal(t, map[string]int{"1/OAK/C1.1a": 30, "1/OAK/C1.1a@2027-03-01": 18, "cooler/OAK/C1.1": 8}, heads(h))
	require.Equal(t, domain.HalfRafts(3), *h.Lots[0].Rafts)
	require.Equal(t, 27, h.Lots[0].Cautious(), "the cautious count falls with the rafts")
	require.True(t, LiftedOn(f, monday))
	require.False(t, LiftedOn(f, monday.Add(1)))

	byHead := Now(house(), &domain.Facts{Lifts: []domain.Lift{lifted(walk.Add(time.Hour), 0, 18, 2)}}, monday)
	require.Equal(t, 30, byHead.Lots[0].Heads)
}

func TestWhatWasDoneBeforeTheWalkIsInItAlready(t *testing.T) {
	f := &domain.Facts{Lifts: []domain.Lift{lifted(walk.Add(-time.Hour), 2, 18, 2)}, Packings: []domain.Packing{packed(walk.Add(-time.Minute))}}
	require.Equal(t, house().Lots, Now(house(), f, monday).Lots)
}

func TestPackingTakesItsLotsAndLeavesCases(t *testing.T) {
	f := &domain.Facts{Lifts: []domain.Lift{lifted(walk.Add(time.Hour), 2, 18, 2)}, Packings: []domain.Packing{packed(walk.Add(2 * time.Hour))}}
	h := Now(house(), f, monday)
	require.Equal(t, map[string]int{"1/OAK/C1.1a": 30, "1/OAK/C1.1a@2027-03-01": 3, "cooler/OAK/C1.1": 6}, heads(h), "the dropped ones were the oldest")
	require.Equal(t, []planning.Packed{
		{Code: "P1.A/" + line, Product: "MIX", Cases: 4, Contents: []planning.VarietyHeads{{Variety: "OAK", Heads: 3}}, Pulled: monday, Line: line},
		{Code: "P1.A", Product: "MIX", Cases: 1, Contents: []planning.VarietyHeads{{Variety: "OAK", Heads: 3}}, Pulled: monday},
	}, h.Packed)

	f.Departures = []domain.Departure{{Carrier: "VAN", Day: monday.Add(1), At: walk.Add(26 * time.Hour),
		Took: []domain.Shipped{{Packed: "P1.A/" + line, Cases: 4}}}}
	h = Now(house(), f, monday.Add(1))
	require.Len(t, h.Packed, 1, "the spare one is left")

	f.Returns = []domain.Return{{ID: "R1", Day: monday.Add(1), Product: "MIX", Cases: 1, Became: "stock", Pulled: monday, At: walk.Add(30 * time.Hour)},
		{ID: "R2", Day: monday.Add(1), Product: "MIX", Cases: 1, Became: "compost", At: walk.Add(31 * time.Hour)}}
	h = Now(house(), f, monday.Add(1))
	require.Len(t, h.Packed, 2)
	require.Equal(t, "back/R1", h.Packed[1].Code)
}

func TestCasesOfATruckThatIsOverAreGoneUnlessTheLineMoved(t *testing.T) {
	f := &domain.Facts{Lifts: []domain.Lift{lifted(walk.Add(time.Hour), 2, 18, 2)}, Packings: []domain.Packing{packed(walk.Add(2 * time.Hour))}}
	require.Len(t, Now(house(), f, monday.Add(2)).Packed, 1)
	f.Decisions = []domain.Decision{{Line: line, MovedTo: monday.Add(4)}}
	require.Len(t, Now(house(), f, monday.Add(2)).Packed, 2)
}

func TestWhatATruckWasToldToLeaveBehindIsStillHere(t *testing.T) {
	f := &domain.Facts{Lifts: []domain.Lift{lifted(walk.Add(time.Hour), 2, 18, 2)}, Packings: []domain.Packing{packed(walk.Add(2 * time.Hour))},
		Departures: []domain.Departure{{Carrier: "VAN", Day: monday.Add(1), At: walk.Add(26 * time.Hour), Took: []domain.Shipped{{Packed: "P1.A/" + line, Cases: 3}}}}}
	h := Now(house(), f, monday.Add(2))
	require.Len(t, h.Packed, 2)
	require.Equal(t, 1, h.Packed[0].Cases, "four were packed for the line, and it wanted three in the end")
}

func TestCasesOfAPickupThatTheCalendarMovedWaitForIt(t *testing.T) {
	f := &domain.Facts{Lifts: []domain.Lift{lifted(walk.Add(time.Hour), 2, 18, 2)}, Packings: []domain.Packing{packed(walk.Add(2 * time.Hour))},
		Exceptions: []domain.Exception{{Day: monday.Add(1), Kind: domain.Moved, To: monday.Add(3)}}}
	require.Len(t, Now(house(), f, monday.Add(3)).Packed, 2)
	require.Len(t, Now(house(), f, monday.Add(4)).Packed, 1, "the moved pickup is over")
}

func TestAnIssuedDayOfWhichNothingWasToldIsDoneAsPrinted(t *testing.T) {
	issue := domain.Issue{ID: "7", Number: 7, Day: monday, At: walk.Add(time.Hour), Pulls: lifted(walk, 2, 20, 0).Rows, Runs: packed(walk).Runs}
	older := issue
	older.ID, older.Number, older.Runs = "6", 6, nil
	f := &domain.Facts{Issues: []domain.Issue{older, issue}}
	require.Equal(t, house().Lots, Now(house(), f, monday).Lots, "the day is not over")
	h := Now(house(), f, monday.Add(1))
	require.Equal(t, map[string]int{"1/OAK/C1.1a": 30, "1/OAK/C1.1a@2027-03-01": 5, "cooler/OAK/C1.1": 8}, heads(h))
	require.Equal(t, []domain.Assumption{{Code: "done_as_printed", What: "2027-03-01", Value: 7}}, h.Assumed)
	f.Lifts = []domain.Lift{lifted(walk.Add(2*time.Hour), 0, 0, 0)}
	require.Equal(t, 50, heads(Now(house(), f, monday.Add(1)))["1/OAK/C1.1a"], "somebody told what was done")
}

func TestAWalkAfterThePrintingIsBeforeTheLifting(t *testing.T) {
	issue := domain.Issue{ID: "7", Number: 7, Day: monday, At: walk.Add(-14 * time.Hour), Runs: packed(walk).Runs,
		Pulls: []domain.LiftRow{{Lot: "1/OAK/C0.1a", Variety: "OAK", Bed: "1", Rafts: 2, Heads: 20}}}
	counted := house()
	counted.Lots[0].BedName = "1"
	h := Now(counted, &domain.Facts{Issues: []domain.Issue{issue}}, monday.Add(1))
	require.Equal(t, 30, heads(h)["1/OAK/C1.1a"], "two rafts are gone from the bed as the walk named it")
	require.Equal(t, 20+8-15, heads(h)["1/OAK/C1.1a@2027-03-01"]+heads(h)["cooler/OAK/C1.1"])
}

func TestMoreThanIsThereIsNeverTaken(t *testing.T) {
	p := packed(walk.Add(time.Hour))
	p.Runs[0].Lots[0].Heads = 100
	h := Now(house(), &domain.Facts{Packings: []domain.Packing{p}}, monday)
	require.Equal(t, map[string]int{"1/OAK/C1.1a": 50}, heads(h), "beds are not touched by packing")
}

func TestCodesOfPackedCases(t *testing.T) {
	require.Equal(t, "P1.A", PackedCode("P1", 0, ""))
	require.Equal(t, "P1.Z/x", PackedCode("P1", 25, "x"))
	require.Equal(t, "P1.AB", PackedCode("P1", 26, ""))
	require.Equal(t, "P1.BB", PackedCode("P1", 27, ""))
}
