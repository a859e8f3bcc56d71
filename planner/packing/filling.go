package packing

import "headtally/planner/flow"

// filling asks for heads in the slots of a case, or of many alike, at the
// least cost.
type filling struct {
	need []int   // heads by slot
	cost [][]int // slot, variety -> cost of a head, or barred
	room [][]int // slot, variety -> most heads; nil: no bound
	must []int   // heads of each variety that have to be used
	may  []int   // and those that can be, beyond them
}

// spareCost makes heads that need not be used dearer than any way of using
// those that must be.
const spareCost = 1 << 20

// solve gives the heads by slot and variety; false where the needs cannot be
// met, or heads that have to be used cannot be.
func (f *filling) solve() ([][]int, bool) {
	n := &flow.Network{}
	must := make([]flow.Node, len(f.must))
	hub := make([]flow.Node, len(f.must))
	for k := range f.must {
		hub[k] = n.AddNode(0)
		must[k] = n.AddNode(f.must[k])
		n.AddArc(must[k], hub[k], f.must[k])
		if f.may[k] > 0 {
			may := n.AddNode(f.may[k])
			n.SetEntryCost(may, spareCost)
			n.AddArc(may, hub[k], f.may[k])
		}
	}
	asks, arcs, total := make([]flow.Ask, len(f.need)), make([][]flow.Arc, len(f.need)), 0
	for i, need := range f.need {
		asks[i] = flow.Ask{To: n.AddNode(0), Amount: need}
		arcs[i] = make([]flow.Arc, len(hub))
		total += need
		for k := range hub {
			if f.cost[i][k] == barred {
				continue
			}
			arcs[i][k] = n.AddArc(hub[k], asks[i].To, f.roomFor(i, k))
			n.SetCost(arcs[i][k], f.cost[i][k])
		}
	}
	if brought, _ := n.Cheapest(asks); brought < total {
		return nil, false
	}
	for _, v := range must {
		if n.Supply(v) > 0 {
			return nil, false
		}
	}
	slots := make([][]int, len(f.need))
	for i := range slots {
		slots[i] = make([]int, len(hub))
		for k := range hub {
			if f.cost[i][k] != barred {
				slots[i][k] = n.Flow(arcs[i][k])
			}
		}
	}
	return slots, true
}

func (f *filling) roomFor(slot, variety int) int {
	if f.room == nil {
		return flow.Unlimited
	}
	return f.room[slot][variety]
}
