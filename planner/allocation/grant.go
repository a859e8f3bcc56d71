package allocation

import (
	"slices"

	"headtally/domain"
)

// turn is one step of granting: so many cases at once to a line, tried so many
// times one after another.
type turn struct {
	class       *class
	line        int
	step, times int
}

// group grants turns to lines of some classes with one pickup day. It
// remembers the cuts that refused a turn: each is a bound on heads (or on case
// spaces) that no further grant of the group can pass, so that a refusal known
// beforehand needs no search.
type group struct {
	*ledger
	pickup  domain.Day
	classes []*class
	closed  []bool  // by line: refused a turn already; nil where no line comes twice
	open    []int   // by class: its lines that are not closed
	slack   []int   // by cut: what weight x cases granted from now on adds up to at most
	weights [][]hit // by class: the cuts that its cases draw on

	tally  []int  // by class: the cases of the try under way
	tried  []int  // the classes of the try under way
	filled []need // what that try brought to which node
	used   []int  // by cut: what the turns looked at draw on it
}

// hit is what one case of a class draws on a cut.
type hit struct{ cut, weight int32 }

// newGroup begins a group of lines with one pickup day. The ledger has one
// group at a time.
func (l *ledger) newGroup(pickup domain.Day) *group {
	g := &l.group
	g.ledger, g.pickup, g.closed = l, pickup, nil
	g.classes, g.open, g.tally = g.classes[:0], g.open[:0], g.tally[:0]
	g.weights, g.slack = g.weights[:0], g.slack[:0]
	if l.spaces != nil {
		g.slack = append(g.slack, l.spaces[pickup]) // the first cut: every case draws 1 on it
	}
	return g
}

// add adds a line of a class to the group.
func (g *group) add(c *class) {
	at := g.places[c.number]
	if at >= len(g.classes) || g.classes[at] != c {
		at = len(g.classes)
		g.places[c.number] = at
		g.classes, g.open, g.tally = append(g.classes, c), append(g.open, 0), append(g.tally, 0)
		g.weights = slices.Grow(g.weights, 1)[:at+1]
		g.weights[at] = g.weights[at][:0]
		if g.spaces != nil {
			g.weights[at] = append(g.weights[at], hit{0, 1})
		}
	}
	g.open[at]++
}

// grant grants the longest beginning of the turns that is feasible, and says
// how many whole turns that is and how many times of the next. Turns of closed
// lines are passed over.
//
// Feasible sets of cases are closed under leaving cases out, so when a
// beginning is refused no longer one is feasible. Each refusal finds a violated
// cut, and the next try is the longest beginning that keeps all cuts: Newton's
// method on the piecewise linear bound (W. Dinkelbach, On nonlinear fractional
// programming, 1967), which usually takes one or two tries.
func (g *group) grant(turns []turn) (whole, times int) {
	for {
		whole, times = g.bound(turns)
		for _, t := range turns[:whole] {
			g.plan(t, t.times)
		}
		if times > 0 {
			g.plan(turns[whole], times)
		}
		if g.try() {
			return whole, times
		}
	}
}

// all grants everything that lines lack, if that is feasible.
func (g *group) all(lines []seat) bool {
	total := 0
	for _, o := range lines {
		lacks := o.asked - o.has
		total += lacks
		g.plan(turn{class: g.classOf[o.line], line: o.line, step: 1}, lacks)
	}
	if g.room(g.pickup, total) < total {
		g.forget()
		return false
	}
	return g.try()
}

// close passes over the turns of a line from now on.
func (g *group) close(line int) {
	g.closed[line] = true
	g.open[g.places[g.classOf[line].number]]--
}

// passes says whether the turns of a line are passed over.
func (g *group) passes(line int) bool { return g.closed != nil && g.closed[line] }

// plan adds a turn, so many times, to the next try.
func (g *group) plan(t turn, times int) {
	if g.passes(t.line) {
		return
	}
	at := g.places[t.class.number]
	if g.tally[at] == 0 {
		g.tried = append(g.tried, at)
	}
	g.tally[at] += t.step * times
}

