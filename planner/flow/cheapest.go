package flow

import "math"

// Ask is so many units to be brought to a node.
type Ask struct {
	To     Node
	Amount int
}

// SetCost gives an arc a cost a unit, from 0.
func (n *Network) SetCost(a Arc, cost int) {
	for len(n.cost) <= int(a) {
		n.cost = append(n.cost, 0)
	}
	n.cost[a] = int32(cost)
}

// SetEntryCost gives a node's supply a cost a unit, from 0.
func (n *Network) SetEntryCost(v Node, cost int) { n.nodes[v].entry = int32(cost) }

// Cheapest brings all that is asked, or as much of it as can be, through a
// network in which nothing was sent before, at the least total cost, and says
// how much it brought and what that cost.
//
// It goes from one length of way to the next greater: find how far the nearest
// supply is from what is still unmet (Dijkstra over prices), then send along
// ways of that length until there is none. Prices keep every half with room at
// a cost of 0 or more, counted from end to end, which is what makes the result
// cheapest. With N nodes, A arcs, L different lengths and W ways sent along,
// this takes O(L A log N + W A) at most. In the networks of farms L is about 10
// and a way is found after a look at few arcs.
func (n *Network) Cheapest(asks []Ask) (brought, cost int) {
	c := &cheapest{
		Network: n,
		price:   make([]int, len(n.nodes)),
		dist:    make([]int, len(n.nodes)),
		need:    make([]int, len(n.nodes)),
	}
	for _, a := range asks {
		if c.need[a.To] == 0 && a.Amount > 0 {
			c.unmet = append(c.unmet, a.To)
		}
		c.need[a.To] += a.Amount
	}
	length := 0
	for len(c.unmet) > 0 {
		further, found := c.nearest()
		if !found {
			break
		}
		length += further
		got := c.sendNearest()
		brought, cost = brought+got, cost+got*length
	}
	c.reopen() // closed to ways of one length is not closed
	return brought, cost
}

// cheapest is one run of Cheapest.
//
// Invariant: a half from u to v with room costs cost + price[v] - price[u] >= 0,
// and a supply that is left costs entry + price >= 0. Nodes with unmet need all
// have one price, minus the length reached.
type cheapest struct {
	*Network
	price []int
	need  []int
	unmet []Node
	dist  []int // from a node to the nearest unmet need; valid where seen this round
	heap  []far
}

// far is a node on the heap and its distance.
type far struct {
	dist int
	node Node
}

// reduced is the cost of a half counted from end to end, never below 0.
func (c *cheapest) reduced(h int32) int {
	return c.costOf(h) + c.price[c.halves[h].to] - c.price[c.halves[h^1].to]
}

// nearest finds how much further than before the nearest supply lies from the
// unmet needs, and lowers the prices by it, so that ways of that length cost 0.
// (E. W. Dijkstra, A note on two problems in connexion with graphs, 1959.)
func (c *cheapest) nearest() (further int, found bool) {
	c.round++
	c.queue, c.heap = c.queue[:0], c.heap[:0]
	further = math.MaxInt
	for _, v := range c.unmet {
		c.reach(v, 0, &further)
	}
	for len(c.heap) > 0 && c.heap[0].dist < further {
		v := c.pop()
		if v.dist > c.dist[v.node] {
			continue
		}
		for h := c.nodes[v.node].first; h != none; h = c.halves[h].next {
			if c.halves[h^1].room > 0 {
				c.reach(c.halves[h].to, v.dist+c.reduced(h^1), &further)
			}
		}
	}
	if further == math.MaxInt {
		return 0, false
	}
	for _, v := range c.queue {
		if c.dist[v] < further {
			c.price[v] += c.dist[v] - further
		}
	}
	return further, true
}

// reach notes a way from v to an unmet need, if it is the shortest so far.
func (c *cheapest) reach(v Node, dist int, further *int) {
	switch {
	case c.nodes[v].seen != c.round:
		c.nodes[v].seen = c.round
		c.queue = append(c.queue, v)
	case c.dist[v] <= dist:
		return
	}
	c.dist[v] = dist
	if c.nodes[v].supply > 0 {
		*further = min(*further, dist+int(c.nodes[v].entry)+c.price[v])
	}
	if dist < *further {
		c.pushHeap(far{dist, v})
	}
}

// sendNearest sends all that ways of the length reached can carry: the ways
// that cost 0 over prices. A node found without such a way is closed until the
// next length, as for Fill: what is sent at one length turns ways that cost 0
// round and opens no other.
func (c *cheapest) sendNearest() (sent int) {
	c.reopen()
	still := c.unmet[:0]
	for _, v := range c.unmet {
		for c.need[v] > 0 {
			from, found := c.searchNearest(v)
			if !found {
				c.closeSeen()
				still = append(still, v)
				break
			}
			got := c.send(from, v, c.need[v])
			c.need[v] -= got
			sent += got
		}
	}
	c.unmet = still
	return sent
}

// searchNearest looks for a supply with a way to the goal that costs 0 over
// prices, breadth first and backwards from it.
func (c *cheapest) searchNearest(goal Node) (from Node, found bool) {
	c.round++
	c.queue = c.queue[:0]
	if c.isClosed(goal) {
		return 0, false
	}
	c.nodes[goal].seen = c.round
	if c.isNearest(goal) {
		return goal, true
	}
	c.queue = append(c.queue, goal)
	for i := 0; i < len(c.queue); i++ {
		v := c.queue[i]
		for h := c.nodes[v].first; h != none; h = c.halves[h].next {
			u := c.halves[h].to
			if c.halves[h^1].room == 0 || c.nodes[u].seen == c.round || c.isClosed(u) || c.reduced(h^1) != 0 {
				continue
			}
			c.nodes[u].seen, c.nodes[u].via = c.round, h^1
			if c.isNearest(u) {
				return u, true
			}
			c.queue = append(c.queue, u)
		}
	}
	return 0, false
}

// isNearest says whether a node has supply left as near as the length reached.
func (c *cheapest) isNearest(v Node) bool {
	return c.nodes[v].supply > 0 && int(c.nodes[v].entry)+c.price[v] == 0
}

func (c *cheapest) pushHeap(f far) {
	c.heap = append(c.heap, f)
	for i := len(c.heap) - 1; i > 0; {
		up := (i - 1) / 2
		if c.heap[up].dist <= c.heap[i].dist {
			break
		}
		c.heap[up], c.heap[i] = c.heap[i], c.heap[up]
		i = up
	}
}

func (c *cheapest) pop() far {
	top, last := c.heap[0], len(c.heap)-1
	c.heap[0] = c.heap[last]
	c.heap = c.heap[:last]
	for i := 0; ; {
		least := 2*i + 1
		if least >= last {
			break
		}
		if least+1 < last && c.heap[least+1].dist < c.heap[least].dist {
			least++
		}
		if c.heap[i].dist <= c.heap[least].dist {
			break
		}
		c.heap[i], c.heap[least] = c.heap[least], c.heap[i]
		i = least
	}
	return top
}
