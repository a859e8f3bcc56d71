package planning

import (
	"cmp"
	"slices"

	"headtally/domain"
)

// Book is a problem with its codes resolved: every stage of the planner reads
// it by index. It shares the problem's memory and changes nothing of it.
type Book struct {
	*Problem
	VarietyIx map[string]int
	ProductIx map[string]int
	LotIx     map[string]int // lots alone
	PackedIx  map[string]int
	LineIx    map[string]int

	Accept [][][]int // product, slot -> variety indices, best first
	Of     []int     // lot -> variety index
	Ranked []int     // line indices in rank

	lives []life // by lot
}

// Index resolves the codes of a checked problem.
func Index(p *Problem) *Book {
	b := &Book{Problem: p,
		VarietyIx: index(p.Varieties, func(v *Variety) string { return v.Code }),
		ProductIx: index(p.Products, func(v *Product) string { return v.Code }),
		LotIx:     index(p.Lots, func(v *Lot) string { return v.Code }),
		PackedIx:  index(p.Packed, func(v *Packed) string { return v.Code }),
		LineIx:    index(p.Lines, func(v *Line) string { return v.ID }),
		Accept:    make([][][]int, len(p.Products)),
		Of:        make([]int, len(p.Lots)),
		Ranked:    make([]int, len(p.Lines)),
		lives:     make([]life, len(p.Lots)),
	}
	for i := range p.Products {
		for _, slot := range p.Products[i].Slots {
			accept := make([]int, len(slot.Accept))
			for k, code := range slot.Accept {
				accept[k] = b.VarietyIx[code]
			}
			b.Accept[i] = append(b.Accept[i], accept)
		}
	}
	for i := range p.Lots {
		b.Of[i] = b.VarietyIx[p.Lots[i].Variety]
		b.lives[i] = b.lifeOf(i)
	}
	for i := range p.Lines {
		b.Ranked[i] = i
	}
	slices.SortFunc(b.Ranked, b.CompareRank)
	return b
}

func index[T any](list []T, code func(*T) string) map[string]int {
	m := make(map[string]int, len(list))
	for i := range list {
		m[code(&list[i])] = i
	}
	return m
}

// CompareRank orders two lines, by index, as the problem's rank says.
func (b *Book) CompareRank(i, j int) int {
	x, y := &b.Lines[i], &b.Lines[j]
	day, priority := cmp.Compare(x.Pickup, y.Pickup), cmp.Compare(x.Importance(), y.Importance())
	if b.Rank == PriorityFirst {
		day, priority = priority, day
	}
	return cmp.Or(day, priority, x.Received.Compare(y.Received), cmp.Compare(x.ID, y.ID))
}

// Importance is the line's priority, 1 first.
func (l *Line) Importance() int {
	if l.Priority == 0 {
		return DefaultPriority
	}
	return l.Priority
}

// Asked is the cases of a line after its cut.
func (l *Line) Asked() int {
	if l.AtMost != nil && *l.AtMost < l.Cases {
		return *l.AtMost
	}
	return l.Cases
}

// Word is the cases promised, as far as they are asked: any promise on an
// all-or-none line is a promise of all that is asked.
func (l *Line) Word() int {
	if l.Promised == 0 {
		return 0
	}
	if l.AllOrNone {
		return l.Asked()
	}
	return min(l.Promised, l.Asked())
}

// FirstPull is the first day on which beds can still be lifted.
func (p *Problem) FirstPull() domain.Day {
	if p.NextPull == 0 {
		return p.AsOf
	}
	return p.NextPull
}

// Lead is the least days from pull to pickup of a line.
func (p *Problem) Lead(l *Line) int {
	if l.LeadDays != nil {
		return *l.LeadDays
	}
	return p.LeadDays
}

// PackDay is the day on which cases for pickup t are packed.
func (p *Problem) PackDay(t domain.Day, lead int) domain.Day { return max(p.AsOf, t.Add(-lead)) }

// FreshEnough says whether heads of variety v pulled on day d can go to a
// pickup on day t with minShelf days of life left.
func (p *Problem) FreshEnough(v int, d, t domain.Day, minShelf int) bool {
	age := t.Sub(d)
	variety := &p.Varieties[v]
	return variety.ShelfDays-age >= minShelf && (variety.HoldDays == nil || age <= *variety.HoldDays)
}

// LastPull is the latest day of pull_days that is not after d, if there is one.
func (p *Problem) LastPull(d domain.Day) (domain.Day, bool) {
	if p.PullDays == nil {
		return d, true
	}
	i, found := slices.BinarySearch(p.PullDays, d)
	if found {
		return d, true
	}
	if i == 0 {
		return 0, false
	}
	return p.PullDays[i-1], true
}

// PullFor is the day on which heads of a lot are pulled for a pickup on day t
// with the given lead; false where the lot cannot serve that day however old
// its heads may be. (For a cooler lot it is the day they were pulled.)
func (b *Book) PullFor(lot int, t domain.Day, lead int) (domain.Day, bool) {
	l := &b.Lots[lot]
	if l.Place == Chilled {
		return l.Pulled, l.Pulled <= b.AsOf && b.AsOf <= t
	}
	d, ok := b.LastPull(min(l.Last, t.Add(-lead)))
	return d, ok && d >= max(l.Ready, b.FirstPull())
}

// CanServe says whether a lot's heads can go to a pickup on day t with the
// given lead and least shelf life.
func (b *Book) CanServe(lot int, t domain.Day, lead, minShelf int) bool {
	d, ok := b.PullFor(lot, t, lead)
	return ok && b.FreshEnough(b.Of[lot], d, t, minShelf)
}
