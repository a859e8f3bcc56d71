package judge

// network is the flow question of the model, lot -> (kind, variety) ->
// (kind, slot), with so many cases asked of every kind. Its arcs into the sink
// are what is asked; it holds the most that can be assigned to them.
type network struct {
	*graph
	*shape
	asked    int // heads
	assigned int
}

// shape is where the arcs of a network are; copies share it.
type shape struct {
	farm         *farm
	source, sink int
	kinds        map[kind]int
	list         []kind
	lots         [][]lotArc    // by kind
	through      []map[int]int // by kind: variety -> arc of the cap
	extra        []map[int]int // by kind: variety -> arc for heads from nowhere
	into         [][]slotArc   // by kind
	out          [][]int       // by kind, slot: arc into the sink
}

type lotArc struct{ lot, arc int }

type slotArc struct{ slot, variety, arc int }

// worth gives the costs of steps 1 and 2: of a head of a lot, and of a head in
// a place of a slot's list.
type worth struct {
	lot   func(lot int) int
	place func(place int) int
}

// forFlow costs nothing: only amounts matter.
var forFlow = worth{lot: func(int) int { return 0 }, place: func(int) int { return 0 }}

// newNetwork has room for cases of every kind listed, and asks for none.
func newNetwork(f *farm, heads []int, kinds []kind, w worth) *network {
	n := &network{graph: newGraph(2 + len(heads)), shape: &shape{farm: f, source: 0, sink: 1, kinds: map[kind]int{}}}
	for i, have := range heads {
		n.arc(n.source, 2+i, have, w.lot(i))
	}
	for _, k := range kinds {
		if _, known := n.kinds[k]; !known {
			n.kinds[k] = len(n.list)
			n.list = append(n.list, k)
			n.addKind(k, w)
		}
	}
	return n
}

func (n *network) node() int {
	n.leave = append(n.leave, nil)
	return len(n.leave) - 1
}

func (n *network) addKind(k kind, w worth) {
	f := n.farm
	before, after := map[int]int{}, map[int]int{}
	through, extra := map[int]int{}, map[int]int{}
	var into []slotArc
	var out []int
	for s := range f.slots(k) {
		slot := n.node()
		for _, v := range f.accepts(k, s) {
			if _, known := before[v]; !known {
				before[v], after[v] = n.node(), n.node()
				through[v] = n.arc(before[v], after[v], 0, 0)
				extra[v] = n.arc(n.source, before[v], 0, 0)
			}
			into = append(into, slotArc{s, v, n.arc(after[v], slot, plenty, w.place(f.place(k.product, s, v)))})
		}
		out = append(out, n.arc(slot, n.sink, 0, 0))
	}
	var lots []lotArc
	for i := range f.p.Lots {
		if to, wanted := before[f.variety[f.p.Lots[i].Variety]]; wanted && f.serves(i, k.pickup, k.lead, k.shelf) {
			lots = append(lots, lotArc{i, n.arc(2+i, to, plenty, 0)})
		}
	}
	n.lots, n.through, n.extra = append(n.lots, lots), append(n.through, through), append(n.extra, extra)
	n.into, n.out = append(n.into, into), append(n.out, out)
}

// with is a copy that asks for more cases of a kind, not yet assigned.
func (n *network) with(k kind, cases int) *network {
	c := &network{graph: n.graph.copy(), shape: n.shape, asked: n.asked, assigned: n.assigned}
	i := n.kinds[k]
	for s, slot := range n.farm.slots(k) {
		c.room[n.out[i][s]] += cases * slot.Heads
		c.asked += cases * slot.Heads
	}
	for _, a := range n.through[i] {
		c.room[a] += n.farm.capOf(k.product, cases)
	}
	return c
}

// fill assigns the most heads and says how many are missing. Nothing assigned
// before is lost: an augmenting path never takes flow back from the sink.
func (n *network) fill() (missing int) {
	n.assigned += n.most(n.source, n.sink)
	return n.asked - n.assigned
}
