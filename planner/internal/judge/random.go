package judge

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
)

// Dice gives whole numbers from low to high, both included. A property-test
// library's draws make problems that shrink; Seeded's make a fixed list.
type Dice interface{ Between(low, high int) int }

type seeded struct{ *rand.Rand }

func (s seeded) Between(low, high int) int { return low + s.IntN(high-low+1) }

// Seeded is random problem number n, the same for ever; every fourth is of
// medium size, the others small.
func Seeded(n int) *planning.Problem {
	return Random(seeded{rand.New(rand.NewPCG(uint64(n), 20270301))}, n%4 == 0)
}

// SeededLine is one more line for a problem, in no order yet.
func SeededLine(p *planning.Problem, n int) planning.Line {
	s := sketch{Dice: seeded{rand.New(rand.NewPCG(uint64(n), 3))}, p: p}
	l := s.line("more")
	l.AtMost, l.Cases = nil, max(1, l.Cases)
	return l
}

// Shuffled is the same problem with its lists in another order.
func Shuffled(p *planning.Problem, n int) *planning.Problem {
	r := rand.New(rand.NewPCG(uint64(n), 7))
	s := *p
	s.Varieties, s.Products, s.Lots = mixed(r, p.Varieties), mixed(r, p.Products), mixed(r, p.Lots)
	s.Packed, s.Lines = mixed(r, p.Packed), mixed(r, p.Lines)
	for i := range s.Packed {
		s.Packed[i].Contents = mixed(r, s.Packed[i].Contents)
	}
	for i := range s.Lines {
		s.Lines[i].Refuse = mixed(r, s.Lines[i].Refuse)
	}
	return &s
}

func mixed[T any](r *rand.Rand, list []T) []T {
	list = slices.Clone(list)
	r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	return list
}

// sketch is a problem being made up.
type sketch struct {
	Dice
	medium bool
	rich   bool // in heads
	p      *planning.Problem
}

// Random makes up a problem that keeps the rules of the document.
func Random(d Dice, medium bool) *planning.Problem {
	s := sketch{Dice: d, medium: medium, p: &planning.Problem{AsOf: domain.MustDay("2027-03-01")}}
	s.rich = s.in(2)
	s.days()
	s.cooler()
	s.varieties()
	s.products()
	s.lots()
	s.lines()
	s.packed()
	return s.p
}

// in says yes once in n times.
func (s sketch) in(n int) bool { return s.Between(1, n) == n }

func (s sketch) some(small, medium int) int {
	if s.medium {
		return s.Between(small, medium)
	}
	return s.Between(1, small)
}

func pick[T any](s sketch, list ...T) T { return list[s.Between(0, len(list)-1)] }

func (s sketch) days() {
	p := s.p
	p.LeadDays = s.Between(0, 2)
	if s.in(3) {
		p.NextPull = p.AsOf.Add(1)
	}
	day := p.AsOf.Add(s.Between(0, 2))
	for range s.some(3, 5) {
		p.PickupDays = append(p.PickupDays, day)
		day = day.Add(s.Between(1, 3))
	}
	if s.in(2) {
		p.PullDays = []domain.Day{}
		for d := -2; d < 16 && !s.in(60); d++ {
			if !s.in(3) {
				p.PullDays = append(p.PullDays, p.AsOf.Add(d))
			}
		}
	}
	p.Rank = pick(s, "", planning.DayFirst, planning.PriorityFirst)
	p.ShareRule = pick(s, "", planning.EvenShare, planning.FirstCome)
	if s.in(4) {
		p.MaxRecipes = s.Between(1, 3)
	}
	if s.in(2) {
		p.Work = planning.Work{RaftsPerDay: s.Between(1, 6), HarvestHeadsPerHour: 40, HarvestHours: float64(s.Between(1, 4)),
			PackCasesPerHour: 6, PackHours: 1.5}
	}
}

func (s sketch) cooler() {
	s.p.Cooler = planning.Cooler{CaseSpaces: s.Between(2, 30), TraySpaces: s.Between(0, 12)}
	if s.rich && !s.in(4) || s.in(4) {
		s.p.Cooler.CaseRule = planning.Limit
		if !s.medium {
			s.p.Cooler.CaseSpaces = s.Between(0, 7)
		}
	} else if s.in(2) {
		s.p.Cooler.CaseRule = planning.Warn
	}
}

func (s sketch) varieties() {
	for i := range 1 + s.some(3, 5) {
		v := planning.Variety{Code: fmt.Sprintf("V%d", i+1), Name: fmt.Sprintf("Variety %d", i+1),
			ShelfDays: s.Between(5, 12), HeadsPerTray: pick(s, 6, 12, 18)}
		if s.in(3) {
			v.HoldDays = new(s.Between(2, 6))
		}
		s.p.Varieties = append(s.p.Varieties, v)
	}
}

