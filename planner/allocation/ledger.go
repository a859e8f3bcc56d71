package allocation

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/flow"
)

// ledger is who was granted what by one count of the heads, and the flows that
// prove that heads can fill it all.
//
// Invariant, whenever no grant is being tried: every want holds exactly the
// heads that the granted cases of its classes ask of it.
type ledger struct {
	*order
	layout  *layout
	net     *flow.Network      // the layout's, with what was granted
	cases   []int              // by class: granted out of lots
	granted []int              // by line: all cases
	fromLot []int              // by line: those out of lots
	broken  []int              // by line, after the words given
	closed  []bool             // by line: refused a turn
	reasons []*planning.Reason // by line
	offers  []int              // by line
	spare   []int              // by packed code: cases not taken
	taken   map[int][]take     // by line
	spaces  map[domain.Day]int // case spaces left, by pickup day; nil: no limit
	explain bool               // reasons and offers are wanted

	places []int  // by class: its place in the group that looked at it last; see grant.go
	turns  []turn // those laid out last; see sharing
	seats  []seat // those of the group shared out last
	group  group  // the one that is granted to; see newGroup
}

// take is cases of a packed code.
type take struct{ packed, cases int }

// order is what both ledgers read and neither changes.
type order struct {
	*planning.Book
	menus   *menus
	classOf []*class      // by line
	rank    []int         // by line: its place in rank
	words   []int         // lines with a word given, in the order in which words are kept
	packed  []int         // packed codes by pulled, then code
	whole   []*menu       // by packed code: what a case of its product may hold for anybody
	spareOf map[int][]int // by product: its packed codes that were packed for no line
}

func newOrder(w *layout, ms *menus) *order {
	b := w.Book
	o := &order{
		Book:    b,
		menus:   ms,
		classOf: make([]*class, len(b.Lines)),
		rank:    make([]int, len(b.Lines)),
		whole:   make([]*menu, len(b.Packed)),
		spareOf: map[int][]int{},
	}
	for at, i := range b.Ranked {
		l := &b.Lines[i]
		o.rank[i], o.classOf[i] = at, w.class(ms.kindOf(l))
		if l.Word() > 0 {
			o.words = append(o.words, i)
		}
	}
	slices.SortStableFunc(o.words, func(i, j int) int {
		return b.Lines[i].PromisedAt.Compare(b.Lines[j].PromisedAt)
	})
	for i := range b.Packed {
		o.packed = append(o.packed, i)
	}
	slices.SortFunc(o.packed, func(i, j int) int {
		x, y := &b.Packed[i], &b.Packed[j]
		return cmp.Or(cmp.Compare(x.Pulled, y.Pulled), cmp.Compare(x.Code, y.Code))
	})
	for _, i := range o.packed {
		product := b.ProductIx[b.Packed[i].Product]
		o.whole[i] = ms.menu(product, true, nil)
		if b.Packed[i].Line == "" {
			o.spareOf[product] = append(o.spareOf[product], i)
		}
	}
	return o
}

func newLedger(w *layout, o *order, heads func(*planning.Lot) int) *ledger {
	l := &ledger{
		order:   o,
		layout:  w,
		net:     w.net.Clone(),
		cases:   make([]int, len(w.classes)),
		places:  make([]int, len(w.classes)),
		granted: make([]int, len(o.Lines)),
		fromLot: make([]int, len(o.Lines)),
		broken:  make([]int, len(o.Lines)),
		closed:  make([]bool, len(o.Lines)),
		reasons: make([]*planning.Reason, len(o.Lines)),
		offers:  make([]int, len(o.Lines)),
		spare:   make([]int, len(o.Packed)),
		taken:   map[int][]take{},
	}
	for i := range o.Lots {
		l.net.SetSupply(w.lots[i], heads(&o.Lots[i]))
	}
	for i := range o.Packed {
		l.spare[i] = o.Packed[i].Cases
	}
	if o.Cooler.CaseRule == planning.Limit {
		l.spaces = make(map[domain.Day]int, len(o.PickupDays))
		for _, t := range o.PickupDays {
			l.spaces[t] = o.Cooler.CaseSpaces
		}
	}
	return l
}

// class is the class of a kind. One that no line is of is built into the
// layout when first asked for, and from there into the ledger's network.
func (l *ledger) class(k kind) *class {
	c := l.layout.class(k)
	l.net.Follow(l.layout.net)
	for len(l.cases) < len(l.layout.classes) {
		l.cases = append(l.cases, 0)
		l.places = append(l.places, 0)
	}
	return c
}

// lacks is the cases a line still asks for.
func (l *ledger) lacks(line int) int { return l.Lines[line].Asked() - l.granted[line] }

// room is how many of so many cases the case limit leaves room for on a day.
func (l *ledger) room(t domain.Day, cases int) int {
	if l.spaces == nil {
		return cases
	}
	return min(cases, l.spaces[t])
}

func (l *ledger) occupy(t domain.Day, cases int) {
	if l.spaces != nil {
		l.spaces[t] -= cases
	}
}
