package judge

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"headtally/domain"
	"headtally/domain/planning"
)

// plenty stands for no limit; sums of several stay far from overflow.
const plenty = math.MaxInt32

// farm is a problem with its codes resolved, and the rules of the model that
// speak of one lot, one line or one case.
type farm struct {
	p        *planning.Problem
	variety  map[string]int
	product  map[string]int
	lot      map[string]int
	packed   map[string]int
	line     map[string]int
	rank     []int // lines, best first
	standing []int // line -> its place in rank
}

func newFarm(p *planning.Problem) *farm {
	f := &farm{p: p, variety: map[string]int{}, product: map[string]int{}, lot: map[string]int{},
		packed: map[string]int{}, line: map[string]int{}, standing: make([]int, len(p.Lines))}
	for i, v := range p.Varieties {
		f.variety[v.Code] = i
	}
	for i, v := range p.Products {
		f.product[v.Code] = i
	}
	for i, v := range p.Lots {
		f.lot[v.Code] = i
	}
	for i, v := range p.Packed {
		f.packed[v.Code] = i
	}
	for i, v := range p.Lines {
		f.line[v.ID] = i
		f.rank = append(f.rank, i)
	}
	slices.SortFunc(f.rank, f.compareRank)
	for place, i := range f.rank {
		f.standing[i] = place
	}
	return f
}

func (f *farm) compareRank(i, j int) int {
	a, b := &f.p.Lines[i], &f.p.Lines[j]
	byDay := cmp.Compare(a.Pickup, b.Pickup)
	byPriority := cmp.Compare(priority(a), priority(b))
	rest := cmp.Or(a.Received.Compare(b.Received), strings.Compare(a.ID, b.ID))
	if f.p.Rank == planning.PriorityFirst {
		return cmp.Or(byPriority, byDay, rest)
	}
	return cmp.Or(byDay, byPriority, rest)
}

func priority(l *planning.Line) int {
	if l.Priority == 0 {
		return 5
	}
	return l.Priority
}

func asked(l *planning.Line) int {
	if l.AtMost == nil {
		return l.Cases
	}
	return min(l.Cases, *l.AtMost)
}

func word(l *planning.Line) int {
	if l.AllOrNone && l.Promised > 0 {
		return asked(l)
	}
	return min(l.Promised, asked(l))
}

// heads are the lots' counts; cautious are the cautious ones.
func (f *farm) heads() (list []int) {
	for _, l := range f.p.Lots {
		list = append(list, l.Heads)
	}
	return list
}

func (f *farm) cautious() (list []int) {
	for _, l := range f.p.Lots {
		if l.CautiousHeads != nil {
			list = append(list, *l.CautiousHeads)
		} else {
			list = append(list, l.Heads)
		}
	}
	return list
}

func (f *farm) lead(l *planning.Line) int {
	if l.LeadDays == nil {
		return f.p.LeadDays
	}
	return *l.LeadDays
}

func (f *farm) packDay(l *planning.Line) domain.Day {
	return max(f.p.AsOf, l.Pickup.Add(-f.lead(l)))
}

// kind is a line class: what must be alike for cases to share heads freely.
type kind struct {
	product int
	pickup  domain.Day
	lead    int
	free    bool // substitutes are taken
	shelf   int  // least life at pickup
	refuse  string
}

func (f *farm) kindOf(l *planning.Line) kind {
	refuse := slices.Sorted(slices.Values(l.Refuse))
	return kind{f.product[l.Product], l.Pickup, f.lead(l),
		l.Substitutes == "" || l.Substitutes == planning.SubstituteYes, l.MinShelfDays, strings.Join(refuse, "\x00")}
}

// accepts lists the varieties a kind takes in a slot of its product.
func (f *farm) accepts(k kind, slot int) (list []int) {
	s := &f.p.Products[k.product].Slots[slot]
	refused := strings.Split(k.refuse, "\x00")
	for place, code := range s.Accept {
		if place > 0 && !k.free && !s.GrowersChoice || slices.Contains(refused, code) {
			continue
		}
		list = append(list, f.variety[code])
	}
	return list
}

// place is the substitution of one head of a variety in a slot.
func (f *farm) place(product, slot, variety int) int {
	s := &f.p.Products[product].Slots[slot]
	if s.GrowersChoice {
		return 0
	}
	return slices.Index(s.Accept, f.p.Varieties[variety].Code)
}

func (f *farm) slots(k kind) []planning.Slot { return f.p.Products[k.product].Slots }

func (f *farm) headsPerCase(product int) (n int) {
	for _, s := range f.p.Products[product].Slots {
		n += s.Heads
	}
	return n
}

// capOf is the most heads of one variety in so many cases of a product.
func (f *farm) capOf(product, cases int) int {
	if most := f.p.Products[product].MaxHeadsPerVariety; most != nil {
		return cases * *most
	}
	return plenty
}

// fresh says whether heads pulled on day d are fresh enough at a pickup on t.
func (f *farm) fresh(variety int, d, t domain.Day, shelf int) bool {
	v := &f.p.Varieties[variety]
	return v.ShelfDays-t.Sub(d) >= shelf && t.Sub(d) <= holdDays(v)
}

