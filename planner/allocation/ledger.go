package allocation

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// ledger is who was granted what by one count of the heads, and the network
// that proves that heads can fill it all.
//
// Invariant, whenever no grant is being tried: every want holds exactly the
// heads that the granted cases of its classes ask of it.
type ledger struct {
	*beds
	menus   *menus
	ofLine  []*class           // by line
	granted []int              // by line: all cases
	fromLot []int              // by line: those out of lots
	broken  []int              // by line, after the words given
	closed  []bool             // by line: refused a turn
	reasons []*planning.Reason // by line
	offers  []int              // by line
	spare   []int              // by packed code: cases not taken
	taken   map[int][]take     // by line
	spaces  map[domain.Day]int // case spaces left, by pickup day; nil: no limit
	turns   []turn             // those laid out last; see sharing
	shared  *order
	explain bool // reasons and offers are wanted
}

// take is cases of a packed code.
type take struct{ packed, cases int }

// order is what both ledgers read and neither changes.
type order struct {
	kinds    []kind // by line
	rank     []int  // by line: its place in rank
	words    []int  // lines with a word given, in the order in which words are kept
	packed   []int  // packed codes by pulled, then code
	byMaking map[int][]int
}

func newOrder(b *planning.Book, ms *menus) *order {
	o := &order{
		kinds:    make([]kind, len(b.Lines)),
		rank:     make([]int, len(b.Lines)),
		byMaking: map[int][]int{},
	}
	for at, i := range b.Ranked {
		l := &b.Lines[i]
		o.rank[i], o.kinds[i] = at, ms.kindOf(l)
		if l.Word() > 0 {
			o.words = append(o.words, i)
		}
		if l.Substitutes == planning.SubstituteAsk {
			ms.offered(l)
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
		o.byMaking[product] = append(o.byMaking[product], i)
		ms.menu(product, true, nil)
	}
	return o
}

func newLedger(b *planning.Book, ms *menus, o *order, heads func(*planning.Lot) int) *ledger {
	l := &ledger{
		beds:    newBeds(b, heads),
		menus:   ms,
		ofLine:  make([]*class, len(b.Lines)),
		shared:  o,
		granted: make([]int, len(b.Lines)),
		fromLot: make([]int, len(b.Lines)),
		broken:  make([]int, len(b.Lines)),
		closed:  make([]bool, len(b.Lines)),
		reasons: make([]*planning.Reason, len(b.Lines)),
		offers:  make([]int, len(b.Lines)),
		spare:   make([]int, len(b.Packed)),
		taken:   map[int][]take{},
	}
	for _, i := range b.Ranked {
		l.ofLine[i] = l.class(o.kinds[i])
	}
	for i := range b.Packed {
		l.spare[i] = b.Packed[i].Cases
	}
	if b.Cooler.CaseRule == planning.Limit {
		l.spaces = make(map[domain.Day]int, len(b.PickupDays))
		for _, t := range b.PickupDays {
			l.spaces[t] = b.Cooler.CaseSpaces
		}
	}
	return l
}

// of is the class of a line.
func (l *ledger) of(line int) *class { return l.ofLine[line] }

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
