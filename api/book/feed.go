package book

import (
	"context"
	"slices"
	"time"

	"headtally/domain"
	"headtally/domain/store"
)

// NewFeed makes the secret of an address at which a calendar program reads the
// pickups ahead, and nothing else. It is shown this once.
func (b *Book) NewFeed(ctx context.Context, who Person, label string, ends time.Time) (domain.Pass, string, error) {
	return b.newPass(ctx, who, domain.Pass{Kind: domain.FeedPass, Label: label, Ends: ends})
}

// PickupsAhead are the pickups of some days, with the farm whose they are.
type PickupsAhead struct {
	Farm    domain.Farm
	First   domain.Day
	Pickups []PickupAhead // by day and hour
}

// PickupAhead is a carrier's pickup and when its orders close, on the farm's
// clock; the end of a day is 24:00.
type PickupAhead struct {
	Carrier  domain.Carrier
	Day      domain.Day
	ClosesOn domain.Day
	ClosesAt ClockTime
	Revision int64 // of the last change to what it follows from
}

// ClockTime is a time of day that may be its very end.
type ClockTime struct{ Minutes int }

// String writes it as HH:MM.
func (c ClockTime) String() string { return pad2(c.Minutes/60) + ":" + pad2(c.Minutes%60) }

// feedDays is how far ahead, and behind, a feed tells pickups.
const (
	feedAhead  = 56
	feedBehind = 7
)

// PickupsAhead are the pickups from a week ago to eight weeks ahead.
func (b *Book) PickupsAhead(ctx context.Context, who Person) (*PickupsAhead, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*PickupsAhead, error) {
		f, err := farm(tx)
		if err != nil {
			return nil, err
		}
		cal, err := calendar(tx)
		if err != nil {
			return nil, err
		}
		today := cal.Today(b.now())
		a := &PickupsAhead{Farm: f.Value, First: today.Add(-feedBehind)}
		closings, err := closingsOf(tx, a.First)
		if err != nil {
			return nil, err
		}
		since, err := changedBy(tx, f.Rev)
		if err != nil {
			return nil, err
		}
		for d := a.First; d <= today.Add(feedAhead); d++ {
			for _, c := range cal.Carriers(d) {
				p := PickupAhead{Carrier: c, Day: d, Revision: since(c.Code, d)}
				p.ClosesOn, p.ClosesAt = onClock(closes(cal, closings, c.Code, d).In(cal.Zone))
				a.Pickups = append(a.Pickups, p)
			}
		}
		return a, nil
	})
}

// onClock is an instant as a day and a time; midnight belongs to the day that
// ends with it.
func onClock(at time.Time) (domain.Day, ClockTime) {
	day, minutes := domain.DayOf(at), at.Hour()*60+at.Minute()
	if minutes == 0 {
		return day.Add(-1), ClockTime{24 * 60}
	}
	return day, ClockTime{minutes}
}

// changedBy tells the revision of the last change that a carrier's pickup of a
// day follows from: also of exceptions that have ended, so that it never falls.
func changedBy(tx *store.Tx, farm int64) (func(carrier string, day domain.Day) int64, error) {
	all := Query{Ended: true}
	carriers, err := store.Carriers.List(tx, all)
	if err != nil {
		return nil, err
	}
	exceptions, err := store.Exceptions.List(tx, all)
	if err != nil {
		return nil, err
	}
	closings, err := store.Closings.List(tx, all)
	if err != nil {
		return nil, err
	}
	own := map[string]int64{}
	for _, c := range carriers {
		own[c.Value.Code] = max(farm, c.Rev)
	}
	told := map[string]int64{}
	for _, c := range closings {
		told[c.Value.ID] = c.Rev
	}
	return func(carrier string, day domain.Day) int64 {
		rev := max(own[carrier], told[domain.PickupID(carrier, day)])
		for _, e := range exceptions {
			if (e.Value.Carrier == "" || e.Value.Carrier == carrier) && slices.Contains([]domain.Day{e.Value.Day, e.Value.To}, day) {
				rev = max(rev, e.Rev)
			}
		}
		return rev
	}, nil
}
