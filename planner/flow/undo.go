package flow

// step is one thing done to a network, with what is needed to take it back.
type step struct {
	amount int   // units, or the opening in which the node was closed before
	at     int32 // the half, node, arc or opening
	kind   kind
}

type kind uint8

const (
	pushed kind = iota
	taken
	raised
	nodeAdded
	arcAdded
	closed
	reopened
)

// Mark is a moment to which a network can be taken back. Marks are set one
// inside the other: the last one set is undone or kept first.
type Mark int

// Mark sets a mark.
func (n *Network) Mark() Mark {
	n.marks++
	return Mark(len(n.past))
}

// Keep lets stand what was done since the mark.
func (n *Network) Keep(Mark) {
	if n.marks--; n.marks == 0 {
		n.past = n.past[:0]
	}
}

// Undo takes back all that was done since the mark. Nodes found closed before
// anything was sent stay closed: to raise an arc or to add one can only have
// opened ways.
func (n *Network) Undo(m Mark) {
	n.marks--
	since := n.past[m:]
	for i := len(since) - 1; i >= 0; i-- {
		n.takeBack(since[i])
	}
	n.past = n.past[:m]
	for _, s := range since {
		if s.kind == pushed || s.kind == taken {
			break
		}
		if s.kind == closed && int(s.at) < len(n.nodes) {
			n.shut(Node(s.at))
		}
	}
}

func (n *Network) takeBack(s step) {
	switch s.kind {
	case pushed:
		n.halves[s.at].room += s.amount
		n.halves[s.at^1].room -= s.amount
	case taken:
		n.nodes[s.at].supply += s.amount
	case raised:
		n.halves[2*s.at].room -= s.amount
	case nodeAdded:
		n.nodes = n.nodes[:len(n.nodes)-1]
	case arcAdded:
		n.dropLastArc()
	case closed:
		n.nodes[s.at].closed = int32(s.amount)
	case reopened:
		n.open = s.at
	}
}

// dropLastArc removes the newest arc, whose halves head the lists of its ends.
func (n *Network) dropLastArc() {
	h := len(n.halves) - 2
	n.nodes[n.halves[h+1].to].first = n.halves[h].next
	n.nodes[n.halves[h].to].first = n.halves[h+1].next
	n.halves = n.halves[:h]
}

// note remembers a step while a mark is set.
func (n *Network) note(s step) {
	if n.marks > 0 {
		n.past = append(n.past, s)
	}
}
