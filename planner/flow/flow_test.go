package flow

import (
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// given is an arc of a test network.
type given struct{ from, to, capacity, cost int }

// build makes a network of the arcs, with so much supply at each node.
func build(supplies []int, arcs []given) *Network {
	n := &Network{}
	for _, s := range supplies {
		n.AddNode(s)
	}
	for _, a := range arcs {
		n.SetCost(n.AddArc(Node(a.from), Node(a.to), a.capacity), a.cost)
	}
	return n
}

// verify checks the engine's conditions without its help: capacities kept and
// every node balanced, for what was brought to each node.
func verify(t testing.TB, n *Network, supplies []int, arcs []given, brought map[Node]int) {
	t.Helper()
	balance := make([]int, n.Nodes())
	for v := range balance {
		balance[v] = supplies[v] - n.Supply(Node(v)) - brought[Node(v)]
		if n.Supply(Node(v)) < 0 {
			t.Errorf("node %d has given more than its supply", v)
		}
	}
	for i, a := range arcs {
		carries := n.Flow(Arc(i))
		if carries < 0 || carries > a.capacity {
			t.Errorf("arc %d of capacity %d carries %d", i, a.capacity, carries)
		}
		balance[a.from] -= carries
		balance[a.to] += carries
	}
	if i := slices.IndexFunc(balance, func(b int) bool { return b != 0 }); i >= 0 {
		t.Errorf("node %d is out of balance by %d", i, balance[i])
	}
}

// cutOf is the capacity into the closed nodes, their own supply included.
func cutOf(n *Network, supplies []int, arcs []given) (capacity int) {
	for v, s := range supplies {
		if n.Closed(Node(v)) {
			capacity += s
		}
	}
	for _, a := range arcs {
		if n.Closed(Node(a.to)) && !n.Closed(Node(a.from)) {
			capacity += a.capacity
		}
	}
	return capacity
}

func TestFillIsTheTextbooksMaximumFlow(t *testing.T) {
	const lots = 1000
	cases := []struct {
		name string
		n    int
		arcs []given
		want int
	}{
		// T. H. Cormen, C. E. Leiserson, R. L. Rivest, C. Stein, Introduction to
		// Algorithms, 2nd edition 2001, section 26.1: 23.
		{"Cormen et al.", 6, []given{{0, 1, 16, 0}, {0, 2, 13, 0}, {1, 2, 10, 0}, {1, 3, 12, 0}, {2, 1, 4, 0},
			{2, 4, 14, 0}, {3, 2, 9, 0}, {3, 5, 20, 0}, {4, 3, 7, 0}, {4, 5, 4, 0}}, 23},
		// google/or-tools, examples/dotnet/csflow.cs: total flow 10.
		{"OR-Tools example", 6, []given{{0, 1, 5, 0}, {0, 2, 8, 0}, {0, 3, 5, 0}, {0, 4, 3, 0}, {1, 3, 4, 0},
			{2, 4, 5, 0}, {3, 4, 6, 0}, {3, 5, 6, 0}, {4, 5, 4, 0}}, 10},
		// SciPy, documentation of scipy.sparse.csgraph.maximum_flow: 5 and 3.
		{"one arc", 2, []given{{0, 1, 5, 0}}, 5},
		{"two arcs", 3, []given{{0, 1, 5, 0}, {1, 2, 3, 0}}, 3},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			supplies := make([]int, c.n)
			supplies[0] = lots
			n := build(supplies, c.arcs)
			goal := Node(c.n - 1)
			got := n.Fill(goal, lots)
			if got != c.want {
				t.Errorf("brought %d, want %d", got, c.want)
			}
			verify(t, n, supplies, c.arcs, map[Node]int{goal: got})
			if cut := cutOf(n, supplies, c.arcs); cut != c.want {
				t.Errorf("the closed nodes are a cut of %d, want %d", cut, c.want)
			}
		})
	}
}

