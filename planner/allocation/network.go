package allocation

import (
	"cmp"
	"encoding/binary"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/flow"
)

// nowhere stands for the pool of a variety of which no lot can serve a class,
// and for the arc of a cap that is not needed.
const nowhere = -1

// layout is the network of heads, in which nothing is granted: the lots, and
// what was built on them so far. Both ledgers go by it, each with its own flows.
// It is built in an order that does not depend on the order of the problem's
// lists: lots by the end of their life and code, classes by rank.
type layout struct {
	*planning.Book
	net      *flow.Network
	lots     []flow.Node // by lot
	ofKind   [][]int     // by variety: its lots, shortest life first
	pools    map[poolName]flow.Node
	sameLots map[string]flow.Node
	poolLots map[flow.Node][]pooled // the lots of a pool, with the arcs from them
	wants    []want
	sameWant map[string]int
	classes  []*class // in the order they were asked for
	byKind   map[kind]*class
	readies  [][]domain.Day // by variety: the days its beds get ready, ascending; see reasons.go

	able []int  // lots that can serve, while a pool is looked for
	ways []way  // the ways into a want, while it is looked for
	key  []byte // what a pool or want is looked for by
}

// poolName names what a pool is asked for: heads of a variety for a pickup day.
type poolName struct {
	variety  int32
	pickup   domain.Day
	lead     int32
	minShelf int32
}

// pooled is a lot in a pool; without an arc the lot is the pool.
type pooled struct {
	lot int
	arc flow.Arc
}

// want is what one or more slots ask for. Slots without a binding cap that the
// same pools can fill at the same places share one want: for the network they
// are one slot.
type want struct {
	node    flow.Node
	ways    []way
	members []member // the slots that share it, by class in rank
}

// way is one variety's way into a want.
type way struct {
	variety int
	pool    flow.Node // nowhere: no lot can serve
	limit   flow.Arc  // the arc that keeps the cap, or nowhere; then from the pool
	last    flow.Arc  // the arc into the want, or nowhere
}

// member is a slot of a class.
type member struct{ class, slot int }

// class is the lines of one kind, in the network. It never changes.
type class struct {
	kind
	number int
	wants  []int      // by slot
	needs  []need     // what a case asks of each want
	limits []flow.Arc // arcs that carry at most cases x cap
}

// need is the heads that one case asks of a want.
type need struct {
	node  flow.Node
	heads int
}

func newLayout(b *planning.Book) *layout {
	w := &layout{
		Book:     b,
		net:      &flow.Network{},
		lots:     make([]flow.Node, len(b.Lots)),
		ofKind:   make([][]int, len(b.Varieties)),
		pools:    make(map[poolName]flow.Node, len(b.Lines)),
		sameLots: map[string]flow.Node{},
		poolLots: map[flow.Node][]pooled{},
		sameWant: make(map[string]int, len(b.Lines)),
		byKind:   make(map[kind]*class, len(b.Lines)),
	}
	w.net.Grow(len(b.Lots)+len(b.Lines), 2*len(b.Lines)) // as farms of all sizes turned out to need
	w.wants, w.classes = make([]want, 0, len(b.Lines)/2), make([]*class, 0, len(b.Lines))
	for _, i := range byLife(b) {
		w.lots[i] = w.net.AddNode(b.Lots[i].Heads)
		if !b.Expires(i) {
			w.net.SetEntryCost(w.lots[i], 1)
		}
		v := b.Of[i]
		w.ofKind[v] = append(w.ofKind[v], i)
	}
	return w
}

// byLife is the lots by the end of their life, then by code.
func byLife(b *planning.Book) []int {
	ends := make([]domain.Day, len(b.Lots))
	order := make([]int, len(b.Lots))
	for i := range order {
		order[i] = i
		ends[i], _ = b.LifeEnds(i)
	}
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(ends[i], ends[j]), cmp.Compare(b.Lots[i].Code, b.Lots[j].Code))
	})
	return order
}

