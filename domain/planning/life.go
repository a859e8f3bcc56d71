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

// LifeEnds is the last day of a lot's life: the last pull day not after its
// last day (a cooler lot: the day it was pulled) plus the smaller of its
// variety's shelf and hold days; false where no pull day is left to lift it.
func (b *Book) LifeEnds(lot int) (domain.Day, bool) {
	l := &b.Lots[lot]
	pulled := l.Pulled
	if l.Place == Bed {
		d, ok := b.LastPull(l.Last)
		if !ok {
			return 0, false
		}
		pulled = d
	}
	return pulled.Add(b.Life(b.Of[lot])), true
}

// dayAfter is the day after the last pickup day, by which heads that could no
// longer serve anybody have expired; false where no pickup is planned.
func (p *Problem) dayAfter() (domain.Day, bool) {
	if len(p.PickupDays) == 0 {
		return 0, false
	}
	return p.PickupDays[len(p.PickupDays)-1].Add(1), true
}

// Expires says whether a lot's heads could not serve a line of the problem's
// lead days and no least shelf life on the day after the last pickup. A lot
// that gets ready too late for that day does not expire.
func (b *Book) Expires(lot int) bool {
	t, ok := b.dayAfter()
	if !ok || b.Lots[lot].Place == Bed && b.Lots[lot].Ready > t.Add(-b.LeadDays) {
		return false
	}
	return !b.CanServe(lot, t, b.LeadDays, 0)
}

// Sooner says whether of two lots of a variety heads of the first should go out
// rather than those of the second, where lines could take either and both expire
// or neither does: those whose life ends first, or as soon and nearer the harvest
// end of the same bed (common practice).
func (b *Book) Sooner(lot, other int) bool {
	ends, _ := b.LifeEnds(lot)
	later, _ := b.LifeEnds(other)
	return b.Expires(lot) == b.Expires(other) && (ends < later || ends == later && b.inFrontOf(lot, other))
}

func (p *Problem) inFrontOf(lot, other int) bool {
	x, y := &p.Lots[lot], &p.Lots[other]
	return x.BedName != "" && x.BedName == y.BedName && x.At != nil && y.At != nil && *x.At < *y.At
}

// PackedExpires says whether one of the varieties in packed cases would not be
// fresh enough on the day after the last pickup.
func (b *Book) PackedExpires(packed int) bool {
	t, ok := b.dayAfter()
	return ok && !b.PackedFresh(packed, t, 0)
}

// PackedFresh says whether every variety in packed cases is fresh enough on
// day t with minShelf days of life left.
func (b *Book) PackedFresh(packed int, t domain.Day, minShelf int) bool {
	p := &b.Packed[packed]
	for _, c := range p.Contents {
		if c.Heads > 0 && !b.FreshEnough(b.VarietyIx[c.Variety], p.Pulled, t, minShelf) {
			return false
		}
	}
	return true
}