// codes are so many different varieties in any order.
func (s sketch) codes(most int) (list []string) {
	for range s.Between(1, most) {
		if code := pick(s, s.p.Varieties...).Code; !slices.Contains(list, code) {
			list = append(list, code)
		}
	}
	return list
}

func (s sketch) products() {
	for i := range 1 + s.some(3, 5) {
		product := planning.Product{Code: fmt.Sprintf("P%d", i+1), Name: fmt.Sprintf("Case %d", i+1)}
		if s.in(2) {
			product.Slots = []planning.Slot{{Heads: pick(s, 4, 6, 12), Accept: s.codes(4)}}
		} else {
			for range s.Between(2, 3) {
				product.Slots = append(product.Slots, planning.Slot{Heads: s.Between(1, 4), Accept: s.codes(5), GrowersChoice: s.in(5)})
			}
			if s.in(2) {
				product.MaxHeadsPerVariety = new(s.Between(2, 4))
			}
		}
		s.p.Products = append(s.p.Products, product)
		if f := newFarm(s.p); !f.canBeMade(kind{product: i, free: true}) {
			s.p.Products[i].MaxHeadsPerVariety = nil
		}
	}
}

func (s sketch) lots() {
	for i := range 2 + s.some(7, 14) {
		l := planning.Lot{Code: fmt.Sprintf("L%02d", i+1), Variety: pick(s, s.p.Varieties...).Code, Heads: s.Between(0, 40)}
		if s.rich && s.in(2) {
			l.Heads += 90
		}
		if s.in(2) {
			l.CautiousHeads = new(l.Heads * s.Between(5, 10) / 10)
		}
		if s.in(3) {
			l.Place, l.Pulled = planning.Chilled, s.p.AsOf.Add(-s.Between(0, 4))
		} else {
			l.Place, l.Ready = planning.Bed, s.p.AsOf.Add(s.Between(-6, 4))
			l.Last = max(l.Ready, s.p.AsOf).Add(s.Between(0, 6))
			s.whereItStands(&l)
		}
		s.p.Lots = append(s.p.Lots, l)
	}
}

func (s sketch) whereItStands(l *planning.Lot) {
	if !s.in(4) {
		l.Rafts = new(domain.HalfRafts(s.Between(1, 8)))
	}
	if s.in(2) {
		l.BedName, l.At = pick(s, "north", "south"), new(s.Between(1, 6))
	}
}

func (s sketch) lines() {
	for i := range 1 + s.some(7, 22) {
		l := s.line(fmt.Sprintf("N%02d", i+1))
		s.word(&l)
		s.p.Lines = append(s.p.Lines, l)
	}
}

func (s sketch) line(id string) planning.Line {
	l := planning.Line{ID: id, Customer: fmt.Sprintf("C%d", s.Between(1, 4)),
		Product: pick(s, s.p.Products...).Code, Pickup: pick(s, s.p.PickupDays...), Cases: s.Between(0, 6),
		Received:    time.Date(2027, 2, s.Between(1, 20), s.Between(6, 18), 0, 0, 0, time.UTC),
		AllOrNone:   s.in(6),
		Substitutes: pick(s, "", "", "", planning.SubstituteYes, planning.SubstituteAsk, planning.SubstituteNever)}
	if s.in(2) {
		l.Priority = s.Between(1, 3)
	}
	if s.in(8) {
		l.AtMost = new(s.Between(0, 4))
	}
	if s.in(6) {
		l.Refuse = s.codes(2)
	}
	if s.in(3) {
		l.MinShelfDays = s.Between(1, 9)
	}
	if s.in(8) {
		l.LeadDays = new(s.Between(0, 3))
	}
	return l
}

func (s sketch) word(l *planning.Line) {
	if !s.in(4) {
		return
	}
	l.Promised = s.Between(1, 6)
	if !s.in(3) {
		l.PromisedAt = time.Date(2027, 2, s.Between(1, 3), 0, 0, 0, 0, time.UTC)
	}
}

// packed makes up cases on hand, most of them a case of their product.
func (s sketch) packed() {
	if !s.in(2) {
		return
	}
	for i := range s.Between(1, 3) {
		line := pick(s, s.p.Lines...)
		c := planning.Packed{Code: fmt.Sprintf("K%d", i+1), Product: line.Product, Cases: s.Between(1, 4),
			Pulled: s.p.AsOf.Add(-s.Between(0, 6))}
		if s.in(3) {
			c.Line = line.ID
		}
		heads := map[string]int{}
		for _, slot := range s.p.Products[newFarm(s.p).product[c.Product]].Slots {
			code := slot.Accept[0]
			if s.in(4) {
				code = pick(s, slot.Accept...)
			}
			heads[code] += slot.Heads
		}
		for _, v := range s.p.Varieties {
			if n := heads[v.Code]; n > 0 {
				c.Contents = append(c.Contents, planning.VarietyHeads{Variety: v.Code, Heads: n})
			}
		}
		s.p.Packed = append(s.p.Packed, c)
	}
}
