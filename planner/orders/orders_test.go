package orders

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

var (
	day      = domain.MustDay
	tuesFri  = domain.WeekdaysOf(time.Tuesday, time.Friday)
	mayFirst = time.Date(2027, 1, 5, 9, 0, 0, 0, time.UTC)
)

// farm is a van on Tuesdays and Fridays, and one customer who goes with it.
func farm() *domain.Facts {
	return &domain.Facts{Farm: domain.NewFarm(),
		Carriers:  []domain.Carrier{{Code: "VAN", Pickups: tuesFri}},
		Customers: []domain.Customer{{Code: "INN", Name: "The Inn", Carrier: "VAN"}},
	}
}

func standing(terms ...domain.Term) domain.Standing {
	return domain.Standing{ID: "S1", Customer: "INN", Product: "MIX", Terms: terms}
}

func term(from string, cases domain.Cases, received time.Time) domain.Term {
	return domain.Term{From: day(from), Every: 1, Cases: cases, Received: received}
}

// show is the lines in short: day, cases, product, and the id's last part.
func show(lines []domain.Line) (list []string) {
	for _, l := range lines {
		list = append(list, fmt.Sprintf("%s %d %s", l.Pickup, l.Cases, l.Product))
	}
	return list
}

func cases(n domain.Cases) *domain.Cases { return &n }

func TestStandingOrderComesOnEveryPickupDay(t *testing.T) {
	f := farm()
	f.Standing = []domain.Standing{standing(term("2027-02-02", 4, mayFirst))}
	lines, notices := Lines(f, day("2027-02-01"), day("2027-02-10"))
	require.Equal(t, []string{"2027-02-02 4 MIX", "2027-02-05 4 MIX", "2027-02-09 4 MIX"}, show(lines))
	require.Empty(t, notices)
	require.Equal(t, "S1/MIX/VAN/2027-02-02", lines[0].ID)
	again, _ := Lines(f, day("2027-02-05"), day("2027-02-05"))
	require.Equal(t, lines[1], again[0], "a line is the same however it is asked for")
}

func TestRaisedOrderKeepsItsPlaceForTheOldCases(t *testing.T) {
	raise, lower := mayFirst.AddDate(0, 1, 0), mayFirst.AddDate(0, 2, 0)
	f := farm()
	f.Standing = []domain.Standing{standing(term("2027-02-02", 4, mayFirst), term("2027-02-05", 6, raise), term("2027-02-09", 3, lower))}
	lines, _ := Lines(f, day("2027-02-02"), day("2027-02-09"))
	require.Equal(t, []string{"2027-02-02 4 MIX", "2027-02-05 4 MIX", "2027-02-05 2 MIX", "2027-02-09 3 MIX"}, show(lines))
	require.Equal(t, mayFirst, lines[1].Received)
	require.Equal(t, raise, lines[2].Received)
	require.Equal(t, lines[1].Base, lines[2].Base, "what is decided holds for both")
	require.NotEqual(t, lines[1].ID, lines[2].ID)
	require.Equal(t, mayFirst, lines[3].Received, "a lowered order gives up what was asked for last")
}

func TestOneDayChangesAndHolds(t *testing.T) {
	f := farm()
	s := standing(term("2027-02-01", 4, mayFirst))
	s.Changes = []domain.Change{
		{From: day("2027-02-02"), Cases: cases(1)},
		{From: day("2027-02-05"), Product: "BUTTER"},
		{From: day("2027-02-09"), Cases: cases(0)},
		{From: day("2027-02-12"), Until: day("2027-02-16"), Hold: true},
		{From: day("2027-02-19"), Cases: cases(5), Received: mayFirst.AddDate(0, 1, 0)},
		{From: day("2027-02-26"), Hold: true},
	}
	f.Standing = []domain.Standing{s}
	lines, _ := Lines(f, day("2027-02-01"), day("2027-12-31"))
	require.Equal(t, []string{"2027-02-02 1 MIX", "2027-02-05 4 BUTTER", "2027-02-19 4 MIX", "2027-02-19 1 MIX", "2027-02-23 4 MIX"}, show(lines))
}

func TestOneOffAddsOrStandsInstead(t *testing.T) {
	f := farm()
	f.Standing = []domain.Standing{standing(term("2027-02-01", 4, mayFirst))}
	f.Orders = []domain.Order{
		{ID: "O1", Customer: "INN", Pickup: day("2027-02-02"), Mode: domain.Add, Lines: []domain.OrderLine{{Product: "MIX", Cases: 2}}},
		{ID: "O2", Customer: "INN", Pickup: day("2027-02-05"), Mode: domain.Replace, Lines: []domain.OrderLine{{Product: "MIX", Cases: 1}}},
		{ID: "O3", Customer: "INN", Pickup: day("2027-02-09"), Mode: domain.Replace, Lines: []domain.OrderLine{{Product: "MIX"}}},
	}
	lines, _ := Lines(f, day("2027-02-01"), day("2027-02-12"))
	require.Equal(t, []string{"2027-02-02 2 MIX", "2027-02-02 4 MIX", "2027-02-05 1 MIX", "2027-02-12 4 MIX"}, show(lines))
}