// transport makes a transportation problem: every supplier to every customer.
func transport(supply, demand []int, cost [][]int) (supplies []int, arcs []given, asks []Ask) {
	supplies = append(slices.Clone(supply), make([]int, len(demand))...)
	for i := range supply {
		for j := range demand {
			arcs = append(arcs, given{i, len(supply) + j, Unlimited, cost[i][j]})
		}
	}
	for j, d := range demand {
		asks = append(asks, Ask{Node(len(supply) + j), d})
	}
	return supplies, arcs, asks
}

func TestCheapestIsTheTextbooksOptimum(t *testing.T) {
	ones := []int{1, 1, 1, 1}
	far := func(rows, columns int, but map[[2]int]int) [][]int { // costs in tenths
		cost := make([][]int, rows)
		for i := range cost {
			cost[i] = make([]int, columns)
			for j := range cost[i] {
				cost[i][j] = 100_000
				if c, near := but[[2]int{i + 1, j + 1}]; near {
					cost[i][j] = c
				}
			}
		}
		return cost
	}
	cases := []struct {
		name           string
		supply, demand []int
		cost           [][]int
		want           int
	}{
		// R. Bronson, Operations Research (Schaum's Outline), 1981, problem 9.1, as
		// worked in CRAN lpSolve, man/lp.transport.Rd: 7790.
		{"Bronson", []int{200, 300, 350, 200, 100, 50, 100, 150}, []int{250, 100, 400, 500, 200},
			far(8, 5, map[[2]int]int{{4, 1}: 0, {1, 5}: 0, {2, 5}: 0, {3, 5}: 0, {5, 5}: 0, {6, 5}: 0, {7, 5}: 0, {8, 5}: 0,
				{1, 2}: 70, {2, 3}: 70, {3, 4}: 70, {1, 3}: 77, {2, 4}: 77, {1, 4}: 84, {5, 1}: 80, {7, 3}: 80,
				{6, 2}: 90, {8, 4}: 100, {4, 2}: 7, {4, 3}: 14, {4, 4}: 21}), 77900},
		// W. L. Winston, Operations Research, the "Powerco" problem: 1020 (from
		// memory; recomputed).
		{"Winston", []int{35, 50, 40}, []int{45, 20, 30, 30}, [][]int{{8, 6, 10, 9}, {9, 12, 13, 7}, {14, 9, 16, 5}}, 1020},
		// CRAN lpSolve, man/lp.assign.Rd: 8.
		{"lpSolve assignment", ones, ones, [][]int{{2, 7, 7, 1}, {7, 7, 2, 9}, {7, 3, 8, 8}, {2, 2, 10, 2}}, 8},
		// google/or-tools, examples/dotnet/csflow.cs: 275.
		{"OR-Tools assignment", ones, ones, [][]int{{90, 75, 75, 80}, {35, 85, 55, 65}, {125, 95, 90, 105}, {45, 110, 95, 115}}, 275},
		// SciPy, documentation of linear_sum_assignment: 5 (from memory; recomputed).
		{"SciPy assignment", ones[:3], ones[:3], [][]int{{4, 1, 3}, {2, 0, 5}, {3, 2, 2}}, 5},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			checkCheapest(t, c.want, func() ([]int, []given, []Ask) { return transport(c.supply, c.demand, c.cost) })
		})
	}
	// S. P. Bradley, A. C. Hax, T. L. Magnanti, Applied Mathematical Programming,
	// 1977, figure 8.1, in google/or-tools simple_min_cost_flow_program.py: 150
	// (value from memory; recomputed).
	t.Run("Bradley, Hax and Magnanti", func(t *testing.T) {
		checkCheapest(t, 150, func() ([]int, []given, []Ask) {
			return []int{20, 0, 0, 0, 0}, []given{{0, 1, 15, 4}, {0, 2, 8, 4}, {1, 2, 20, 2}, {1, 3, 4, 2}, {1, 4, 10, 6},
				{2, 3, 15, 1}, {2, 4, 4, 3}, {3, 4, 20, 2}, {4, 2, 5, 3}}, []Ask{{3, 5}, {4, 15}}
		})
	})
}

