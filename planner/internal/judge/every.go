package judge

import (
	"fmt"
	"math/rand/v2"

	"headtally/domain/planning"
)

// Tiny is random problem number n made so small that every way to fill its cases
// can be tried: at most six lots of at most eight heads, six lines of at most two
// cases, and slots of one or two heads.
func Tiny(n int) *planning.Problem {
	s := sketch{Dice: seeded{rand.New(rand.NewPCG(uint64(n), 11))}}
	s.p = Random(s.Dice, false)
	p := s.p
	p.Lots, p.Lines, p.Packed = p.Lots[:min(6, len(p.Lots))], p.Lines[:min(6, len(p.Lines))], nil
	most := pick(s, 4, 8)
	for i := range p.Lots {
		p.Lots[i].Heads, p.Lots[i].CautiousHeads = s.Between(0, most), nil
		if s.in(3) {
			p.Lots[i].CautiousHeads = new(s.Between(0, p.Lots[i].Heads))
		}
	}
	for i := range p.Products {
		product := &p.Products[i]
		product.MaxHeadsPerVariety = nil
		for k := range product.Slots {
			product.Slots[k].Heads = s.Between(1, 2)
		}
		if s.in(2) {
			product.MaxHeadsPerVariety = new(s.Between(1, 3))
		}
		if !newFarm(p).canBeMade(kind{product: i, free: true}) {
			product.MaxHeadsPerVariety = nil
		}
	}
	for i := range p.Lines {
		l := &p.Lines[i]
		l.Cases, l.Promised = min(l.Cases, s.Between(1, 2)), min(l.Promised, 2)
	}
	return p
}

// EveryWay tries every way to put heads into the cases of a tiny problem, head by
// head and case by case, and says where that finds another answer than the
// ruling: a refusal that was none, grants that cannot be filled, an optimum that
// is none.
func EveryWay(p *planning.Problem, r *Ruling) (wrong []string) {
	for _, q := range r.questions {
		wants := r.farm.demand(q.cases)
		if best := r.farm.everyWay(q.heads, q.cases); best.filled != wants-q.missing {
			wrong = append(wrong, fmt.Sprintf("cases %v: at most %d of %d heads can be put in, and the ruling lacks %d", q.cases, best.filled, wants, q.missing))
		}
	}
	best := r.farm.everyWay(r.farm.heads(), r.cases)
	if best.substitution != r.Substitution || best.expiring != r.ExpiringUsed {
		wrong = append(wrong, fmt.Sprintf("substitution %d with %d expiring heads is best, and the ruling has %d and %d", best.substitution, best.expiring, r.Substitution, r.ExpiringUsed))
	}
	return wrong
}

// filling is how well cases are filled: first the most heads, then the least
// substitution, then the most heads of expiring lots.
type filling struct{ filled, substitution, expiring int }

func (a filling) beats(b filling) bool {
	if a.filled != b.filled {
		return a.filled > b.filled
	}
	if a.substitution != b.substitution {
		return a.substitution < b.substitution
	}
	return a.expiring > b.expiring
}

// hole is a place for one head in one case.
type hole struct {
	class int
	slot  int
	first bool // of its case
}

// trying is the search through every way. What is left to be won from a hole
// on depends on what the lots have left and what the case holds, so each of
// these is looked at once.
type trying struct {
	f       *farm
	kinds   []kind
	holes   []hole
	serves  [][]bool // class -> lot
	expires []bool
	seen    map[moment]filling
}

// moment is where a search stands: so many heads left in each lot, and so many of
// each variety in the case that is being filled, four bits each.
type moment struct {
	hole       int
	left, used uint64
}

func (f *farm) everyWay(heads []int, cases map[kind]int) filling {
	if len(heads) > 16 || len(f.p.Varieties) > 16 {
		panic("judge: too large to try every way")
	}
	t := &trying{f: f, seen: map[moment]filling{}}
	for k, n := range inOrder(cases) {
		t.add(k, n)
	}
	start := moment{}
	for lot, n := range heads {
		start.left |= uint64(n) << (4 * lot)
		t.expires = append(t.expires, f.expires(lot))
	}
	return t.best(start)
}

// add lays out the holes of so many cases of a class.
func (t *trying) add(k kind, cases int) {
	var serves []bool
	for lot := range t.f.p.Lots {
		serves = append(serves, t.f.serves(lot, k.pickup, k.lead, k.shelf))
	}
	for range cases {
		first := true
		for slot, s := range t.f.slots(k) {
			for range s.Heads {
				t.holes = append(t.holes, hole{len(t.kinds), slot, first})
				first = false
			}
		}
	}
	t.kinds, t.serves = append(t.kinds, k), append(t.serves, serves)
}

// best is the best that can be made of the holes from a moment on: the hole stays
// empty, or has a head of any lot that may go there.
func (t *trying) best(m moment) filling {
	if m.hole == len(t.holes) {
		return filling{}
	}
	h := t.holes[m.hole]
	if h.first {
		m.used = 0
	}
	if known, is := t.seen[m]; is {
		return known
	}
	best := t.best(moment{m.hole + 1, m.left, m.used})
	k := t.kinds[h.class]
	for _, v := range t.f.accepts(k, h.slot) {
		if int(m.used>>(4*v)&15) >= t.f.capOf(k.product, 1) {
			continue
		}
		for lot := range t.serves[h.class] {
			if m.left>>(4*lot)&15 == 0 || !t.serves[h.class][lot] || t.f.variety[t.f.p.Lots[lot].Variety] != v {
				continue
			}
			with := t.best(moment{m.hole + 1, m.left - 1<<(4*lot), m.used + 1<<(4*v)})
			with.filled++
			with.substitution += t.f.place(k.product, h.slot, v)
			if t.expires[lot] {
				with.expiring++
			}
			if with.beats(best) {
				best = with
			}
		}
	}
	t.seen[m] = best
	return best
}