func TestClosedAndMovedDays(t *testing.T) {
	f := farm()
	f.Standing = []domain.Standing{standing(term("2027-02-01", 4, mayFirst))}
	f.Exceptions = []domain.Exception{
		{Day: day("2027-02-02"), Kind: domain.Closed},
		{Day: day("2027-02-05"), Kind: domain.Moved, To: day("2027-02-06")},
	}
	lines, notices := Lines(f, day("2027-02-01"), day("2027-02-08"))
	require.Equal(t, []string{"2027-02-06 4 MIX"}, show(lines))
	require.Equal(t, day("2027-02-05"), lines[0].MovedFrom)
	require.Equal(t, "S1/MIX/VAN/2027-02-05", lines[0].ID, "a line keeps its id when it moves")
	require.Equal(t, []domain.Notice{
		{Code: "dropped_closed", Day: day("2027-02-02"), Order: "S1", Customer: "INN", Product: "MIX", Cases: 4},
		{Code: "moved_by_calendar", Day: day("2027-02-05"), To: day("2027-02-06"), Order: "S1", Customer: "INN", Product: "MIX", Cases: 4},
	}, notices)
}

func TestDecisionsStickToTheirLine(t *testing.T) {
	f := farm()
	raise := mayFirst.AddDate(0, 1, 0)
	f.Standing = []domain.Standing{standing(term("2027-01-05", 4, mayFirst), term("2027-02-01", 6, raise))}
	f.Decisions = []domain.Decision{
		{Line: "S1/MIX/VAN/2027-02-02", Promised: 5, PromisedAt: raise},
		{Line: "S1/MIX/VAN/2027-02-05", AtMost: cases(3), Agreed: true},
		{Line: "S1/MIX/VAN/2027-02-09", MovedTo: day("2027-02-12")},
	}
	lines, _ := Lines(f, day("2027-02-02"), day("2027-02-12"))
	require.Len(t, lines, 8)
	require.Equal(t, domain.Cases(4), lines[0].Promised, "a word is for the cases asked for first")
	require.Equal(t, domain.Cases(1), lines[1].Promised)
	require.Equal(t, domain.Cases(3), *lines[2].AtMost)
	require.Equal(t, domain.Cases(0), *lines[3].AtMost)
	require.True(t, lines[2].Agreed)
	for _, l := range lines[4:] {
		require.Equal(t, day("2027-02-12"), l.Pickup)
	}
}

// Printed dates of RFC 5545, section 3.8.5.3, pages 124 to 127, of every weekly
// rule that a term can hold. The RFC's UNTIL is a time; the day it falls on is
// the term's last.
func TestOccurrencesOfTheStandard(t *testing.T) {
	tuTh := domain.WeekdaysOf(time.Tuesday, time.Thursday)
	for name, x := range map[string]struct {
		from, until string
		every       int
		weekdays    domain.Weekdays
		want        string
	}{
		"weekly until 24 December": {"1997-09-02", "1997-12-23", 1, domain.WeekdaysOf(time.Tuesday),
			"09-02 09-09 09-16 09-23 09-30 10-07 10-14 10-21 10-28 11-04 11-11 11-18 11-25 12-02 12-09 12-16 12-23"},
		"weekly, ten times": {"1997-09-02", "1997-11-04", 1, domain.WeekdaysOf(time.Tuesday),
			"09-02 09-09 09-16 09-23 09-30 10-07 10-14 10-21 10-28 11-04"},
		"every other week": {"1997-09-02", "1998-02-17", 2, domain.WeekdaysOf(time.Tuesday),
			"09-02 09-16 09-30 10-14 10-28 11-11 11-25 12-09 12-23 01-06 01-20 02-03 02-17"},
		"Tuesday and Thursday for five weeks": {"1997-09-02", "1997-10-06", 1, tuTh,
			"09-02 09-04 09-09 09-11 09-16 09-18 09-23 09-25 09-30 10-02"},
		"every other week on Monday, Wednesday and Friday": {"1997-09-01", "1997-12-23", 2,
			domain.WeekdaysOf(time.Monday, time.Wednesday, time.Friday),
			"09-01 09-03 09-05 09-15 09-17 09-19 09-29 10-01 10-03 10-13 10-15 10-17 10-27 10-29 10-31 11-10 11-12 11-14 11-24 11-26 11-28 12-08 12-10 12-12 12-22"},
		"every other week on Tuesday and Thursday, eight times": {"1997-09-02", "1997-10-16", 2, tuTh,
			"09-02 09-04 09-16 09-18 09-30 10-02 10-14 10-16"},
		"weeks begin on Monday": {"1997-08-05", "1997-08-24", 2, domain.WeekdaysOf(time.Tuesday, time.Sunday),
			"08-05 08-10 08-19 08-24"},
	} {
		t.Run(name, func(t *testing.T) {
			from, until := day(x.from), day(x.until)
			got := ""
			for _, d := range Occurrences(&domain.Term{From: from, Every: x.every}, x.weekdays, from, until) {
				got += d.String()[5:] + " "
			}
			require.Equal(t, x.want+" ", got)
		})
	}
}

// BenchmarkTwoYears expands 1,000 standing orders over two years.
func BenchmarkTwoYears(b *testing.B) {
	f := farm()
	for i := range 1000 {
		s := standing(domain.Term{From: day("2027-01-01"), Every: 1 + i%3, Weekdays: tuesFri, Cases: 4, Received: mayFirst})
		s.ID = fmt.Sprintf("S%04d", i)
		f.Standing = append(f.Standing, s)
	}
	b.ReportAllocs()
	for b.Loop() {
		lines, _ := Lines(f, day("2027-01-01"), day("2028-12-31"))
		if len(lines) < 100_000 {
			b.Fatal(len(lines))
		}
	}
}
