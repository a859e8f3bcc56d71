package feed

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"headtally/api/book"
	"headtally/domain"
)

var stamp = time.Date(2027, 3, 1, 10, 30, 0, 0, time.FixedZone("", 3600))

func written(t require.TestingT, c Calendar) string {
	var b strings.Builder
	require.NoError(t, Write(&b, c))
	return b.String()
}

// TestACalendarAsTheRFCHasIt holds a whole calendar against RFC 5545: the order
// and form of 3.4 and 3.6, dates as 3.3.4 with an end that is not included
// (3.6.1), instants in UTC as 3.3.5.
func TestACalendarAsTheRFCHasIt(t *testing.T) {
	got := written(t, Calendar{Name: "Pickups, all", Stamp: stamp, Events: []Event{
		{UID: "pickup.NORTH.2027-02-28@headtally", Sequence: 7, Day: domain.MustDay("2027-02-28"), Summary: "North; 06:30", Note: "two\nlines"}}})
	require.Equal(t, strings.Join([]string{
		"BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//headtally//pickups//EN", `NAME:Pickups\, all`, "REFRESH-INTERVAL;VALUE=DURATION:PT1H",
		"BEGIN:VEVENT", "UID:pickup.NORTH.2027-02-28@headtally", "DTSTAMP:20270301T093000Z", "SEQUENCE:7",
		"DTSTART;VALUE=DATE:20270228", "DTEND;VALUE=DATE:20270301", "TRANSP:TRANSPARENT", `SUMMARY:North\; 06:30`, `DESCRIPTION:two\nlines`,
		"END:VEVENT", "END:VCALENDAR", ""}, "\r\n"), got)
}

func TestTextIsEscaped(t *testing.T) {
	for given, want := range map[string]string{
		`a\b`: `a\\b`, "a;b,c": `a\;b\,c`, "a\nb": `a\nb`, "a\r\nb": `a\nb`, `\n`: `\\n`, "a:b\"c": "a:b\"c", // 3.3.11: a colon and quotes are as they are
		"bell\a": "bell", "del\x7f": "del", "tab\t": "tab\t", "\xff": "\ufffd", // 3.1: no CONTROL
	} {
		require.Equal(t, want, text(given), "%q", given)
	}
}

// TestLinesAreFolded folds any text: no line is longer than 75 octets, none
// breaks a character, and unfolding and unescaping gives the text back.
func TestLinesAreFolded(t *testing.T) {
	for n := 60; n < 160; n++ { // each length about one and two folds
		checkFolds(t, strings.Repeat("x", n))
		checkFolds(t, strings.Repeat("é", n))
		checkFolds(t, "x"+strings.Repeat("漢", n))
		checkFolds(t, "xy"+strings.Repeat("💧", n))
	}
	rapid.Check(t, func(t *rapid.T) { checkFolds(t, rapid.StringMatching(`[a-zé漢💧;,\\ \n]{0,300}`).Draw(t, "text")) })
}

func checkFolds(t require.TestingT, s string) {
	got := written(t, Calendar{Stamp: stamp, Events: []Event{{UID: "1", Day: domain.MustDay("2027-03-03"), Summary: s}}})
	require.True(t, strings.HasSuffix(got, "\r\n"))
	for _, l := range strings.Split(strings.TrimSuffix(got, "\r\n"), "\r\n") {
		require.LessOrEqual(t, len(l), 75)
		require.True(t, utf8.ValidString(l), "%q", l)
		require.NotContains(t, l, "\n")
		require.NotContains(t, l, "\r")
	}
	unfolded := strings.ReplaceAll(got, "\r\n ", "")
	_, rest, found := strings.Cut(unfolded, "SUMMARY:")
	require.True(t, found)
	value, _, _ := strings.Cut(rest, "\r\n")
	require.Equal(t, s, unescape(value))
}

// unescape reads a TEXT as 3.3.11 says, by itself.
func unescape(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' {
			b.WriteByte(s[i])
			continue
		}
		i++
		if s[i] == 'n' || s[i] == 'N' {
			b.WriteByte('\n')
		} else {
			b.WriteByte(s[i])
		}
	}
	return b.String()
}

func TestPickupsAsEvents(t *testing.T) {
	farm := domain.NewFarm()
	farm.Name, farm.Language, farm.Units = "Invented Farm", "en", "metric"
	wednesday := domain.MustDay("2027-03-03")
	ahead := &book.PickupsAhead{Farm: farm, First: wednesday.Add(-7), Pickups: []book.PickupAhead{
		{Carrier: domain.Carrier{Code: "NORTH", Name: "North truck", Hour: 390}, Day: wednesday, ClosesOn: wednesday.Add(-1), ClosesAt: book.ClockTime{Minutes: 720}, Revision: 4},
		{Carrier: domain.Carrier{Code: "VAN", Name: "Van"}, Day: wednesday, ClosesOn: wednesday, ClosesAt: book.ClockTime{Minutes: 1440}, Revision: 9}}}
	c := Of(ahead, "f1", stamp)
	require.Equal(t, "Pickups of Invented Farm", c.Name)
	require.Len(t, c.Events, 4)
	require.Equal(t, Event{UID: "pickup.NORTH.2027-03-03.f1@headtally", Sequence: 4, Day: wednesday, Summary: "North truck comes at 06:30"}, c.Events[0])
	require.Equal(t, Event{UID: "closes.NORTH.2027-03-03.f1@headtally", Sequence: 4, Day: wednesday.Add(-1), Summary: "Orders close at 12:00: North truck of Wednesday 3 March"}, c.Events[1])
	require.Equal(t, "Van comes", c.Events[2].Summary)
	require.Contains(t, c.Events[3].Summary, "24:00")
	seen := map[string]bool{}
	for _, e := range c.Events {
		require.False(t, seen[e.UID], e.UID)
		seen[e.UID] = true
	}
	ahead.Farm.Units = "us"
	c = Of(ahead, "f1", stamp)
	require.Equal(t, "North truck comes at 6:30 am", c.Events[0].Summary, "as the farm has its days and hours")
	require.Equal(t, "Orders close at 12:00 pm: North truck of Wednesday, March 3", c.Events[1].Summary)
	require.Contains(t, c.Events[3].Summary, "midnight")
	ahead.Pickups = nil
	require.Len(t, Of(ahead, "f1", stamp).Events, 1, "a calendar without any event is none (3.6)")
}
