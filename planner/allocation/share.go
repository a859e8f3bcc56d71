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
	for _, i := range s.open {
		g.add(l.classOf[i])
	}
	if g.all(s.open) {
		for _, i := range s.open {
			l.book(i, l.lacks(i))
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
	open    []int // a heap of lines: the next to take a turn first
	planned []int // by place in rank: cases granted, and planned in turns
	first   int   // place in rank of the group's first line
}

func newSharing(l *ledger, lines []int) *sharing {
	s := &sharing{ledger: l, first: l.rank[lines[0]], planned: make([]int, len(lines))}
	for k, i := range lines {
		s.planned[k] = l.granted[i]
		if l.lacks(i) > 0 {
			s.open = append(s.open, i)
		}
	}
	slices.SortFunc(s.open, s.compare) // sorted is a heap
	return s
}

func (s *sharing) has(line int) *int { return &s.planned[s.rank[line]-s.first] }

// compare orders lines by granted/asked, as exact fractions, then by rank.
func (s *sharing) compare(i, j int) int {
	return cmp.Or(
		cmp.Compare(*s.has(i)*s.Lines[j].Asked(), *s.has(j)*s.Lines[i].Asked()),
		cmp.Compare(s.rank[i], s.rank[j]))
}

// next lays out up to so many further turns; they stand until it is called again.
func (s *sharing) next(most int) []turn {
	s.turns = s.turns[:0]
	for len(s.open) > 0 && len(s.turns) < most {
		i := s.open[0]
		line, has := &s.Lines[i], s.has(i)
		step := 1
		if line.AllOrNone {
			step = line.Asked() - *has
		}
		if !s.closed[i] {
			s.turns = append(s.turns, turn{s.classOf[i], i, step, 1})
			*has += step
		}
		if s.closed[i] || *has == line.Asked() {
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
		if least+1 < len(s.open) && s.compare(s.open[least+1], s.open[least]) < 0 {
			least++
		}
		if s.compare(s.open[i], s.open[least]) <= 0 {
			return
		}
		s.open[i], s.open[least] = s.open[least], s.open[i]
		i = least
	}
}
