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

// life is what becomes of a lot if nobody takes its heads.
type life struct {
	ends    domain.Day
	ever    bool // it can be lifted at all
	expires bool
}

func (b *Book) lifeOf(lot int) (f life) {
	pulled, ever := b.Lots[lot].Pulled, true
	if b.Lots[lot].Place == Bed {
		pulled, ever = b.LastPull(b.Lots[lot].Last)
	}
	if ever {
		f = life{ends: pulled.Add(b.Life(b.Of[lot])), ever: true}
	}
	if t, ok := b.dayAfter(); ok && (b.Lots[lot].Place != Bed || b.Lots[lot].Ready <= t.Add(-b.LeadDays)) {
		f.expires = !b.CanServe(lot, t, b.LeadDays, 0)
	}
	return f
}

// LifeEnds is the last day of a lot's life: the last pull day not after its
// last day (a cooler lot: the day it was pulled) plus the smaller of its
// variety's shelf and hold days; false where no pull day is left to lift it.
func (b *Book) LifeEnds(lot int) (domain.Day, bool) { return b.lives[lot].ends, b.lives[lot].ever }

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
func (b *Book) Expires(lot int) bool { return b.lives[lot].expires }

// Sooner says whether of two lots of a variety heads of the first should go out
// rather than those of the second, where lines could take either and both expire
// or neither does: those whose life ends first, or as soon and nearer the harvest
// end of the same bed (common practice).
func (b *Book) Sooner(lot, other int) bool {
	x, y := b.lives[lot], b.lives[other]
	return x.expires == y.expires && (x.ends < y.ends || x.ends == y.ends && b.inFrontOf(lot, other))
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
