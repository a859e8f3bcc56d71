package flow_test

import (
	"testing"

	"pgregory.net/rapid"

	"headtally/planner/flow"
)

// What is released can be brought again, and in the end all supplies are back.
func TestReleaseGivesSuppliesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := &flow.Network{}
		var lots, hubs, asks []flow.Node
		held := 0
		for range rapid.IntRange(1, 4).Draw(t, "lots") {
			supply := rapid.IntRange(0, 9).Draw(t, "supply")
			lots, held = append(lots, n.AddNode(supply)), held+supply
		}
		link := func(from []flow.Node) flow.Node {
			to := n.AddNode(0)
			for _, v := range from {
				if rapid.Bool().Draw(t, "linked") {
					n.AddArc(v, to, rapid.IntRange(0, 9).Draw(t, "capacity"))
				}
			}
			return to
		}
		for range 3 {
			hubs = append(hubs, link(lots))
		}
		brought := make([]int, 3)
		for i := range brought {
			asks = append(asks, link(hubs))
			brought[i] = n.Fill(asks[i], rapid.IntRange(0, 12).Draw(t, "asked"))
		}
		for i, to := range asks {
			some := rapid.IntRange(0, brought[i]).Draw(t, "released")
			n.Release(to, some)
			if again := n.Fill(to, some); again != some {
				t.Fatalf("released %d, brought %d again", some, again)
			}
		}
		for i, to := range asks {
			n.Release(to, brought[i])
		}
		left := 0
		for _, v := range lots {
			left += n.Supply(v)
		}
		if left != held {
			t.Fatalf("%d of %d are back", left, held)
		}
		for a := range n.Arcs() {
			if n.Flow(flow.Arc(a)) != 0 {
				t.Fatalf("arc %d still carries %d", a, n.Flow(flow.Arc(a)))
			}
		}
	})
}
