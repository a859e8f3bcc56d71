package flow

// A node is closed when no way leads to it from any supply. What is sent later
// cannot open it again: every way starts at a supply, outside the closed nodes,
// and to touch one of them it would first have to lead into them. Only more
// room on an arc leading into the closed nodes can; then all of them are
// looked upon as open (a new opening begins) until they are found closed anew.

// Closed says whether a node is known to be beyond reach of every supply.
func (n *Network) Closed(v Node) bool { return n.isClosed(v) }

// Searches is how many searches were made so far, for ClosedSince.
func (n *Network) Searches() int32 { return n.round }

// ClosedSince says whether a node was found closed by one of the searches made
// after so many: then it has a way to the goal of a Fill that could not bring
// all since then.
func (n *Network) ClosedSince(v Node, searches int32) bool {
	return n.isClosed(v) && n.nodes[v].shut > searches
}

func (n *Network) isClosed(v Node) bool { return n.nodes[v].closed == n.open }

// closeSeen closes all that the last search came through in vain.
func (n *Network) closeSeen() {
	for _, v := range n.queue {
		n.shut(v)
	}
}

func (n *Network) shut(v Node) {
	n.note(step{kind: closed, at: int32(v), amount: int(n.nodes[v].closed)})
	n.nodes[v].closed, n.nodes[v].shut = n.open, n.round
}

func (n *Network) reopen() {
	n.note(step{kind: reopened, at: n.open})
	n.last++
	n.open = n.last
}
