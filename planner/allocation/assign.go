package allocation

import (
	"cmp"
	"slices"

	"headtally/domain/planning"
	"headtally/planner/flow"
)

// assign fills all that was granted out of lots at the least substitution and,
// among those, with the most heads from lots that expire. It is a cheapest
// flow at a cost of 2 x place + (0 where the lot expires, 1 where not) a head.
// That is exactly the one before the other: an assignment that is not best by
// place alone can be bettered along a cycle of ways that are in part taken
// back, which passes the supply of lots once, and so changes the second part
// by 1 at most, while the first falls by 2 or more.
//
// The network is the layout's, in which nothing was granted.
func (a *Allocation) assign(net *flow.Network) {
	l := a.expected
	asked := make([]int, len(l.layout.wants))
	for _, c := range l.layout.classes {
		if l.cases[c.number] == 0 {
			continue
		}
		for _, limit := range c.limits {
			net.Raise(limit, c.menu.Cap*l.cases[c.number])
		}
		for s, want := range c.wants {
			asked[want] += c.menu.Heads[s] * l.cases[c.number]
		}
	}
	var asks []flow.Ask
	total := 0
	for i, heads := range asked {
		if heads > 0 {
			asks = append(asks, flow.Ask{To: l.layout.wants[i].node, Amount: heads})
			total += heads
		}
	}
	if brought, _ := net.Cheapest(asks); brought < total {
		panic("allocation: cases were granted for which there are no heads")
	}
	a.deal(net, asked)
}

// deal reads the assignment off the network: which variety goes into which
// slot of a class, then which lot.
func (a *Allocation) deal(net *flow.Network, asked []int) {
	l := a.expected
	slots := make([][]planning.SlotVariety, len(l.layout.classes))
	for i, heads := range asked {
		if heads > 0 {
			a.Substitution += l.dealWant(net, &l.layout.wants[i], slots)
		}
	}
	calls := make([][]call, len(l.Varieties))
	for number, c := range l.layout.classes {
		slices.SortFunc(slots[number], func(x, y planning.SlotVariety) int {
			return cmp.Or(cmp.Compare(x.Slot, y.Slot), cmp.Compare(x.Variety, y.Variety))
		})
		c.callFor(slots[number], l.layout.wants, calls)
	}
	lots := make([][]planning.LotShare, len(l.layout.classes))
	for v := range calls {
		if len(calls[v]) > 0 {
			a.ExpiringUsed += l.dealLots(net, v, calls[v], lots)
		}
	}
	for _, shares := range lots {
		slices.SortFunc(shares, func(x, y planning.LotShare) int { return cmp.Compare(x.Lot, y.Lot) })
	}
	a.Served = l.served(slots, lots)
}

// dealWant deals the heads that reached a want out to the slots that share it:
// to the class of best rank first, and what is first in its list first. It
// says what the substitution of these heads is.
func (l *ledger) dealWant(net *flow.Network, w *want, slots [][]planning.SlotVariety) (substitution int) {
	left := make([]int, len(w.ways))
	for k, y := range w.ways {
		if y.last != nowhere {
			left[k] = net.Flow(y.last)
		}
	}
	k := 0
	for _, m := range w.members {
		c := l.layout.classes[m.class]
		for heads := c.menu.Heads[m.slot] * l.cases[m.class]; heads > 0; {
			if left[k] == 0 {
				k++
				continue
			}
			n := min(heads, left[k])
			heads, left[k] = heads-n, left[k]-n
			slots[m.class] = append(slots[m.class], planning.SlotVariety{Slot: m.slot, Variety: w.ways[k].variety, Heads: n})
			substitution += n * c.menu.Slots[m.slot][k].Place
		}
	}
	return substitution
}

// call is the heads of one variety that a class calls for through one pool.
type call struct {
	class *class
	pool  flow.Node
	heads int
}

// callFor notes what a class calls for of each variety.
func (c *class) callFor(slots []planning.SlotVariety, wants []want, calls [][]call) {
	for _, s := range slots {
		ways := wants[c.wants[s.Slot]].ways
		pool := ways[slices.IndexFunc(ways, func(y way) bool { return y.variety == s.Variety })].pool
		list := calls[s.Variety]
		if n := len(list); n > 0 && list[n-1].class == c {
			list[n-1].heads += s.Heads
		} else {
			calls[s.Variety] = append(list, call{c, pool, s.Heads})
		}
	}
}

// served is what packing is told.
func (l *ledger) served(slots [][]planning.SlotVariety, lots [][]planning.LotShare) *planning.Served {
	lines := l.servedLines()
	s := &planning.Served{Classes: make([]planning.Class, 0, len(l.layout.classes))}
	for number, c := range l.layout.classes {
		if len(lines[number]) == 0 {
			continue
		}
		s.Classes = append(s.Classes, planning.Class{
			Product:     c.menu.product,
			Pickup:      c.pickup,
			Lead:        c.lead,
			Substitutes: c.menu.substitutes,
			MinShelf:    c.minShelf,
			Refuse:      c.menu.refuse,
			Lines:       lines[number],
			Slots:       slots[number],
			Lots:        lots[number],
		})
	}
	return s
}

// servedLines is each class's lines with cases out of lots, in rank.
func (l *ledger) servedLines() [][]planning.ClassLine {
	count, total := make([]int, len(l.layout.classes)), 0
	for i, n := range l.fromLot {
		if n > 0 {
			count[l.classOf[i].number]++
			total++
		}
	}
	all := make([]planning.ClassLine, total)
	lines := make([][]planning.ClassLine, len(l.layout.classes))
	for number, n := range count {
		lines[number], all = all[:0:n], all[n:]
	}
	for _, i := range l.Ranked {
		if n := l.fromLot[i]; n > 0 {
			number := l.classOf[i].number
			lines[number] = append(lines[number], planning.ClassLine{Line: i, Cases: n})
		}
	}
	return lines
}
