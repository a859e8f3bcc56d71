package allocation

import (
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/flow"
)

// refuse notes why a line that was just refused is short.
func (l *ledger) refuse(line int) {
	if l.explain {
		l.reasons[line] = l.why(line)
	}
}

// why is the first reason that holds for what a line was refused: one case, or
// all that it lacks when it wants all or nothing.
func (l *ledger) why(line int) *planning.Reason {
	c, lacks := l.classOf[line], l.lacks(line)
	refused := 1
	if l.Lines[line].AllOrNone {
		refused = lacks
	}
	spaces := l.room(c.pickup, refused) == refused
	if !c.menu.makeable {
		return &planning.Reason{Code: planning.CannotBeMade}
	}
	if !spaces && l.fits(c, refused) {
		return &planning.Reason{Code: planning.CoolerFull}
	}
	if spaces && c.minShelf > 0 {
		any := c.kind
		any.minShelf = 0
		if l.fits(l.class(any), refused) {
			return &planning.Reason{Code: planning.NoneFreshEnough}
		}
	}
	r := &planning.Reason{Code: planning.NotEnoughReady}
	var short []int
	r.HeadsMissing, r.HeadsMissingAll, short = l.missing(c, refused, lacks)
	for _, v := range short {
		r.Varieties = append(r.Varieties, l.Varieties[v].Code)
		if ready := l.layout.nextReady(v, c.pickup.Add(-c.lead)); ready != 0 && (r.NextReady == 0 || ready < r.NextReady) {
			r.NextReady = ready
		}
	}
	return r
}

// missing brings as many as can be of the heads that the refused cases ask for
// beside all that is granted, and says how many are missing, how many would be
// for all the cases the line lacks, and of which varieties one more head, for
// this class alone, would have helped. It changes nothing.
func (l *ledger) missing(c *class, refused, lacks int) (heads, all int, varieties []int) {
	m := l.net.Mark()
	defer l.net.Undo(m)
	open := make([]int, len(c.needs)) // heads that could not be brought
	fill := func(cases int) (missing int) {
		l.raise(c, cases)
		for i, n := range c.needs {
			open[i] += n.heads * cases
			open[i] -= l.net.Fill(n.node, open[i])
			missing += open[i]
		}
		return missing
	}
	before := l.net.Searches()
	heads = fill(refused)
	varieties = l.helpful(c, open, before)
	if all = heads; lacks > refused {
		all = fill(lacks - refused)
	}
	return heads, all, varieties
}

// helpful is the varieties of which one more head, usable by the class alone,
// could be passed on to a want of the class that is still open: past the cap
// where it leaves room, or in place of a head of the same variety that the
// class has, which then goes another way. They ascend.
func (l *ledger) helpful(c *class, open []int, before int32) []int {
	q := question{ledger: l, before: before}
	for i, n := range c.needs {
		if open[i] > 0 {
			q.goals = append(q.goals, n.node)
		}
	}
	for _, number := range c.wants {
		w := &l.layout.wants[number]
		for _, y := range w.ways {
			if y.limit == nowhere || l.net.Room(y.limit) > 0 {
				q.ask(w.node, y.variety)
			}
			if y.limit != nowhere && l.net.Flow(y.limit) > 0 {
				q.ask(y.pool, y.variety)
			}
		}
	}
	q.settle()
	slices.Sort(q.varieties)
	return slices.Compact(q.varieties)
}

// question is whether heads of some varieties, put down at some nodes, could
// be passed on to open wants.
type question struct {
	*ledger
	before    int32       // searches made before the wants were tried to be filled
	goals     []flow.Node // the open wants
	about     []flow.Node // nodes of which a search must tell
	of        []int       // and the variety put down there
	varieties []int       // those that would help
}

// ask settles at once what the vain searches have shown already: a node that
// they closed can pass heads on; one that is not closed cannot, for the open
// wants are closed. Only of nodes that were closed before is nothing known.
func (q *question) ask(node flow.Node, variety int) {
	switch {
	case slices.Contains(q.goals, node) || q.net.ClosedSince(node, q.before):
		q.varieties = append(q.varieties, variety)
	case q.net.Closed(node):
		q.about, q.of = append(q.about, node), append(q.of, variety)
	}
}

func (q *question) settle() {
	if len(q.about) == 0 {
		return
	}
	for i, can := range q.net.WaysTo(q.goals, q.about) {
		if can {
			q.varieties = append(q.varieties, q.of[i])
		}
	}
}

// nextReady is the first day after t on which a bed lot of the variety gets
// ready, if there is one.
func (w *layout) nextReady(variety int, t domain.Day) domain.Day {
	if w.readies == nil {
		w.readies = make([][]domain.Day, len(w.Varieties))
		for i := range w.Lots {
			if lot := &w.Lots[i]; lot.Place == planning.Bed && lot.Heads > 0 {
				w.readies[w.Of[i]] = append(w.readies[w.Of[i]], lot.Ready)
			}
		}
		for _, days := range w.readies {
			slices.Sort(days)
		}
	}
	days := w.readies[variety]
	if i, _ := slices.BinarySearch(days, t+1); i < len(days) {
		return days[i]
	}
	return 0
}
