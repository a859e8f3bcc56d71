package flow

import (
	"math"
	"slices"
)

// Node is a node of a network; nodes are numbered from 0 in the order of AddNode.
type Node int32

// Arc is an arc of a network, as AddArc gave it.
type Arc int32

// Unlimited is the capacity of an arc that limits nothing.
const Unlimited = math.MaxInt / 4

// none ends a list of half arcs.
const none = -1

// half is one direction of an arc. Arc a is half 2a, its reverse half 2a+1, so
// that the other direction of a half h is h^1. The room of the reverse is what
// the arc carries: so much can be taken back.
type half struct {
	room int
	to   Node
	next int32 // the next half leaving the same node
}

// node keeps all that a search looks at in one place of memory.
type node struct {
	supply int   // units that can still be taken here
	first  int32 // the first half leaving this node
	seen   int32 // the last search that came through it
	via    int32 // the half on which that search reached it, towards the goal
	closed int32 // the opening in which the node was closed; see closed.go
	shut   int32 // the search that closed it last
	entry  int32 // cost of taking a unit of the supply
}

// Network is a network and what has been sent through it.
type Network struct {
	nodes  []node
	halves []half
	cost   []int32 // by arc; shorter than the arcs when the rest costs nothing

	past  []step // what was done since the first mark; see undo.go
	marks int    // marks that are set
	open  int32  // the present opening; see closed.go
	last  int32  // the newest opening there ever was

	round int32 // searches so far
	queue []Node
}

// Grow makes room for so many nodes and arcs more, for speed alone.
func (n *Network) Grow(nodes, arcs int) {
	n.nodes = slices.Grow(n.nodes, nodes)
	n.halves = slices.Grow(n.halves, 2*arcs)
	n.cost = slices.Grow(n.cost, arcs)
}

// AddNode adds a node that holds so much supply.
func (n *Network) AddNode(supply int) Node {
	n.nodes = append(n.nodes, node{supply: supply, first: none, closed: none})
	n.note(step{kind: nodeAdded})
	return Node(len(n.nodes) - 1)
}

// AddArc adds an arc between two different nodes.
func (n *Network) AddArc(from, to Node, capacity int) Arc {
	if n.isClosed(to) && !n.isClosed(from) && capacity > 0 {
		n.reopen()
	}
	h := int32(len(n.halves))
	n.halves = append(n.halves,
		half{room: capacity, to: to, next: n.nodes[from].first},
		half{to: from, next: n.nodes[to].first})
	n.nodes[from].first, n.nodes[to].first = h, h+1
	n.note(step{kind: arcAdded})
	return Arc(h / 2)
}

// Raise raises an arc's capacity.
func (n *Network) Raise(a Arc, by int) {
	h := &n.halves[2*a]
	if by > 0 && n.isClosed(h.to) && !n.isClosed(n.halves[2*a+1].to) {
		n.reopen()
	}
	h.room += by
	n.note(step{kind: raised, at: int32(a), amount: by})
}

// Flow is how much an arc carries.
func (n *Network) Flow(a Arc) int { return n.halves[2*a+1].room }

// Room is how much more an arc could carry.
func (n *Network) Room(a Arc) int { return n.halves[2*a].room }

// Ends is the nodes an arc leads from and to.
func (n *Network) Ends(a Arc) (from, to Node) { return n.halves[2*a+1].to, n.halves[2*a].to }

// Supply is how much can still be taken from a node's supply.
func (n *Network) Supply(v Node) int { return n.nodes[v].supply }

// SetSupply gives a node another supply, before anything has been sent.
func (n *Network) SetSupply(v Node, supply int) { n.nodes[v].supply = supply }

// Nodes is how many nodes there are.
func (n *Network) Nodes() int { return len(n.nodes) }

// Arcs is how many arcs there are.
func (n *Network) Arcs() int { return len(n.halves) / 2 }

// Follow adds the nodes and arcs by which the network that this one was cloned
// from has grown since.
func (n *Network) Follow(grown *Network) {
	for v := len(n.nodes); v < len(grown.nodes); v++ {
		n.SetEntryCost(n.AddNode(grown.nodes[v].supply), int(grown.nodes[v].entry))
	}
	for a := Arc(n.Arcs()); int(a) < grown.Arcs(); a++ {
		from, to := grown.Ends(a)
		n.SetCost(n.AddArc(from, to, grown.Room(a)), grown.costOf(2*int32(a)))
	}
}

// Clone is a network of its own that stands as this one does, without a past.
// It has room to grow by an eighth.
func (n *Network) Clone() *Network {
	return &Network{
		nodes:  append(make([]node, 0, len(n.nodes)*9/8), n.nodes...),
		halves: append(make([]half, 0, len(n.halves)*9/8), n.halves...),
		cost:   append(make([]int32, 0, len(n.cost)*9/8), n.cost...),
		open:   n.open,
		last:   n.last,
		round:  n.round,
	}
}

// costOf is what a unit costs on a half; taking one back gives its cost back.
func (n *Network) costOf(h int32) int {
	if int(h/2) >= len(n.cost) {
		return 0
	}
	if h&1 == 1 {
		return -int(n.cost[h/2])
	}
	return int(n.cost[h/2])
}
