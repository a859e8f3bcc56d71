package sowing

import (
	"cmp"
	"maps"
	"slices"

	"headtally/domain"
)

// dated is what to sow of one variety on each day.
func (h *House) dated(w *walk, steady map[string]int, gives []Give) (list []Dated) {
	for _, d := range slices.Sorted(maps.Keys(w.trays)) {
		usual := 0
		if _, regular := slices.BinarySearch(h.SowDays, d); regular {
			usual = max(0, steady[weekday(d)]-h.sown(w.crop, d))
		}
		l := w.sown[d]
		if w.trays[d] == 0 && usual == 0 {
			continue
		}
		x := Dated{Day: d, Variety: w.crop.Variety, Trays: w.trays[d], Steady: usual, Reason: Keeps}
		s := w.crop.Sowing(d)
		x.Set, x.Ready = s.Set, s.Ready
		x.Expected, x.Cautious = s.Heads(x.Trays)
		wanted := 0.0
		if l != nil {
			for _, t := range l.takes {
				wanted += t.heads
			}
		}
		x.Spare = max(0, x.Expected-int(wanted+0.5))
		if p := h.firstNeed(w, d); p != nil {
			x.For, x.TooLate = p.Day, h.tooLateAfter(w.crop, p)
		}
		x.Reason = whyDated(w, d, x, gives)
		list = append(list, x)
	}
	return list
}

// firstNeed is the first pickup that a sowing is expected to give heads to.
func (h *House) firstNeed(w *walk, d domain.Day) *Pickup {
	if i, added := w.first[d]; added {
		return &w.crop.Pickups[i]
	}
	if l := w.sown[d]; l != nil && len(l.takes) > 0 {
		return &w.crop.Pickups[l.takes[0].pickup]
	}
	return nil
}

// whyDated says why a day's trays differ from the weekly table.
func whyDated(w *walk, d domain.Day, x Dated, gives []Give) Reason {
	for _, g := range gives {
		if g.Day == d && g.Variety == x.Variety {
			return NoSpace
		}
	}
	if x.Trays <= x.Steady {
		return Keeps
	}
	if l := w.sown[d]; l != nil {
		for i := range w.crop.Pickups {
			if p := &w.crop.Pickups[i]; p.Surge > 0 && w.house.has(w.crop, &l.batch, p) {
				return ForSurge
			}
		}
	}
	return ShortOnTheWay
}

// served is how one variety's pickups fare.
func (h *House) served(w *walk) (list []Served) {
	for i, o := range w.result {
		p := &w.crop.Pickups[i]
		s := Served{Variety: w.crop.Variety, Day: p.Day, Wanted: p.Heads(), Expected: o.usable, Sure: max(0, o.usable-o.margin),
			Met: o.lacks == 0, Short: o.short[0] + o.short[1] + o.short[2]}
		if s.Wanted == 0 {
			continue
		}
		if !s.Met {
			s.TooLate = h.tooLateAfter(w.crop, p)
		}
		list = append(list, s)
	}
	slices.SortStableFunc(list, func(a, b Served) int { return cmp.Compare(a.Day, b.Day) })
	return list
}
