package book

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// Easter Sundays 2024 to 2035, from the list "western_easter_dates" in
// tests/test_easter.py of dateutil (github.com/dateutil/dateutil): Good Friday
// lies two days before, Easter Monday one day after.
func TestHolidaysThatMoveWithEaster(t *testing.T) {
	for _, text := range []string{"2024-03-31", "2025-04-20", "2026-04-05", "2027-03-28", "2028-04-16", "2029-04-01",
		"2030-04-21", "2031-04-13", "2032-03-28", "2033-04-17", "2034-04-09", "2035-03-25"} {
		easter := domain.MustDay(text)
		var names []string
		for _, h := range holidaysOf("gb", easter.Add(-2), easter.Add(1)) {
			names = append(names, h.Day.String()+" "+h.Name)
		}
		require.Contains(t, strings.Join(names, ", "), easter.Add(-2).String()+" Good Friday")
		require.Contains(t, strings.Join(names, ", "), easter.Add(1).String()+" Easter Monday")
	}
}

// 5 U.S.C. 6103(a): Thanksgiving Day, the fourth Thursday in November; New
// Year's Day of 2028 is a Saturday and is observed on the Friday before.
func TestHolidaysOfTheUnitedStates(t *testing.T) {
	day := func(text string) (names []string) {
		for _, h := range holidaysOf("us", domain.MustDay(text), domain.MustDay(text)) {
			names = append(names, h.Name)
		}
		return names
	}
	require.Equal(t, []string{"Thanksgiving Day"}, day("2026-11-26"))
	require.Equal(t, []string{"New Year's Day"}, day("2027-12-31"))
	require.Empty(t, day("2028-01-01"))
	require.Empty(t, holidaysOf("", domain.MustDay("2027-01-01"), domain.MustDay("2027-12-31")))
}

func TestHolidaysSayWhoWouldCome(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	farm, err := h.book.Farm(ctx)
	require.NoError(t, err)
	f := farm.Value
	f.Country = "gb"
	_, err = h.book.SetFarm(ctx, owner, f, Note{Base: farm.Rev})
	require.NoError(t, err)
	friday := domain.MustDay("2027-03-26")
	list, err := h.book.Holidays(ctx, owner, friday, friday.Add(3))
	require.NoError(t, err)
	require.Equal(t, []Holiday{{Day: friday, Name: "Good Friday", Carriers: []string{"VAN"}}, {Day: friday.Add(3), Name: "Easter Monday"}}, list)
	add(h, h.book.Exceptions, domain.Exception{Day: friday, Kind: domain.Closed})
	list, err = h.book.Holidays(ctx, owner, friday, friday)
	require.NoError(t, err)
	require.True(t, list[0].Told)
}
