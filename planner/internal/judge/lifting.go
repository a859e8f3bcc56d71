package judge

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// want is heads of one bed lot that a line takes from one day's pull.
type want struct {
	pull, pickup, pack domain.Day
	shelf              int
	heads              int
}

// stay is loose heads of one pull in the cooler, first and last day counted,
// after the morning's pull and before packing starts.
type stay struct {
	variety     int
	pulled      domain.Day
	first, last domain.Day
	heads       int
}

// lift is one day's visit to a lot.
type lift struct {
	day           domain.Day
	heads, stopAt int
	rafts         domain.HalfRafts
	lifted        int
	partly        bool
}

// rest is heads lifted with a raft and not yet spoken for.
type rest struct {
	pulled domain.Day
	heads  int
}

// raft is what stands on one raft, or on a half one at the lot's end.
type raft struct {
	size  domain.HalfRafts
	heads int
}

// lifting works through the visits to one lot, with one count of its heads.
type lifting struct {
	*farm
	variety int
	byHead  bool // no rafts are told: lifted head by head
	rafts   []raft
	heads   int // in the bed
	rests   []rest
	stays   []stay
}

func (f *farm) newLifting(lot, heads int) *lifting {
	l := &f.p.Lots[lot]
	s := &lifting{farm: f, variety: f.variety[l.Variety], heads: heads, byHead: l.Rafts == nil}
	if s.byHead {
		return s
	}
	all := *l.Rafts
	upTo := func(halves domain.HalfRafts) int { return heads * int(halves) / int(all) }
	for at := domain.HalfRafts(0); at < all; {
		next := min(at+2, all)
		s.rafts = append(s.rafts, raft{next - at, upTo(next) - upTo(at)})
		at = next
	}
	return s
}

// compareWants is the order in which rests are given to the wants of a day.
func compareWants(a, b want) int {
	return cmp.Or(cmp.Compare(a.pull, b.pull), cmp.Compare(a.pickup, b.pickup), cmp.Compare(a.pack, b.pack), a.shelf-b.shelf)
}

// visits lifts for all wants of the lot, day by day.
func (s *lifting) visits(wants []want) (lifts []lift) {
	slices.SortFunc(wants, compareWants)
	for len(wants) > 0 {
		n := 1
		for n < len(wants) && wants[n].pull == wants[0].pull {
			n++
		}
		lifts = append(lifts, s.visit(wants[:n], wants[n:]))
		wants = wants[n:]
	}
	for _, r := range s.rests {
		s.stay(r.pulled, r.pulled, s.lifeEndOf(s.variety, r.pulled), r.heads)
	}
	return lifts
}

func (f *farm) lifeEndOf(variety int, pulled domain.Day) domain.Day {
	v := &f.p.Varieties[variety]
	return pulled.Add(min(v.ShelfDays, holdDays(v)))
}

func (s *lifting) stay(pulled, first, last domain.Day, heads int) {
	if heads > 0 && first <= last {
		s.stays = append(s.stays, stay{s.variety, pulled, first, last, heads})
	}
}

// visit lifts for one day's wants; later are those still to come.
func (s *lifting) visit(wants, later []want) lift {
	day := wants[0].pull
	v := lift{day: day}
	for _, w := range wants {
		v.heads += w.heads
	}
	still := s.fromRests(wants, true)
	for i, n := range still {
		v.stopAt += n
		s.stay(day, day, wants[i].pack, n)
	}
	if s.byHead {
		v.lifted = min(v.stopAt, s.heads)
		s.heads -= v.lifted
		return v
	}
	n := 0
	for ; v.lifted < v.stopAt && n < len(s.rafts); n++ {
		v.rafts += s.rafts[n].size
		v.lifted += s.rafts[n].heads
	}
	over := v.lifted - v.stopAt
	if over > 0 && s.missed(later, s.heads-v.lifted, rest{day, over}) > s.missed(later, s.heads-v.stopAt, rest{day, 0}) {
		v.partly, v.lifted = true, v.stopAt
		s.rafts[n-1].heads = over
		n--
	} else if over > 0 {
		s.rests = append(s.rests, rest{day, over})
	}
	s.rafts = s.rafts[n:]
	s.heads -= v.lifted
	return v
}

// fromRests supplies wants from rests, the oldest first, and returns what each
// want still lacks. Counted heads stay in the cooler until they are packed.
func (s *lifting) fromRests(wants []want, counted bool) (still []int) {
	for _, w := range wants {
		still = append(still, w.heads)
	}
	for r := range s.rests {
		for i, w := range wants {
			if n := min(still[i], s.rests[r].heads); n > 0 && s.fresh(s.variety, s.rests[r].pulled, w.pickup, w.shelf) {
				still[i] -= n
				s.rests[r].heads -= n
				if counted {
					s.stay(s.rests[r].pulled, s.rests[r].pulled, w.pack, n)
				}
			}
		}
	}
	return still
}

// missed is the heads that later wants find neither in a bed of so many heads
// nor in the rests and one more, when no visit lifts more than it needs. (Where
// the bed is too small anyway, a whole raft takes nothing from anybody.)
func (s *lifting) missed(later []want, heads int, more rest) int {
	trial := *s
	trial.rests = append(slices.Clone(s.rests), more)
	for len(later) > 0 {
		n := 1
		for n < len(later) && later[n].pull == later[0].pull {
			n++
		}
		for _, lacks := range trial.fromRests(later[:n], false) {
			heads -= lacks
		}
		later = later[n:]
	}
	return max(0, -heads)
}

// wantsOf reads from the lines' heads what a bed lot must give, and when.
func (c *checker) wantsOf(lot int) (wants []want) {
	for i := range c.plan.Lines {
		l := &c.p.Lines[i]
		for _, h := range c.plan.Lines[i].Heads {
			if c.lot[h.Lot] == lot {
				d, _ := c.pullFor(lot, l.Pickup, c.lead(l))
				wants = append(wants, want{d, l.Pickup, c.packDay(l), l.MinShelfDays, h.Heads})
			}
		}
	}
	return wants
}

func (c *checker) bedLots() (list []int) {
	for i, l := range c.p.Lots {
		if l.Place == planning.Bed {
			list = append(list, i)
		}
	}
	return list
}
