package domain

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func weekCalendar(exceptions ...Exception) *Calendar {
	farm := NewFarm()
	farm.Zone, farm.Harvest = "America/New_York", WeekdaysOf(time.Monday, time.Wednesday, time.Friday)
	return NewCalendar(farm, []Carrier{
		{Code: "VAN", Pickups: WeekdaysOf(time.Tuesday, time.Friday), Hour: 7 * 60, CutoffDays: 1, CutoffHour: 14 * 60},
		{Code: "ROUND", Pickups: WeekdaysOf(time.Friday), Hour: 6 * 60},
	}, exceptions)
}

// The clocks of 15 U.S.C. 260a: forward on the second Sunday of March, back on
// the first of November, at two in the morning.
func TestCutoffKeepsItsHourAcrossClockChanges(t *testing.T) {
	c := weekCalendar()
	for pickup, utc := range map[string]string{
		"2027-03-12": "2027-03-11T19:00:00Z", // before the clocks go forward: five hours behind
		"2027-03-16": "2027-03-15T18:00:00Z", // after: four
		"2027-11-05": "2027-11-04T18:00:00Z",
		"2027-11-09": "2027-11-08T19:00:00Z",
	} {
		require.Equal(t, utc, c.Cutoff("VAN", MustDay(pickup)).UTC().Format(time.RFC3339), pickup)
	}
	require.Equal(t, MustDay("2027-03-14"), c.Today(time.Date(2027, 3, 15, 3, 30, 0, 0, time.UTC)))
}

func TestCalendarExceptions(t *testing.T) {
	tue, fri, sat := MustDay("2027-02-02"), MustDay("2027-02-05"), MustDay("2027-02-06")
	c := weekCalendar(
		Exception{Day: fri, Kind: Moved, Carrier: "VAN", To: sat},
		Exception{Day: tue, Kind: Closed},
		Exception{Day: sat, Kind: ExtraHarvest},
		Exception{Day: MustDay("2027-02-03"), Kind: NoHarvest},
	)
	require.False(t, c.PicksUp("VAN", tue))
	require.False(t, c.PicksUp("VAN", fri))
	require.True(t, c.PicksUp("ROUND", fri), "the move was the van's alone")
	require.True(t, c.PicksUp("VAN", sat))
	require.False(t, c.PicksUp("nobody", sat))
	require.True(t, c.Lifts(sat))
	require.False(t, c.Lifts(MustDay("2027-02-03")))
	require.Equal(t, []Day{fri, sat, MustDay("2027-02-09")}, c.PickupDays(tue, MustDay("2027-02-10")))
	next, ok := c.NextPickup("VAN", tue)
	require.True(t, ok)
	require.Equal(t, sat, next)
	hours := []string{}
	for _, x := range c.Carriers(MustDay("2027-02-12")) {
		hours = append(hours, x.Code)
	}
	require.Equal(t, []string{"ROUND", "VAN"}, hours)
}

func TestChecksNameTheFieldAndWhatIsAllowed(t *testing.T) {
	minus := -1
	require.Equal(t, Faults{
		{Place: "name", Code: "required"},
		{Place: "shelf_days", Code: "at_least", Args: map[string]any{"limit": "1"}},
	}, Check(Variety{ShelfDays: &minus}))

	cap2 := 2
	p := Product{Name: "Mixed", MaxHeadsPerVariety: &cap2, Slots: []Slot{{Heads: 2, Accept: []string{"A", "B"}}, {Heads: 2, Accept: []string{"A"}}}}
	require.Empty(t, p.Check(), "B fills the first two heads")
	p.Slots[0].Accept = []string{"A"}
	require.Equal(t, Faults{{Place: "max_heads_per_variety", Code: "no_case_under_cap", Args: map[string]any{"cap": 2}}}, p.Check())

	s := Standing{Customer: "C", Product: "P", Terms: []Term{{From: MustDay("2027-02-01"), Every: 1}},
		Changes: []Change{{From: MustDay("2027-02-05"), Hold: true}, {From: MustDay("2027-02-09"), Cases: new(Cases)}}}
	require.Equal(t, "overlaps", s.Check()[0].Code)
	require.Equal(t, "changes[1].from", s.Check()[0].Place)
}

func TestCodesFromNames(t *testing.T) {
	none := func(string) bool { return false }
	require.Equal(t, "RED-BUTTERHEAD", CodeFrom("Red butterhead", none))
	require.Equal(t, "CAFÉ-Nº-4", CodeFrom("  Café  nº 4 ", none))
	require.Equal(t, "X", CodeFrom("!!", none))
	require.Equal(t, "ROMAINE-2", CodeFrom("romaine", func(c string) bool { return c == "ROMAINE" }))
}

func TestExceptionsThatContradict(t *testing.T) {
	friday, saturday := MustDay("2027-03-05"), MustDay("2027-03-06")
	closed := Exception{Day: friday, Kind: Closed}
	cases := []struct {
		name  string
		a, b  Exception
		wrong bool
	}{
		{"closed and extra", closed, Exception{Day: friday, Kind: Extra}, true},
		{"closed for all, extra for one", closed, Exception{Day: friday, Kind: Extra, Carrier: "VAN"}, true},
		{"of two carriers", Exception{Day: friday, Kind: Closed, Carrier: "NORTH"}, Exception{Day: friday, Kind: Extra, Carrier: "VAN"}, false},
		{"closed for all and for one", closed, Exception{Day: friday, Kind: Closed, Carrier: "VAN"}, false},
		{"moved to two days", Exception{Day: friday, Kind: Moved, To: saturday}, Exception{Day: friday, Kind: Moved, To: saturday.Add(1)}, true},
		{"moved onto a closed day", Exception{Day: saturday, Kind: Moved, To: friday}, closed, true},
		{"moved onto a day that is moved on", Exception{Day: friday, Kind: Moved, To: saturday}, Exception{Day: saturday, Kind: Moved, To: saturday.Add(1)}, true},
		{"moved onto an extra day", Exception{Day: friday, Kind: Moved, To: saturday}, Exception{Day: saturday, Kind: Extra}, false},
		{"no harvest and an extra one", Exception{Day: friday, Kind: NoHarvest}, Exception{Day: friday, Kind: ExtraHarvest}, true},
		{"closed, and no harvest", closed, Exception{Day: friday, Kind: NoHarvest}, false},
		{"different days", closed, Exception{Day: saturday, Kind: Extra}, false},
	}
	for _, c := range cases {
		require.Equal(t, c.wrong, c.a.Contradicts(&c.b), c.name)
		require.Equal(t, c.wrong, c.b.Contradicts(&c.a), c.name)
	}
}