func holdDays(v *planning.Variety) int {
	if v.HoldDays == nil {
		return plenty
	}
	return *v.HoldDays
}

func (f *farm) lifts(d domain.Day) bool {
	return f.p.PullDays == nil || slices.Contains(f.p.PullDays, d)
}

func (f *farm) nextPull() domain.Day {
	if f.p.NextPull.IsZero() {
		return f.p.AsOf
	}
	return f.p.NextPull
}

// lastLift is the latest day of lifting that is not after d.
func (f *farm) lastLift(d domain.Day) (last domain.Day, any bool) {
	if f.p.PullDays == nil {
		return d, true
	}
	for _, day := range f.p.PullDays {
		if day <= d {
			last, any = day, true
		}
	}
	return last, any
}

// pullFor is the day on which a lot's heads for a pickup are pulled.
func (f *farm) pullFor(lot int, pickup domain.Day, lead int) (domain.Day, bool) {
	l := &f.p.Lots[lot]
	if l.Place == planning.Chilled {
		return l.Pulled, l.Pulled <= f.p.AsOf && f.p.AsOf <= pickup
	}
	d, any := f.lastLift(min(l.Last, pickup.Add(-lead)))
	return d, any && d >= l.Ready && d >= f.nextPull()
}

// serves says whether a lot's heads can go to a pickup.
func (f *farm) serves(lot int, pickup domain.Day, lead, shelf int) bool {
	d, can := f.pullFor(lot, pickup, lead)
	return can && f.fresh(f.variety[f.p.Lots[lot].Variety], d, pickup, shelf)
}

// isCaseOfProduct says whether packed cases are cases of their product.
func (f *farm) isCaseOfProduct(packed int) bool {
	c := &f.p.Packed[packed]
	return f.isCase(kind{product: f.product[c.Product], free: true}, c.Contents)
}

// packedServes says whether a packed code's cases can go to a line they were
// not packed for.
func (f *farm) packedServes(packed, line int) bool {
	c, l := &f.p.Packed[packed], &f.p.Lines[line]
	if c.Product != l.Product || c.Line != "" || c.Pulled > f.p.AsOf || f.p.AsOf > l.Pickup {
		return false
	}
	for _, h := range c.Contents {
		if h.Heads > 0 && !f.fresh(f.variety[h.Variety], c.Pulled, l.Pickup, l.MinShelfDays) {
			return false
		}
	}
	return f.isCase(f.kindOf(l), c.Contents)
}

// isCase says whether these heads fill one case of the kind exactly.
func (f *farm) isCase(k kind, contents []planning.VarietyHeads) bool {
	heads := make([]int, len(f.p.Varieties))
	total := 0
	for _, h := range contents {
		heads[f.variety[h.Variety]] += h.Heads
		total += h.Heads
	}
	_, filled := f.oneCase(k, heads)
	return total == f.headsPerCase(k.product) && filled == total
}

// canBeMade says whether a case of the kind can be made of all there could be.
func (f *farm) canBeMade(k kind) bool {
	heads := slices.Repeat([]int{plenty}, len(f.p.Varieties))
	_, filled := f.oneCase(k, heads)
	return filled == f.headsPerCase(k.product)
}

// oneCase puts heads by variety into the slots of one case: the least
// substitution at which the most heads find a place, and how many do.
func (f *farm) oneCase(k kind, heads []int) (substitution, filled int) {
	slots := f.slots(k)
	n := len(heads)
	source, sink := n+len(slots), n+len(slots)+1
	g := newGraph(sink + 1)
	for v, have := range heads {
		g.arc(source, v, min(have, f.capOf(k.product, 1)), 0)
	}
	for s := range slots {
		for _, v := range f.accepts(k, s) {
			g.arc(v, n+s, plenty, f.place(k.product, s, v))
		}
		g.arc(n+s, sink, slots[s].Heads, 0)
	}
	filled, substitution = g.cheapest(source, sink)
	return substitution, filled
}

// expires says whether heads not used by the last pickup are lost.
func (f *farm) expires(lot int) bool {
	if len(f.p.PickupDays) == 0 {
		return false
	}
	l, after := &f.p.Lots[lot], f.dayAfter()
	if l.Place == planning.Bed && l.Ready > after.Add(-f.p.LeadDays) {
		return false
	}
	return !f.serves(lot, after, f.p.LeadDays, 0)
}

func (f *farm) packedExpires(packed int) bool {
	if len(f.p.PickupDays) == 0 {
		return false
	}
	c := &f.p.Packed[packed]
	return slices.ContainsFunc(c.Contents, func(h planning.VarietyHeads) bool {
		return !f.fresh(f.variety[h.Variety], c.Pulled, f.dayAfter(), 0)
	})
}

func (f *farm) dayAfter() domain.Day { return f.p.PickupDays[len(f.p.PickupDays)-1].Add(1) }

// lifeEnd is the last day of a lot's life; false where it can never be pulled.
func (f *farm) lifeEnd(lot int) (domain.Day, bool) {
	l := &f.p.Lots[lot]
	d, any := l.Pulled, true
	if l.Place == planning.Bed {
		d, any = f.lastLift(l.Last)
	}
	v := &f.p.Varieties[f.variety[l.Variety]]
	return d.Add(min(v.ShelfDays, holdDays(v))), any
}
