package flow

import (
	"testing"

	"pgregory.net/rapid"
)

// Nodes and arcs that were added since a mark are taken back with all that was
// sent through them, newest first, and what is added then finds the network as it
// was.
func TestUndoTakesBackWhatWasAdded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		supplies, arcs := someNetwork(t)
		n := build(supplies, arcs)
		n.Fill(Node(rapid.IntRange(0, len(supplies)-1).Draw(t, "first")), rapid.IntRange(0, 6).Draw(t, "amount"))
		before := n.Clone()
		m := n.Mark()
		for range rapid.IntRange(1, 4).Draw(t, "turns") {
			enlarge(t, n)
			n.Fill(Node(rapid.IntRange(0, n.Nodes()-1).Draw(t, "goal")), rapid.IntRange(1, 9).Draw(t, "amount"))
		}
		n.Undo(m)
		if n.Nodes() != before.Nodes() || n.Arcs() != before.Arcs() {
			t.Fatalf("%d nodes and %d arcs after an undo, want %d and %d", n.Nodes(), n.Arcs(), before.Nodes(), before.Arcs())
		}
		same(t, before, n)
		v := n.AddNode(3)
		if w := before.AddNode(3); v != w {
			t.Fatalf("the next node is %d, want %d", v, w)
		}
		goal := Node(rapid.IntRange(0, len(supplies)-1).Draw(t, "goal after"))
		if a, b := n.AddArc(v, goal, 2), before.AddArc(v, goal, 2); a != b {
			t.Fatalf("the next arc is %d, want %d", a, b)
		}
		if got, want := n.Fill(goal, 12), before.forget().Fill(goal, 12); got != want {
			t.Fatalf("brought %d after an undo, want %d", got, want)
		}
	})
}

// enlarge adds a node and some arcs, from it or to it or beside it.
func enlarge(t *rapid.T, n *Network) {
	added := n.AddNode(rapid.IntRange(0, 4).Draw(t, "supply"))
	for range rapid.IntRange(0, 3).Draw(t, "arcs") {
		from, to := added, Node(rapid.IntRange(0, int(added)-1).Draw(t, "other"))
		if rapid.Bool().Draw(t, "turned") {
			from, to = to, from
		}
		n.AddArc(from, to, rapid.IntRange(0, 5).Draw(t, "capacity"))
	}
	if n.Arcs() > 0 {
		n.Raise(Arc(rapid.IntRange(0, n.Arcs()-1).Draw(t, "raised")), rapid.IntRange(0, 3).Draw(t, "by"))
	}
}
