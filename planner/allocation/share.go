package allocation

import (
	"cmp"
	"slices"
)

// evenShare goes through the lines of equal pickup day and priority together.
func (l *ledger) evenShare() {
	for from := 0; from < len(l.Ranked); {
		to := from + 1
		for to < len(l.Ranked) && l.alike(l.Ranked[from], l.Ranked[to]) {
			to++
		}
		l.shareOut(l.Ranked[from:to])
		from = to
	}
}

func (l *ledger) alike(i, j int) bool {
	x, y := &l.Lines[i], &l.Lines[j]
	return x.Pickup == y.Pickup && x.Importance() == y.Importance()
}

// turnsAtOnce is how many turns are looked at together.
const turnsAtOnce = 1 << 12

// shareOut grants a group of lines all they ask for, if that is feasible, or
// else case by case, the next one always to the line with the smallest part of
// what it asked.
func (l *ledger) shareOut(lines []int) {
	s := newSharing(l, lines)
	if len(s.open) == 0 {
		return
	}
	g := l.newGroup(l.Lines[lines[0]].Pickup)
	g.closed = l.closed
	for _, o := range s.open {
		g.add(l.classOf[o.line])
	}
	if g.all(s.open) {
		for _, o := range s.open {
			l.book(o.line, o.asked-o.has)
		}
		return
	}
	for turns := s.next(turnsAtOnce); len(turns) > 0; turns = s.next(turnsAtOnce) {
		l.takeTurns(g, turns)
	}
}

// takeTurns grants turn after turn, and closes the line of each turn that is
// refused. The turns of a line depend on its own grants alone, so closing one
// line leaves the order of the others as it is: turns can be laid out as if
// all would be granted, the longest feasible beginning granted at once, and
// those of closed lines passed over.
func (l *ledger) takeTurns(g *group, turns []turn) {
	for len(turns) > 0 {
		whole, _ := g.grant(turns)
		for _, t := range turns[:whole] {
			if !l.closed[t.line] {
				l.book(t.line, t.step)
			}
		}
		if whole < len(turns) {
			l.refuse(turns[whole].line)
			g.close(turns[whole].line)
			whole++
		}
		turns = turns[whole:]
	}
}

// sharing lays out the turns of a group of lines.
type sharing struct {
	*ledger
	open []seat // a heap: the next to take a turn first
}

// seat is an open line of a group. It holds all that turns are ordered by, so
// that a long queue is gone through without a look at its lines.
type seat struct{ line, rank, asked, has int } // has: cases granted, and planned in turns

func newSharing(l *ledger, lines []int) *sharing {
	s := &sharing{ledger: l, open: l.seats[:0]}
	for _, i := range lines {
		if l.lacks(i) > 0 {
			s.open = append(s.open, seat{i, l.rank[i], l.Lines[i].Asked(), l.granted[i]})
		}
	}
	l.seats = s.open
	slices.SortFunc(s.open, seat.compare) // sorted is a heap
	return s
}

// compare orders seats by granted/asked, as exact fractions, then by rank.
func (s seat) compare(o seat) int {
	return cmp.Or(cmp.Compare(s.has*o.asked, o.has*s.asked), cmp.Compare(s.rank, o.rank))
}

// next lays out up to so many further turns; they stand until it is called again.
func (s *sharing) next(most int) []turn {
	s.turns = s.turns[:0]
	for len(s.open) > 0 && len(s.turns) < most {
		top := &s.open[0]
		if !s.closed[top.line] {
			step := 1
			if s.Lines[top.line].AllOrNone {
				step = top.asked - top.has
			}
			s.turns = append(s.turns, turn{s.classOf[top.line], top.line, step, 1})
			top.has += step
		}
		if s.closed[top.line] || top.has == top.asked {
			last := len(s.open) - 1
			s.open[0] = s.open[last]
			s.open = s.open[:last]
		}
		s.sink()
	}
	return s.turns
}

// sink puts the head of the heap in its place.
func (s *sharing) sink() {
	for i := 0; ; {
		least := 2*i + 1
		if least >= len(s.open) {
			return
		}
		if least+1 < len(s.open) && s.open[least+1].compare(s.open[least]) < 0 {
			least++
		}
		if s.open[i].compare(s.open[least]) <= 0 {
			return
		}
		s.open[i], s.open[least] = s.open[least], s.open[i]
		i = least
	}
}