// bound is the longest beginning of the turns that no known cut forbids.
func (g *group) bound(turns []turn) (whole, times int) {
	g.used = append(g.used[:0], make([]int, len(g.slack))...)
	for i, t := range turns {
		if g.passes(t.line) {
			continue
		}
		hits, fits := g.weights[g.places[t.class.number]], t.times
		for _, h := range hits {
			if w := int(h.weight) * t.step; w > 0 {
				fits = min(fits, (g.slack[h.cut]-g.used[h.cut])/w)
			}
		}
		if fits < t.times {
			return i, fits
		}
		for _, h := range hits {
			g.used[h.cut] += int(h.weight) * t.step * t.times
		}
	}
	return len(turns), 0
}

// try brings the heads of the planned cases to their wants and books them. If
// it cannot, all is as before, and the cut that forbids it is remembered.
func (g *group) try() bool {
	defer g.forget()
	m := g.net.Mark()
	g.filled = g.filled[:0]
	for at, i := range g.tried {
		c := g.classes[i]
		g.raise(c, g.tally[i])
		for _, n := range c.needs {
			asked := n.heads * g.tally[i]
			got := g.net.Fill(n.node, asked)
			g.filled = append(g.filled, need{n.node, got})
			if got < asked {
				g.learn(g.tried[:at+1])
				g.net.Undo(m)
				return false
			}
		}
	}
	g.net.Keep(m)
	g.settle()
	return true
}

// forget ends a try.
func (g *group) forget() {
	for _, i := range g.tried {
		g.tally[i] = 0
	}
	g.tried = g.tried[:0]
}

// learn remembers the cut found when a try failed: the closed nodes take in no
// more heads. What was granted before filled them too, so what this try
// brought in, less what its caps newly let through, is all that is left for
// further cases. Classes that get no further case need no weight.
func (g *group) learn(raised []int) {
	slack := 0
	for _, n := range g.filled {
		if g.net.Closed(n.node) {
			slack += n.heads
		}
	}
	for _, i := range raised {
		slack -= g.lets(g.classes[i]) * g.tally[i]
	}
	for i, c := range g.classes {
		if g.open[i] == 0 {
			continue
		}
		weight := -g.lets(c)
		for _, n := range c.needs {
			if g.net.Closed(n.node) {
				weight += n.heads
			}
		}
		if weight != 0 {
			g.weights[i] = append(g.weights[i], hit{int32(len(g.slack)), int32(weight)})
		}
	}
	g.slack = append(g.slack, slack)
}

// lets is how many heads the caps of one case more of a class let into the
// closed nodes.
func (g *group) lets(c *class) (heads int) {
	for _, a := range c.limits {
		if from, to := g.net.Ends(a); g.net.Closed(to) && !g.net.Closed(from) {
			heads += c.menu.Cap
		}
	}
	return heads
}

// settle books what a try granted.
func (g *group) settle() {
	for _, i := range g.tried {
		g.cases[g.classes[i].number] += g.tally[i]
		g.occupy(g.pickup, g.tally[i])
		for _, h := range g.weights[i] {
			g.slack[h.cut] -= int(h.weight) * g.tally[i]
		}
	}
}

// raise lets through what the caps of so many more cases of a class allow.
func (l *ledger) raise(c *class, cases int) {
	for _, a := range c.limits {
		l.net.Raise(a, c.menu.Cap*cases)
	}
}

// fits says whether heads are there for so many cases more of a class, case
// spaces aside. It changes nothing.
func (l *ledger) fits(c *class, cases int) bool {
	m := l.net.Mark()
	defer l.net.Undo(m)
	l.raise(c, cases)
	for _, n := range c.needs {
		if l.net.Fill(n.node, n.heads*cases) < n.heads*cases {
			return false
		}
	}
	return true
}

// most is the most cases, up to so many, that can be granted to a class on top
// of everything; it grants them. With all, it is all or none.
func (l *ledger) most(c *class, cases int, all bool) int {
	t := turn{class: c, step: 1, times: cases}
	if all {
		t.step, t.times = cases, 1
	}
	if cases == 0 {
		return 0
	}
	g := l.newGroup(c.pickup)
	g.add(c)
	whole, times := g.grant([]turn{t})
	return t.step * (whole*t.times + times)
}
