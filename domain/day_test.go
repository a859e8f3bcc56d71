package domain

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestDayOfTheCalendar(t *testing.T) {
	for text, weekday := range map[string]time.Weekday{
		"0001-01-01": time.Monday, "1970-01-01": time.Thursday, "2024-02-29": time.Thursday,
		"2000-02-29": time.Tuesday, "9999-12-31": time.Friday,
	} {
		d, err := ParseDay(text)
		require.NoError(t, err, text)
		require.Equal(t, text, d.String())
		require.Equal(t, weekday, d.Weekday(), text)
		require.Equal(t, d, DayOf(d.Time()))
	}
	require.Equal(t, maxDay, MustDay("9999-12-31"))
}

func TestDaysThatAreNone(t *testing.T) {
	for _, text := range []string{"2027-02-29", "1900-02-29", "2027-00-01", "2027-13-01", "2027-04-31", "2027-4-3", "27-04-03",
		"2027/04/03", "2027-04-03T00:00:00Z", " 2027-04-03", "", "0000-01-01", "2027-+4-03"} {
		_, err := ParseDay(text)
		require.Error(t, err, text)
	}
}

// ISO 8601 weeks: the first four are printed in the PostgreSQL documentation
// (functions and operators, date/time, "isoyear" and "week"), the next two in
// the Python documentation (datetime.date.isocalendar).
func TestISOWeeks(t *testing.T) {
	for text, want := range map[string][2]int{
		"2005-01-01": {2004, 53}, "2006-01-01": {2005, 52}, "2012-12-31": {2013, 1}, "2013-12-30": {2014, 1},
		"2003-12-29": {2004, 1}, "2004-01-04": {2004, 1},
	} {
		year, week := MustDay(text).ISOWeek()
		require.Equal(t, want, [2]int{year, week}, text)
	}
}

func TestDaysCountOverMonthsAndLeapYears(t *testing.T) {
	require.Equal(t, 366, MustDay("2025-01-01").Sub(MustDay("2024-01-01")))
	require.Equal(t, "2026-02-27", MustDay("2026-04-03").Add(-35).String())
	for d := MustDay("1999-12-25"); d < MustDay("2001-03-05"); d++ {
		require.Equal(t, (d.Weekday()+1)%7, d.Add(1).Weekday())
		require.Equal(t, d, MustDay(d.String()))
	}
}

func TestHalfRafts(t *testing.T) {
	for text, want := range map[string]HalfRafts{"0": 0, "3": 6, "2.5": 5, "0.5": 1, "4.0": 8} {
		h, err := ParseHalfRafts(text)
		require.NoError(t, err, text)
		require.Equal(t, want, h)
	}
	for _, text := range []string{"", "-1", "+1", "1.25", "1,5", ".5", "1e3", "x", "2000000"} {
		_, err := ParseHalfRafts(text)
		require.Error(t, err, text)
	}
}

func FuzzParseDay(f *testing.F) {
	for _, s := range []string{"2027-02-29", "2027-02-28", "9999-12-31", "0001-01-01", "x"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if d, err := ParseDay(text); err == nil && d.String() != text {
			t.Fatalf("%q was read as %s", text, d)
		}
	})
}
