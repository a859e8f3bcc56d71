package packing

import (
	"cmp"
	"slices"

	"headtally/domain"
)

// need is heads of one bed lot that lines take alike: lifted on the same day,
// picked up and packed on the same days, with the same least shelf life.
type need struct {
	day, pickup, pack domain.Day
	minShelf          int
	heads             int
}

func compareNeeds(x, y need) int {
	return cmp.Or(cmp.Compare(x.day, y.day), cmp.Compare(x.pickup, y.pickup),
		cmp.Compare(x.pack, y.pack), cmp.Compare(x.minShelf, y.minShelf))
}

// lift is what the crew takes out of a lot on one day.
type lift struct {
	day     domain.Day
	heads   int // for lines whose pull falls on this day
	stopAt  int // of these, those that no earlier rest supplies
	rafts   domain.HalfRafts
	onRafts int // heads that stand on these rafts
	lifted  int // those that come out: all, or stopAt where the last raft is lifted in part
}

// stay is loose heads that lie in the cooler from one day to another, both
// counted.
type stay struct {
	variety             int
	pulled, from, until domain.Day
	heads               int
}

// rest is the heads that were lifted with a raft and that no line of that day
// takes.
type rest struct {
	day   domain.Day
	heads int
}

// standing is a lot in its bed, lifted day by day.
type standing struct {
	w       *bench
	variety int
	heads   int              // that stood there at first
	rafts   domain.HalfRafts // 0: lifted head by head
	emptied domain.HalfRafts // rafts that are empty
	taken   int              // heads out of the bed
	rests   []rest           // oldest first
	keep    bool             // note what then lies in the cooler
	stays   []stay
	open    []need // see useRests
}

// lies notes heads that lie in the cooler until they are packed.
func (s *standing) lies(pulled, until domain.Day, heads int) {
	if s.keep && heads > 0 {
		s.stays = append(s.stays, stay{s.variety, pulled, pulled, until, heads})
	}
}

// liftAll lifts a lot for its needs, which are in order. A lot that holds too
// few heads gives all it has.
func (s *standing) liftAll(needs []need) []lift {
	lifts := make([]lift, 0, mornings(needs))
	for len(needs) > 0 {
		n := 1
		for n < len(needs) && needs[n].day == needs[0].day {
			n++
		}
		lifts = append(lifts, s.liftDay(needs[:n], needs[n:]))
		needs = needs[n:]
	}
	return lifts
}

// mornings is how many days there are on which needs are lifted.
func mornings(needs []need) (days int) {
	for i := range needs {
		if i == 0 || needs[i].day != needs[i-1].day {
			days++
		}
	}
	return days
}

// liftDay lifts what lines need on one day: earlier rests first, then rafts.
func (s *standing) liftDay(today, later []need) lift {
	l := lift{day: today[0].day, heads: wanted(today)}
	open := s.useRests(s.rests, today, func(from rest, to need, heads int) {
		s.lies(from.day, to.pack, heads)
	})
	for _, n := range open {
		l.stopAt += n.heads
		s.lies(l.day, n.pack, n.heads)
	}
	switch {
	case l.stopAt == 0:
	case s.rafts == 0:
		l.lifted = min(l.stopAt, s.heads-s.taken)
		l.onRafts = l.lifted
		s.taken += l.lifted
	default:
		s.liftRafts(&l, later)
	}
	return l
}

// liftRafts takes the fewest further rafts that give stopAt, the last of them
// in part only where the whole of it would be missed in the bed later on.
func (s *standing) liftRafts(l *lift, later []need) {
	before, upTo := s.emptied, s.emptied
	for s.standingOn(upTo)-s.taken < l.stopAt && upTo < s.rafts {
		before, upTo = upTo, min(upTo+2, s.rafts)
	}
	l.rafts = upTo - s.emptied
	l.onRafts = s.standingOn(upTo) - s.taken
	l.lifted = l.onRafts
	over := l.lifted - l.stopAt
	if over > 0 && s.heads-s.taken-l.lifted < wanted(later) && s.missing(later, l.day, over, l.lifted) > s.missing(later, l.day, 0, l.stopAt) {
		l.lifted, upTo, over = l.stopAt, before, 0
	}
	s.taken += l.lifted
	s.emptied = upTo
	if over > 0 {
		s.rests = append(s.rests, rest{l.day, over})
	}
}

// standingOn is the heads that the first rafts of the lot gave or give.
func (s *standing) standingOn(rafts domain.HalfRafts) int {
	return s.heads * int(rafts) / int(s.rafts)
}

// useRests gives rests to needs of one day, which are in order: the oldest
// rest first, to the earliest pickup, then the earliest packing day, that finds
// it fresh enough. It shortens the rests and returns what no rest supplies, which
// is good until it is called again.
func (s *standing) useRests(rests []rest, needs []need, used func(from rest, to need, heads int)) []need {
	if !slices.ContainsFunc(rests, func(r rest) bool { return r.heads > 0 }) {
		return needs
	}
	open := append(s.open[:0], needs...)
	s.open = open
	for i := range rests {
		for k := range open {
			n := min(rests[i].heads, open[k].heads)
			if n == 0 || !s.w.FreshEnough(s.variety, rests[i].day, open[k].pickup, open[k].minShelf) {
				continue
			}
			used(rests[i], open[k], n)
			rests[i].heads -= n
			open[k].heads -= n
		}
	}
	return slices.DeleteFunc(open, func(n need) bool { return n.heads == 0 })
}

// wanted is the heads that needs ask for in all.
func wanted(needs []need) (heads int) {
	for _, n := range needs {
		heads += n.heads
	}
	return heads
}

// missing is the heads that later lines would want in vain if so many heads
// were lifted today, some of them over, and every later day lifted exactly what
// its lines take.
func (s *standing) missing(later []need, today domain.Day, over, lifted int) int {
	rests := append(slices.Clone(s.rests), rest{today, over})
	lacking := 0
	for i := 0; i < len(later); {
		n := i + 1
		for n < len(later) && later[n].day == later[i].day {
			n++
		}
		lacking += wanted(s.useRests(rests, later[i:n], func(rest, need, int) {}))
		i = n
	}
	return max(0, lacking-(s.heads-s.taken-lifted))
}

// leaveRests lets the rests that nobody took lie until their life has ended.
func (s *standing) leaveRests() {
	for _, r := range s.rests {
		s.lies(r.day, s.w.lifeOver(s.variety, r.day), r.heads)
	}
}

// lifeOver is the last day of the life of heads pulled on a day.
func (w *bench) lifeOver(variety int, pulled domain.Day) domain.Day {
	v := &w.Varieties[variety]
	if v.HoldDays != nil {
		return pulled.Add(min(v.ShelfDays, *v.HoldDays))
	}
	return pulled.Add(v.ShelfDays)
}
