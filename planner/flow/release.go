package flow

// Release takes back units that were brought to a node: they return to the
// supplies they came from, along arcs that carry them. What else was brought
// stays. The arcs of the network must form no circuit, and so many units must
// have been brought.
func (n *Network) Release(from Node, amount int) {
	for amount > 0 {
		back, least := n.wayBack(from, amount)
		supply := from
		for _, h := range back {
			n.push(h, least)
			supply = n.halves[h].to
		}
		n.take(supply, -least)
		amount -= least
	}
	n.reopen()
}

// wayBack is a way against what was sent, from a node to a supply, and how
// much of the amount it carries.
func (n *Network) wayBack(v Node, amount int) (back []int32, least int) {
	least = amount
	for h := n.carried(v); h != none; h = n.carried(v) {
		back = append(back, h)
		least = min(least, n.halves[h].room)
		v = n.halves[h].to
	}
	return back, least
}

// carried is the reverse of an arc that brings units into a node.
func (n *Network) carried(v Node) int32 {
	for h := n.nodes[v].first; h != none; h = n.halves[h].next {
		if h&1 == 1 && n.halves[h].room > 0 {
			return h
		}
	}
	return none
}