func checkCheapest(t *testing.T, want int, problem func() ([]int, []given, []Ask)) {
	t.Helper()
	supplies, arcs, asks := problem()
	n := build(supplies, arcs)
	all, brought := 0, map[Node]int{}
	for _, a := range asks {
		all += a.Amount
		brought[a.To] += a.Amount
	}
	got, cost := n.Cheapest(asks)
	if got != all || cost != want {
		t.Errorf("brought %d of %d at a cost of %d, want %d", got, all, cost, want)
	}
	verify(t, n, supplies, arcs, brought)
	spent := 0
	for i, a := range arcs {
		spent += a.cost * n.Flow(Arc(i))
	}
	if spent != want {
		t.Errorf("the arcs cost %d, want %d", spent, want)
	}
}

// someNetwork draws a small network of suppliers, ways and goals.
func someNetwork(t *rapid.T) (supplies []int, arcs []given) {
	nodes := rapid.IntRange(2, 9).Draw(t, "nodes")
	for v := range nodes {
		s := 0
		if v < nodes/2 {
			s = rapid.IntRange(0, 9).Draw(t, "supply")
		}
		supplies = append(supplies, s)
	}
	for range rapid.IntRange(0, 24).Draw(t, "arcs") {
		from, to := rapid.IntRange(0, nodes-1).Draw(t, "from"), rapid.IntRange(0, nodes-1).Draw(t, "to")
		if from != to {
			arcs = append(arcs, given{from, to, rapid.IntRange(0, 6).Draw(t, "capacity"), rapid.IntRange(0, 4).Draw(t, "cost")})
		}
	}
	return supplies, arcs
}

// What is brought is the most there can be: it fills a cut of the same size
// (Ford and Fulkerson's theorem), also after steps were taken back.
func TestFillMeetsACut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		supplies, arcs := someNetwork(t)
		n := build(supplies, arcs)
		brought := map[Node]int{}
		for range rapid.IntRange(1, 6).Draw(t, "turns") {
			goal := Node(rapid.IntRange(0, len(supplies)-1).Draw(t, "goal"))
			before, undo := n.Clone(), rapid.Bool().Draw(t, "undo")
			m := n.Mark()
			raise := -1
			if len(arcs) > 0 && rapid.Bool().Draw(t, "raise") {
				raise = rapid.IntRange(0, len(arcs)-1).Draw(t, "arc")
				n.Raise(Arc(raise), 2)
			}
			got := n.Fill(goal, rapid.IntRange(1, 12).Draw(t, "amount"))
			if undo {
				n.Undo(m)
				same(t, before, n)
			} else {
				n.Keep(m)
				brought[goal] += got
				if raise >= 0 {
					arcs[raise].capacity += 2
				}
			}
			full := 0
			for v, b := range brought {
				if n.Closed(v) {
					full += b
				}
			}
			if cut := cutOf(n, supplies, arcs); cut != full {
				t.Fatalf("%d brought through a cut of %d", full, cut)
			}
			if n.Closed(goal) && n.Clone().forget().Fill(goal, 1) != 0 {
				t.Fatal("a closed node can be reached")
			}
		}
	})
}

// forget opens all nodes, so that a search proves by itself what it finds.
func (n *Network) forget() *Network {
	n.reopen()
	return n
}

func same(t *rapid.T, want, got *Network) {
	if !slices.Equal(want.halves, got.halves) {
		t.Fatal("arcs differ after an undo")
	}
	for v := range want.nodes {
		if want.nodes[v].supply != got.nodes[v].supply || want.nodes[v].first != got.nodes[v].first {
			t.Fatalf("node %d differs after an undo", v)
		}
	}
}

