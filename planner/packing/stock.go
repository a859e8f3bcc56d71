package packing

import "headtally/planner/flow"

// stock is the heads of all lots, and which of them orders have taken by
// variety. Which lot serves whom stays open: it can always be changed to make
// room, so heads can be taken whenever there is any way to serve all.
type stock struct {
	net   *flow.Network
	calls map[*order][]call // by the makeup's varieties
}

// call is where heads of one variety are brought to for an order.
type call struct {
	to   flow.Node
	lots []int // that can serve it
	pool int   // calls of one pool are served by the same lots
}

func (w *bench) newStock() *stock {
	s := &stock{net: &flow.Network{}, calls: map[*order][]call{}}
	nodes, ofVariety := make([]flow.Node, len(w.Lots)), make([][]int, len(w.Varieties))
	for i := range w.Lots {
		nodes[i] = s.net.AddNode(w.Lots[i].Heads)
		ofVariety[w.Of[i]] = append(ofVariety[w.Of[i]], i)
	}
	pools := map[string]int{}
	for _, o := range w.orders {
		calls := make([]call, len(o.rules.varieties))
		for k, v := range o.rules.varieties {
			c := call{to: s.net.AddNode(0)}
			for _, lot := range ofVariety[v] {
				if o.rules.top[k] > 0 && w.canServe(lot, o) {
					c.lots = append(c.lots, lot)
					s.net.AddArc(nodes[lot], c.to, flow.Unlimited)
				}
			}
			c.pool = poolOf(pools, c.lots)
			calls[k] = c
		}
		s.calls[o] = calls
	}
	return s
}

// copy is a stock of its own with the same lots and calls.
func (s *stock) copy() *stock {
	return &stock{net: s.net.Clone(), calls: s.calls}
}

// poolOf numbers the sets of lots that serve the same calls.
func poolOf(pools map[string]int, lots []int) int {
	key := keyOf(lots)
	n, known := pools[key]
	if !known {
		n = len(pools)
		pools[key] = n
	}
	return n
}

// take takes heads for an order beside all that is taken; false, and some are
// taken, where there are too few.
func (s *stock) take(o *order, heads recipe) bool {
	for k, n := range heads {
		if s.net.Fill(s.calls[o][k].to, n) < n {
			return false
		}
	}
	return true
}

func (s *stock) giveBack(o *order, heads recipe) {
	for k, n := range heads {
		s.net.Release(s.calls[o][k].to, n)
	}
}

// most is how many heads of a variety an order could take, up to a number.
func (s *stock) most(o *order, k, upTo int) int {
	mark := s.net.Mark()
	defer s.net.Undo(mark)
	return s.net.Fill(s.calls[o][k].to, upTo)
}

// mostOfAll is how many heads of a variety orders could take together, each up
// to its own number.
func (s *stock) mostOfAll(orders []*order, k int, upTo []int) (sum int) {
	mark := s.net.Mark()
	defer s.net.Undo(mark)
	for i, o := range orders {
		sum += s.net.Fill(s.calls[o][k].to, upTo[i])
	}
	return sum
}
