package sowing

import (
	"maps"
	"math"
	"slices"

	"headtally/domain"
)

// Cover is what a sowing of one day can cover.
type Cover struct {
	Variety  string
	Trays    int
	Set      domain.Day
	Ready    domain.Day // expected
	Late     domain.Day // ready by then, as surely as was asked
	Last     domain.Day
	Expected int // heads
	Cautious int
	Pickups  []CoverDay // that it can serve, with what is wanted on them
	Unused   int        // heads expected that no pickup wants
}

// CoverDay is one pickup that a sowing can serve.
type CoverDay struct {
	Day    domain.Day
	Wanted int // heads wanted of the variety in all
	Takes  int // of this sowing, others being used as they must
}

// Covers reads the table the other way: what trays sown of each variety on a day
// can cover, with what is on the way and nothing else sown after.
func (h *House) Covers(day domain.Day, trays map[string]int) (list []Cover) {
	one := *h
	one.SowDays = []domain.Day{day}
	for i := range h.Crops {
		c := &h.Crops[i]
		n := trays[c.Variety]
		if n == 0 {
			continue
		}
		s := c.Sowing(day)
		x := Cover{Variety: c.Variety, Trays: n, Set: s.Set, Ready: s.Ready, Late: s.Late, Last: s.Last}
		x.Expected, x.Cautious = s.Heads(n)
		w := one.walk(c, map[domain.Day]int{day: n}, false)
		l, used := w.sown[day], 0.0
		for k := range c.Pickups {
			p := &c.Pickups[k]
			if !h.has(c, &l.batch, p) {
				continue
			}
			row := CoverDay{Day: p.Day, Wanted: int(math.Round(p.Heads()))}
			for _, t := range l.takes {
				if t.pickup == k {
					row.Takes += int(math.Round(t.heads))
					used += t.heads
				}
			}
			x.Pickups = append(x.Pickups, row)
		}
		x.Unused = max(0, x.Expected-int(math.Round(used)))
		list = append(list, x)
	}
	return list
}

// Surge is more heads of a variety than the house already knows of on one
// pickup day.
type Surge struct {
	Variety string
	Day     domain.Day
	Heads   float64
}

// Answer is what a surge asks for.
type Answer struct {
	Surge   Surge
	Trays   int        // extra
	Sow     domain.Day // on this sowing day
	By      domain.Day // and too late after this one; none: it has passed
	Covered int        // heads of it that what is on the way and the table already cover as surely as asked
	Lacks   int        // heads that cannot be sown for any more
}

// Extra is the trays a surge asks for beyond what is sown without it. One that
// is a fall asks for nothing.
func (h *House) Extra(s Surge) Answer {
	a := Answer{Surge: s}
	if s.Heads <= 0 {
		return a
	}
	for i := range h.Crops {
		if h.Crops[i].Variety != s.Variety {
			continue
		}
		c := h.Crops[i]
		calm := h.walk(&c, h.floor(&c, h.steady(&c)), true)
		with := c
		with.Pickups = append([]Pickup(nil), c.Pickups...)
		at := -1
		for k := range with.Pickups {
			if with.Pickups[k].Day == s.Day {
				at = k
				with.Pickups[k].Surge += s.Heads
			}
		}
		if at < 0 {
			return a
		}
		a.By = h.tooLateAfter(&with, &with.Pickups[at])
		spare := math.Max(0, calm.result[at].usable-calm.result[at].margin-c.Pickups[at].Heads())
		a.Covered = int(math.Min(spare, s.Heads))
		surged := h.walk(&with, calm.trays, true)
		for _, d := range slices.Sorted(maps.Keys(surged.trays)) {
			if n := surged.trays[d] - calm.trays[d]; n > 0 {
				a.Trays += n
				if a.Sow == 0 {
					a.Sow = d
				}
			}
		}
		a.Lacks = int(math.Ceil(math.Min(surged.result[at].lacks, s.Heads)))
	}
	return a
}
