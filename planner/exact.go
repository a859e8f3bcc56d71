package planner

import (
	"slices"

	"headtally/domain/planning"
	"headtally/planner/flow"
)

// exact is a product of the document that holds one recipe and no other.
type exact struct {
	code     string
	product  *planning.Product // the farm's
	contents []planning.VarietyHeads
	recipe   bool    // typed over for the day; else what packed cases hold
	slots    [][]int // heads of each variety of the contents in each of the farm's slots
	places   int     // substitution in a case, by the farm's slots
}

func sameHeads(a, b []planning.VarietyHeads) bool {
	if len(a) != len(b) {
		return false
	}
	return !slices.ContainsFunc(a, func(c planning.VarietyHeads) bool { return !slices.Contains(b, c) })
}

func allHeads(contents []planning.VarietyHeads) (n int) {
	for _, c := range contents {
		n += c.Heads
	}
	return n
}

func slotHeads(p *planning.Product) (n int) {
	for _, s := range p.Slots {
		n += s.Heads
	}
	return n
}

// placed puts the heads of one case into a product's slots with the least
// substitution, and says how much that is. A variety that a slot does not list
// stands behind all that it lists; heads beyond the slots' are in the last.
func placed(p *planning.Product, contents []planning.VarietyHeads) (slots [][]int, places int) {
	var n flow.Network
	var asks []flow.Ask
	arcs := make([][]flow.Arc, len(contents))
	from := make([]flow.Node, len(contents))
	for i, c := range contents {
		from[i] = n.AddNode(c.Heads)
	}
	for _, s := range p.Slots {
		to := n.AddNode(0)
		asks = append(asks, flow.Ask{To: to, Amount: s.Heads})
		for i, c := range contents {
			arc := n.AddArc(from[i], to, c.Heads)
			n.SetCost(arc, placeIn(&s, c.Variety))
			arcs[i] = append(arcs[i], arc)
		}
	}
	_, places = n.Cheapest(asks)
	for i, c := range contents {
		in := make([]int, len(p.Slots))
		left := c.Heads
		for s, arc := range arcs[i] {
			in[s] = n.Flow(arc)
			left -= in[s]
		}
		in[len(in)-1] += left
		slots = append(slots, in)
	}
	return slots, places
}

func placeIn(s *planning.Slot, variety string) int {
	switch place := slices.Index(s.Accept, variety); {
	case place < 0:
		return len(s.Accept)
	case s.GrowersChoice:
		return 0
	default:
		return place
	}
}
