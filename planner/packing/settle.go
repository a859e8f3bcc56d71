package packing

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/flow"
)

// settle assigns heads to the orders as they are packed now: for every variety
// of which the changed batches want other heads, the most out of lots that
// expire, and older heads out first. It writes the assignment to the classes,
// and its values to the plan.
func (w *bench) settle(changed map[*batch]bool) {
	stale := make([]bool, len(w.Varieties))
	for b := range changed {
		for _, o := range b.orders {
			for _, v := range o.rules.varieties {
				stale[v] = true
			}
			o.Slots = o.layout()
		}
	}
	for v, is := range stale {
		if is {
			w.deal(v)
		}
	}
	w.retotal()
}

// layout is the order's heads by slot and variety, as its portions lay them.
func (o *order) layout() (slots []planning.SlotVariety) {
	sums := make([][]int, len(o.rules.need))
	for i := range sums {
		sums[i] = make([]int, len(o.heads))
	}
	for _, p := range o.portions {
		for i, row := range o.rules.lay(p.recipe).slots {
			for k, n := range row {
				sums[i][k] += n * p.cases
			}
		}
	}
	for i, row := range sums {
		for k, n := range row {
			if n > 0 {
				slots = append(slots, planning.SlotVariety{Slot: i, Variety: o.rules.varieties[k], Heads: n})
			}
		}
	}
	slices.SortFunc(slots, func(x, y planning.SlotVariety) int {
		return cmp.Or(cmp.Compare(x.Slot, y.Slot), cmp.Compare(x.Variety, y.Variety))
	})
	return slots
}

// want is what an order takes of one variety.
type want struct {
	order *order
	heads int
	from  []int // heads by lot of the variety
	able  []bool
}

// deal deals the lots of a variety out to the orders anew: expiring heads cost
// nothing and others one, so the cheapest flow uses the most expiring ones.
func (w *bench) deal(variety int) {
	var lots []int
	for i, v := range w.Of {
		if v == variety && w.Lots[i].Heads > 0 {
			lots = append(lots, i)
		}
	}
	slices.SortFunc(lots, w.olderFirst)
	wants := w.wantsOf(variety)
	net := &flow.Network{}
	nodes := make([]flow.Node, len(lots))
	for i, lot := range lots {
		nodes[i] = net.AddNode(w.Lots[lot].Heads)
		if !w.Expires(lot) {
			net.SetEntryCost(nodes[i], 1)
		}
	}
	asks := make([]flow.Ask, len(wants))
	arcs := make([][]flow.Arc, len(wants))
	for n := range wants {
		asks[n] = flow.Ask{To: net.AddNode(0), Amount: wants[n].heads}
		arcs[n] = make([]flow.Arc, len(lots))
		for i, lot := range lots {
			if able := w.canServe(lot, wants[n].order); able {
				wants[n].able[i] = true
				arcs[n][i] = net.AddArc(nodes[i], asks[n].To, flow.Unlimited)
			}
		}
	}
	net.Cheapest(asks)
	for n := range wants {
		for i := range lots {
			if wants[n].able[i] {
				wants[n].from[i] = net.Flow(arcs[n][i])
			}
		}
	}
	w.olderOut(lots, wants)
	for w.leaveYounger(lots, wants) {
		w.olderOut(lots, wants)
	}
	w.writeLots(variety, lots, wants)
}

// wantsOf lists what orders take of a variety, by pickup day.
func (w *bench) wantsOf(variety int) (wants []want) {
	count := 0
	for i, v := range w.Of {
		if v == variety && w.Lots[i].Heads > 0 {
			count++
		}
	}
	for _, o := range w.orders {
		if k := slices.Index(o.rules.varieties, variety); k >= 0 && o.heads[k] > 0 {
			wants = append(wants, want{o, o.heads[k], make([]int, count), make([]bool, count)})
		}
	}
	return wants
}

// olderOut exchanges heads of two lots between two days as long as the lot
// whose life ends first serves the later one and each could serve the other's.
// Lots are in order of their life's end and wants by day. Each exchange raises
// the sum, over all heads, of life's end times pickup day, so it comes to an end;
// it changes neither what a lot gives nor what an order takes.
func (w *bench) olderOut(lots []int, wants []want) {
	ends := make([]domain.Day, len(lots))
	for i, lot := range lots {
		ends[i], _ = w.LifeEnds(lot)
	}
	for exchanged := true; exchanged; {
		exchanged = false
		for late := len(wants) - 1; late > 0; late-- {
			for x := range lots {
				if wants[late].from[x] > 0 && w.bringForward(x, ends, wants[:late+1]) {
					exchanged = true
				}
			}
		}
	}
}

// bringForward exchanges heads of lot x in the last of the wants for those of
// longer-lived lots on earlier days.
func (w *bench) bringForward(x int, ends []domain.Day, wants []want) (exchanged bool) {
	late := &wants[len(wants)-1]
	for y := x + 1; y < len(ends); y++ {
		if ends[x] == ends[y] || !late.able[y] {
			continue
		}
		for i := range wants {
			early := &wants[i]
			if early.order.Pickup == late.order.Pickup || late.from[x] == 0 {
				break
			}
			if early.able[x] && early.from[y] > 0 {
				swap(early, late, x, y)
				exchanged = true
			}
		}
	}
	return exchanged
}

// leaveYounger takes heads that are left over in place of others that should
// rather be left, as allocation does.
func (w *bench) leaveYounger(lots []int, wants []want) (changed bool) {
	left := make([]int, len(lots))
	for i, lot := range lots {
		left[i] = w.Lots[lot].Heads
		for n := range wants {
			left[i] -= wants[n].from[i]
		}
	}
	for x := range lots {
		for n := 0; n < len(wants) && left[x] > 0; n++ {
			from := wants[n].from
			for y := len(lots) - 1; y >= 0 && wants[n].able[x]; y-- {
				if from[y] == 0 || !w.Sooner(lots[x], lots[y]) {
					continue
				}
				k := min(left[x], from[y])
				left[x], left[y] = left[x]-k, left[y]+k
				from[x], from[y] = from[x]+k, from[y]-k
				changed = changed || k > 0
			}
		}
	}
	return changed
}

// swap moves as many heads of lot x to the early want, and of lot y to the late
// one, as there are of both.
func swap(early, late *want, x, y int) {
	n := min(late.from[x], early.from[y])
	late.from[x] -= n
	late.from[y] += n
	early.from[y] -= n
	early.from[x] += n
}

// writeLots puts the lots of a variety in the classes anew.
func (w *bench) writeLots(variety int, lots []int, wants []want) {
	for _, o := range w.orders {
		o.Lots = slices.DeleteFunc(o.Lots, func(l planning.LotShare) bool { return w.Of[l.Lot] == variety })
	}
	for _, n := range wants {
		for i, heads := range n.from {
			if heads > 0 {
				n.order.Lots = append(n.order.Lots, planning.LotShare{Lot: lots[i], Heads: heads})
			}
		}
		slices.SortFunc(n.order.Lots, func(x, y planning.LotShare) int { return cmp.Compare(x.Lot, y.Lot) })
	}
}