// The cheapest way to bring an amount, unit by unit along a shortest way found
// by relaxing every arc (R. Bellman, On a routing problem, 1958), is the judge.
func TestCheapestAgreesWithUnitByUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		supplies, arcs := someNetwork(t)
		n := build(supplies, arcs)
		entry := make([]int, len(supplies))
		for v := range entry {
			entry[v] = rapid.IntRange(0, 1).Draw(t, "entry")
			n.SetEntryCost(Node(v), entry[v])
		}
		var asks []Ask
		for range rapid.IntRange(1, 4).Draw(t, "asks") {
			asks = append(asks, Ask{Node(rapid.IntRange(0, len(supplies)-1).Draw(t, "to")), rapid.IntRange(0, 6).Draw(t, "amount")})
		}
		gotBrought, gotCost := n.Cheapest(asks)
		wantBrought, wantCost := unitByUnit(supplies, entry, arcs, asks)
		if gotBrought != wantBrought || gotCost != wantCost {
			t.Fatalf("brought %d for %d, want %d for %d", gotBrought, gotCost, wantBrought, wantCost)
		}
	})
}

func unitByUnit(supplies, entry []int, arcs []given, asks []Ask) (brought, cost int) {
	source, sink := len(supplies), len(supplies)+1
	all := slices.Clone(arcs)
	for v, s := range supplies {
		all = append(all, given{source, v, s, entry[v]})
	}
	for _, a := range asks {
		all = append(all, given{int(a.To), sink, a.Amount, 0})
	}
	for _, a := range slices.Clone(all) {
		all = append(all, given{a.to, a.from, 0, -a.cost})
	}
	half := len(all) / 2
	const far = 1 << 30
	for {
		dist, by := make([]int, sink+1), make([]int, sink+1)
		for v := range dist {
			dist[v] = far
		}
		dist[source] = 0
		for range dist {
			for i, a := range all {
				if a.capacity > 0 && dist[a.from] < far && dist[a.from]+a.cost < dist[a.to] {
					dist[a.to], by[a.to] = dist[a.from]+a.cost, i
				}
			}
		}
		if dist[sink] == far {
			return brought, cost
		}
		for v := sink; v != source; v = all[by[v]].from {
			all[by[v]].capacity--
			all[(by[v]+half)%len(all)].capacity++
		}
		brought, cost = brought+1, cost+dist[sink]
	}
}

func TestWaysToFindsWhatASearchWould(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		supplies, arcs := someNetwork(t)
		n := build(supplies, arcs)
		goal := Node(len(supplies) - 1)
		n.Fill(goal, 50)
		var about []Node
		for v := range supplies {
			about = append(about, Node(v))
		}
		for v, can := range n.WaysTo([]Node{goal}, about) {
			one := n.Clone().forget()
			one.SetSupply(Node(v), one.Supply(Node(v))+1)
			if got := one.Fill(goal, 1) == 1; got != can {
				t.Fatalf("a unit more at node %d: brought %v, said %v", v, got, can)
			}
		}
	})
}

func BenchmarkCheapestTransport(b *testing.B) {
	random := rand.New(rand.NewPCG(1, 2))
	supply, demand := make([]int, 100), make([]int, 300)
	cost := make([][]int, len(supply))
	for i := range supply {
		supply[i] = 60
		cost[i] = make([]int, len(demand))
		for j := range demand {
			demand[j] = 18
			cost[i][j] = random.IntN(9)
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		supplies, arcs, asks := transport(supply, demand, cost)
		build(supplies, arcs).Cheapest(asks)
	}
}

// A clone follows the network it came from: what is added there can be used
// here, beside what was sent here.
func TestFollowTakesOverWhatWasAdded(t *testing.T) {
	grown := build([]int{5, 0}, []given{{0, 1, 3, 2}})
	n := grown.Clone()
	if got := n.Fill(1, 9); got != 3 {
		t.Fatalf("brought %d, want 3", got)
	}
	further := grown.AddNode(0)
	grown.SetCost(grown.AddArc(0, further, 4), 7)
	grown.AddArc(further, 1, 1)
	n.Follow(grown)
	if got := n.Fill(further, 9); got != 2 {
		t.Errorf("brought %d of the supply that is left, want 2", got)
	}
	verify(t, n, []int{5, 0, 0}, []given{{0, 1, 3, 2}, {0, 2, 4, 7}, {2, 1, 1, 0}}, map[Node]int{1: 3, further: 2})
	if _, cost := grown.Cheapest([]Ask{{further, 3}}); cost != 21 {
		t.Errorf("three units cost %d where the arc was added, want 21", cost)
	}
}
