package allocation

// turn is one step of granting: so many cases at once to a line, tried so many
// times one after another.
type turn struct {
	line        int
	step, times int
}

// group grants turns to lines of some classes with one pickup day. It
// remembers the cuts that refused a turn: each is a bound on heads (or on case
// spaces) that no further grant of the group can pass, so that a refusal known
// beforehand needs no search.
type group struct {
	*ledger
	classes []*class
	cuts    []cut
	filled  []need // what the grant under way brought to which node
}

// cut says: over the classes of a group, weight x cases granted from now on
// adds up to slack at most.
type cut struct {
	slack  int
	weight []int // by class of the group
}

// newGroup is a group of classes, all of one pickup day.
func (l *ledger) newGroup(classes ...*class) *group {
	g := &group{ledger: l}
	for _, c := range classes {
		if c.local >= len(g.classes) || g.classes[c.local] != c {
			c.local = len(g.classes)
			g.classes = append(g.classes, c)
		}
	}
	if l.spaces != nil {
		ones := make([]int, len(g.classes))
		for i := range ones {
			ones[i] = 1
		}
		g.cuts = append(g.cuts, cut{l.spaces[g.classes[0].pickup], ones})
	}
	return g
}

// grant grants the longest beginning of the turns that is feasible, and says
// how many whole turns that is and how many times of the next. of names the
// class whose cases a line is granted.
//
// Feasible sets of cases are closed under leaving cases out, so when a
// beginning is refused no longer one is feasible. Each refusal finds a violated
// cut, and the next try is the longest beginning that keeps all cuts: Newton's
// method on the piecewise linear bound (W. Dinkelbach, On nonlinear fractional
// programming, 1967), which usually takes one or two tries.
func (g *group) grant(turns []turn, of func(line int) *class) (whole, times int) {
	cases := make([]int, len(g.classes))
	for {
		whole, times = g.bound(turns, of)
		clear(cases)
		total := 0
		for i, t := range turns[:min(whole+1, len(turns))] {
			n := t.step * t.times
			if i == whole {
				n = t.step * times
			}
			cases[of(t.line).local] += n
			total += n
		}
		if total == 0 {
			return whole, times
		}
		if g.try(cases) {
			g.settle(cases, total)
			return whole, times
		}
	}
}

// bound is the longest beginning of the turns that no known cut forbids.
func (g *group) bound(turns []turn, of func(line int) *class) (whole, times int) {
	used := make([]int, len(g.cuts))
	for i, t := range turns {
		local, fits := of(t.line).local, t.times
		for k, c := range g.cuts {
			if w := c.weight[local] * t.step; w > 0 {
				fits = min(fits, (c.slack-used[k])/w)
			}
		}
		if fits < t.times {
			return i, fits
		}
		for k, c := range g.cuts {
			used[k] += c.weight[local] * t.step * t.times
		}
	}
	return len(turns), 0
}

// try brings the heads of so many cases of each class to their wants. If it
// cannot, all is as before, and the cut that forbids it is remembered.
func (g *group) try(cases []int) bool {
	m := g.net.Mark()
	g.filled = g.filled[:0]
	for i, c := range g.classes {
		if cases[i] == 0 {
			continue
		}
		g.raise(c, cases[i])
		for _, n := range c.needs {
			asked := n.heads * cases[i]
			got := g.net.Fill(n.node, asked)
			g.filled = append(g.filled, need{n.node, got})
			if got < asked {
				g.learn(cases[:i+1])
				g.net.Undo(m)
				return false
			}
		}
	}
	g.net.Keep(m)
	return true
}

// raise lets through what the caps of so many more cases of a class allow.
func (l *ledger) raise(c *class, cases int) {
	for _, a := range c.limits {
		l.net.Raise(a, c.menu.Cap*cases)
	}
}

// learn remembers the cut found when a try failed: the closed nodes take in no
// more heads. What was granted before filled them too, so what this try
// brought in, less what its caps newly let through, is all that is left for
// further cases.
func (g *group) learn(raised []int) {
	c := cut{weight: make([]int, len(g.classes))}
	for _, n := range g.filled {
		if g.net.Closed(n.node) {
			c.slack += n.heads
		}
	}
	for i, class := range g.classes {
		lets := 0
		for _, a := range class.limits {
			if from, to := g.net.Ends(a); g.net.Closed(to) && !g.net.Closed(from) {
				lets += class.menu.Cap
			}
		}
		for _, n := range class.needs {
			if g.net.Closed(n.node) {
				c.weight[i] += n.heads
			}
		}
		c.weight[i] -= lets
		if i < len(raised) {
			c.slack -= lets * raised[i]
		}
	}
	g.cuts = append(g.cuts, c)
}

// settle books what a try granted.
func (g *group) settle(cases []int, total int) {
	for i, c := range g.classes {
		c.cases += cases[i]
		for k := range g.cuts {
			g.cuts[k].slack -= g.cuts[k].weight[i] * cases[i]
		}
	}
	g.occupy(g.classes[0].pickup, total)
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
	t := turn{step: 1, times: cases}
	if all {
		t = turn{step: cases, times: 1}
	}
	if cases == 0 {
		return 0
	}
	whole, times := l.newGroup(c).grant([]turn{t}, func(int) *class { return c })
	return t.step * (whole*t.times + times)
}
