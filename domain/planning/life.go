package planning

import "headtally/domain"

// Life is the most days from pull to pickup that heads of a variety last.
func (p *Problem) Life(variety int) int {
	v := &p.Varieties[variety]
	if v.HoldDays != nil {
		return min(v.ShelfDays, *v.HoldDays)
	}
	return v.ShelfDays
}

// LifeEnd is the day on which the life of a lot's heads ends, pulled as late as
// can be; no day for a bed lot that the crew has no day to pull.
func (b *Book) LifeEnd(lot int) domain.Day {
	l := &b.Lots[lot]
	pulled, ok := l.Pulled, true
	if l.Place == Bed {
		pulled, ok = b.LastPull(l.Last)
	}
	if !ok {
		return 0
	}
	return pulled.Add(b.Life(b.Of[lot]))
}

// Expires says whether heads of a lot that no pickup day takes are lost: they
// could serve no plain line on the day after the last pickup day.
func (b *Book) Expires(lot int) bool {
	after, ok := b.dayAfter()
	if !ok {
		return false
	}
	l := &b.Lots[lot]
	if l.Place == Bed && l.Ready > after.Add(-b.LeadDays) {
		return false
	}
	return !b.CanServe(lot, after, b.LeadDays, 0)
}

// PackedExpires says whether packed cases that no line takes are lost: one of
// their varieties would not be fresh enough on the day after the last pickup day.
func (b *Book) PackedExpires(packed int) bool {
	after, ok := b.dayAfter()
	if !ok {
		return false
	}
	for _, c := range b.Packed[packed].Contents {
		if !b.FreshEnough(b.VarietyIx[c.Variety], b.Packed[packed].Pulled, after, 0) {
			return true
		}
	}
	return false
}

func (p *Problem) dayAfter() (domain.Day, bool) {
	if len(p.PickupDays) == 0 {
		return 0, false
	}
	return p.PickupDays[len(p.PickupDays)-1].Add(1), true
}