// pool is the node through which a variety's lots serve a pickup; lots that
// are the same for two pickups are one pool, and a single lot is its own.
func (w *layout) pool(name poolName) flow.Node {
	if node, known := w.pools[name]; known {
		return node
	}
	w.able = w.able[:0]
	w.key = binary.AppendUvarint(w.key[:0], uint64(name.variety))
	for _, i := range w.ofKind[name.variety] {
		if w.Lots[i].Heads > 0 && w.CanServe(i, name.pickup, int(name.lead), int(name.minShelf)) {
			w.able = append(w.able, i)
			w.key = binary.AppendUvarint(w.key, uint64(i))
		}
	}
	node, known := w.sameLots[string(w.key)]
	if !known {
		node = w.newPool(w.able)
		w.sameLots[string(w.key)] = node
	}
	w.pools[name] = node
	return node
}

func (w *layout) newPool(able []int) flow.Node {
	switch len(able) {
	case 0:
		return nowhere
	case 1:
		node := w.lots[able[0]]
		w.poolLots[node] = []pooled{{able[0], nowhere}}
		return node
	}
	node := w.net.AddNode(0)
	lots := make([]pooled, len(able))
	for k := range able { // the network looks through the newest arcs first
		i := able[len(able)-1-k]
		lots[len(able)-1-k] = pooled{i, w.net.AddArc(w.lots[i], node, flow.Unlimited)}
	}
	w.poolLots[node] = lots
	return node
}

// class is the class of a kind, built into the network when first asked for.
func (w *layout) class(k kind) *class {
	if c := w.byKind[k]; c != nil {
		return c
	}
	c := &class{kind: k, number: len(w.classes), wants: make([]int, len(k.menu.Slots))}
	var limits map[int]way
	if len(k.menu.capped) > 0 {
		limits = map[int]way{}
	}
	for s := range k.menu.Slots {
		c.wants[s] = w.wantOf(c, s, limits)
		node := w.wants[c.wants[s]].node
		c.ask(node, k.menu.Heads[s])
	}
	w.classes = append(w.classes, c)
	w.byKind[k] = c
	return c
}

func (c *class) ask(node flow.Node, heads int) {
	for i := range c.needs {
		if c.needs[i].node == node {
			c.needs[i].heads += heads
			return
		}
	}
	c.needs = append(c.needs, need{node, heads})
}

// wantOf is the want of a class's slot: a shared one where no cap binds.
func (w *layout) wantOf(c *class, slot int, limits map[int]way) int {
	choices := c.menu.Slots[slot]
	w.ways = w.ways[:0]
	shared := true
	for _, choice := range choices {
		pool := w.pool(poolName{int32(choice.Variety), c.pickup, int32(c.lead), int32(c.minShelf)})
		w.ways = append(w.ways, way{choice.Variety, pool, nowhere, nowhere})
		shared = shared && !c.menu.capped[choice.Variety]
	}
	w.key = w.key[:0]
	for i, y := range w.ways {
		w.key = binary.AppendVarint(w.key, int64(y.pool))
		w.key = binary.AppendUvarint(binary.AppendUvarint(w.key, uint64(y.variety)), uint64(choices[i].Place))
	}
	number, known := w.sameWant[string(w.key)]
	if !shared || !known {
		if shared {
			w.sameWant[string(w.key)] = len(w.wants)
		}
		number = w.newWant(c, choices, slices.Clone(w.ways), limits)
	}
	w.wants[number].members = append(w.wants[number].members, member{c.number, slot})
	return number
}

func (w *layout) newWant(c *class, choices []planning.Choice, ways []way, limits map[int]way) int {
	node := w.net.AddNode(0)
	for i := len(ways) - 1; i >= 0; i-- {
		from := ways[i].pool
		if from == nowhere {
			continue
		}
		if c.menu.capped[ways[i].variety] {
			from, ways[i].limit = w.limited(c, ways[i], limits)
		}
		ways[i].last = w.net.AddArc(from, node, flow.Unlimited)
		w.net.SetCost(ways[i].last, 2*choices[i].Place)
	}
	w.wants = append(w.wants, want{node: node, ways: ways})
	return len(w.wants) - 1
}

// limited is the node (class, variety) behind the arc that keeps the cap.
func (w *layout) limited(c *class, y way, limits map[int]way) (flow.Node, flow.Arc) {
	if known, ok := limits[y.variety]; ok {
		_, node := w.net.Ends(known.limit)
		return node, known.limit
	}
	node := w.net.AddNode(0)
	y.limit = w.net.AddArc(y.pool, node, 0)
	limits[y.variety] = y
	c.limits = append(c.limits, y.limit)
	return node, y.limit
}
