package flow

// Fill brings up to amount more units to a node and says how many it could.
// They are the most that can be brought beside all that was brought before:
// fewer than asked only when no way is left, and then the node is closed, and
// the closed nodes are a minimum cut.
func (n *Network) Fill(to Node, amount int) (brought int) {
	for brought < amount {
		from, found := n.search(to)
		if !found {
			n.closeSeen()
			break
		}
		brought += n.send(from, to, amount-brought)
	}
	return brought
}

// search looks for the nearest supply with a way to the goal, breadth first
// and backwards from it. Every node seen has a way to the goal; a node that is
// closed has none to any supply and is left out.
func (n *Network) search(goal Node) (from Node, found bool) {
	n.round++
	n.queue = n.queue[:0]
	if n.isClosed(goal) {
		return 0, false
	}
	n.nodes[goal].seen = n.round
	if n.nodes[goal].supply > 0 {
		return goal, true
	}
	n.queue = append(n.queue, goal)
	for i := 0; i < len(n.queue); i++ {
		for h := n.nodes[n.queue[i]].first; h != none; h = n.halves[h].next {
			u := n.halves[h].to
			if n.halves[h^1].room == 0 || n.nodes[u].seen == n.round || n.isClosed(u) {
				continue
			}
			n.nodes[u].seen, n.nodes[u].via = n.round, h^1
			if n.nodes[u].supply > 0 {
				return u, true
			}
			n.queue = append(n.queue, u)
		}
	}
	return 0, false
}

// send moves as much as the way found by search carries, up to most.
func (n *Network) send(from, to Node, most int) int {
	amount := min(most, n.nodes[from].supply)
	for v := from; v != to; v = n.halves[n.nodes[v].via].to {
		amount = min(amount, n.halves[n.nodes[v].via].room)
	}
	n.take(from, amount)
	for v := from; v != to; v = n.halves[n.nodes[v].via].to {
		n.push(n.nodes[v].via, amount)
	}
	return amount
}

func (n *Network) take(v Node, amount int) {
	n.nodes[v].supply -= amount
	n.note(step{kind: taken, at: int32(v), amount: amount})
}

func (n *Network) push(h int32, amount int) {
	n.halves[h].room -= amount
	n.halves[h^1].room += amount
	n.note(step{kind: pushed, at: h, amount: amount})
}

// WaysTo looks backwards from some goals for other nodes, and says of each
// whether a further unit there could be passed on to one of the goals. It
// looks no further once it has found them all.
func (n *Network) WaysTo(goals, about []Node) []bool {
	n.round++
	n.queue = n.queue[:0]
	left := len(about)
	come := func(v Node) {
		n.nodes[v].seen = n.round
		n.queue = append(n.queue, v)
		for _, a := range about {
			if a == v {
				left--
			}
		}
	}
	for _, g := range goals {
		if n.nodes[g].seen != n.round {
			come(g)
		}
	}
	for i := 0; i < len(n.queue) && left > 0; i++ {
		for h := n.nodes[n.queue[i]].first; h != none; h = n.halves[h].next {
			if u := n.halves[h].to; n.halves[h^1].room > 0 && n.nodes[u].seen != n.round {
				come(u)
			}
		}
	}
	found := make([]bool, len(about))
	for i, v := range about {
		found[i] = n.nodes[v].seen == n.round
	}
	return found
}
