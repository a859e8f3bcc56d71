package orders

import (
	"slices"
	"testing"

	"headtally/domain"
)

// FuzzOccurrences holds the days of a recurrence against counting: a day is one
// when its weekday is asked for, it is not before the term, and its week is a
// whole number of turns from the week of the term's first day (RFC 5545, 3.3.10,
// with weeks that begin on Monday).
func FuzzOccurrences(f *testing.F) {
	f.Add(uint8(2), uint8(1), int32(20_000), int32(0), uint16(60))
	f.Add(uint8(0x7f), uint8(52), int32(-100), int32(3000), uint16(800))
	f.Add(uint8(1), uint8(2), int32(11_016), int32(-5), uint16(30)) // about the end of February 2000
	f.Fuzz(func(t *testing.T, asked, every uint8, begins, ahead int32, reach uint16) {
		term := domain.Term{From: domain.MustDay("1970-01-05").Add(int(begins % 100_000)), Every: 1 + int(every%52), Cases: 1}
		first := term.From.Add(int(ahead % 5_000))
		last := first.Add(int(reach % 1_000))
		weekdays := domain.Weekdays(asked & 0x7f)
		var counted []domain.Day
		for day := first; day <= last; day++ {
			turns := int(monday(day)-monday(term.From)) / 7
			if day >= term.From && slices.Contains(weekdays.Days(), day.Weekday()) && turns%term.Every == 0 {
				counted = append(counted, day)
			}
		}
		if got := Occurrences(&term, weekdays, first, last); !slices.Equal(got, counted) {
			t.Fatalf("every %d weeks on %v from %s, looked at from %s to %s: %v, counted %v", term.Every, weekdays.Days(), term.From, first, last, got, counted)
		}
	})
}

// monday is the first day of a day's week.
func monday(d domain.Day) domain.Day { return d.Add(-(int(d.Weekday()) + 6) % 7) }
