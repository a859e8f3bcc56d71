package judge

import "slices"

// graph is a residual network: arc a runs back as a^1, and room is what can
// still pass.
type graph struct {
	leave [][]int
	to    []int
	room  []int
	cost  []int
	work  *search // shared by copies, which are therefore used one at a time
}

// search is the memory of one search: the arc by which each node goes on,
// counted from 1, and the nodes reached.
type search struct{ by, queue []int }

func newGraph(nodes int) *graph { return &graph{leave: make([][]int, nodes), work: &search{}} }

func (g *graph) arc(from, to, room, cost int) int {
	a := len(g.to)
	g.to = append(g.to, to, from)
	g.room = append(g.room, room, 0)
	g.cost = append(g.cost, cost, -cost)
	g.leave[from] = append(g.leave[from], a)
	g.leave[to] = append(g.leave[to], a+1)
	return a
}

// copy shares the shape and has room of its own.
func (g *graph) copy() *graph {
	c := *g
	c.room = slices.Clone(g.room)
	return &c
}

// most adds shortest augmenting paths until there is none (J. Edmonds and
// R. M. Karp, "Theoretical improvements in algorithmic efficiency for network
// flow problems", 1972) and returns what they added.
func (g *graph) most(source, sink int) (added int) {
	for {
		path := g.shortest(source, sink, func(int, int) bool { return true })
		if path == nil {
			return added
		}
		added += g.augment(path)
	}
}

// shortest is a path of fewest open arcs among those allowed, or nil. It looks
// back from the sink, where one more case opens few arcs.
func (g *graph) shortest(source, sink int, allowed func(from, arc int) bool) (path []int) {
	w := g.work
	w.by = slices.Grow(w.by[:0], len(g.leave))[:len(g.leave)]
	clear(w.by)
	by, queue := w.by, append(w.queue[:0], sink)
	for next := 0; next < len(queue) && by[source] == 0; next++ {
		v := queue[next]
		for _, back := range g.leave[v] {
			u, a := g.to[back], back^1
			if g.room[a] > 0 && u != sink && by[u] == 0 && allowed(u, a) {
				by[u] = a + 1
				queue = append(queue, u)
			}
		}
	}
	w.queue = queue
	if by[source] == 0 {
		return nil
	}
	for u := source; u != sink; u = g.to[by[u]-1] {
		path = append(path, by[u]-1)
	}
	return path
}

func (g *graph) augment(path []int) int {
	push := plenty
	for _, a := range path {
		push = min(push, g.room[a])
	}
	for _, a := range path {
		g.room[a] -= push
		g.room[a^1] += push
	}
	return push
}

// cheapest adds flow along cheapest paths until none is left, which keeps the
// flow cheapest for its amount at every step (R. G. Busacker and P. J. Gowen,
// 1960). The network must begin without a cycle of negative cost.
func (g *graph) cheapest(source, sink int) (amount, cost int) {
	for {
		far := g.distances(source)
		if far[sink] == unreached {
			return amount, cost
		}
		onCheapest := func(from, a int) bool { return far[from]+g.cost[a] == far[g.to[a]] }
		for {
			path := g.shortest(source, sink, onCheapest)
			if path == nil {
				break
			}
			push := g.augment(path)
			amount += push
			cost += push * far[sink]
		}
	}
}

const unreached = int(^uint(0) >> 2)

// distances are the costs of cheapest open paths (R. Bellman, 1958), with a
// queue of nodes whose distance fell.
func (g *graph) distances(source int) []int {
	far := slices.Repeat([]int{unreached}, len(g.leave))
	waiting := make([]bool, len(g.leave))
	far[source] = 0
	queue := []int{source}
	for len(queue) > 0 {
		u := queue[0]
		queue = queue[1:]
		waiting[u] = false
		for _, a := range g.leave[u] {
			v := g.to[a]
			if d := far[u] + g.cost[a]; g.room[a] > 0 && d < far[v] {
				far[v] = d
				if !waiting[v] {
					waiting[v] = true
					queue = append(queue, v)
				}
			}
		}
	}
	return far
}
