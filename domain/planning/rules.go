package planning

import (
	"math"
	"slices"

	"headtally/domain"
)

// Choice is a variety that may fill a slot, and its place in the slot's accept
// list as written: 0 for the first and, with grower's choice, for every one.
// The places of a case's heads add up to its substitution.
type Choice struct{ Variety, Place int }

// Rules is what a case of a product may hold for a line: the product's slots
// with what the line's substitutes and refusals leave of them.
type Rules struct {
	Slots [][]Choice // by slot, best first; empty where nothing is left
	Heads []int      // by slot, of one case
	Cap   int        // most heads of one variety in a case, over all slots
}

// RulesFor is the rules of a product for lines that take substitutes or not
// and refuse some varieties.
func (b *Book) RulesFor(product int, substitutes bool, refuse []int) *Rules {
	p := &b.Products[product]
	r := &Rules{Cap: math.MaxInt}
	if p.MaxHeadsPerVariety != nil {
		r.Cap = *p.MaxHeadsPerVariety
	}
	for s, accept := range b.Accept[product] {
		choice := p.Slots[s].GrowersChoice
		var left []Choice
		for place, v := range accept {
			if place > 0 && !substitutes && !choice {
				break
			}
			if choice {
				place = 0
			}
			if !slices.Contains(refuse, v) {
				left = append(left, Choice{v, place})
			}
		}
		r.Slots = append(r.Slots, left)
		r.Heads = append(r.Heads, p.Slots[s].Heads)
	}
	return r
}

// rules is the rules of a product by itself, its varieties numbered as they come.
func (p *Product) rules() (r *Rules, number func(code string) int) {
	numbers := map[string]int{}
	number = func(code string) int {
		if _, known := numbers[code]; !known {
			numbers[code] = len(numbers)
		}
		return numbers[code]
	}
	r = &Rules{Cap: math.MaxInt}
	if p.MaxHeadsPerVariety != nil {
		r.Cap = *p.MaxHeadsPerVariety
	}
	for _, s := range p.Slots {
		choices := make([]Choice, len(s.Accept))
		for i, code := range s.Accept {
			choices[i] = Choice{Variety: number(code)}
		}
		r.Slots, r.Heads = append(r.Slots, choices), append(r.Heads, s.Heads)
	}
	return r, number
}

// IsCase says whether contents are a case that the product's slots and cap allow.
func (p *Product) IsCase(contents []VarietyHeads) bool {
	r, number := p.rules()
	heads := map[int]int{}
	for _, c := range contents {
		heads[number(c.Variety)] += c.Heads
	}
	return r.Allow(heads)
}

// ContentsOf is the contents of a case on record as a document has them.
func ContentsOf(list []domain.VarietyHeads) []VarietyHeads {
	contents := make([]VarietyHeads, len(list))
	for i, c := range list {
		contents[i] = VarietyHeads{Variety: c.Variety, Heads: int(c.Heads)}
	}
	return contents
}

// CanBeMade says whether any case keeps the rules, heads being no matter.
func (r *Rules) CanBeMade() bool {
	return r.fill(func(int) int { return r.Cap })
}

// Allow says whether heads by variety are a case that keeps the rules: neither
// fewer nor more than its slots take, and of no variety more than the cap.
func (r *Rules) Allow(contents map[int]int) bool {
	total := 0
	for _, heads := range contents {
		if heads > r.Cap {
			return false
		}
		total += heads
	}
	for _, heads := range r.Heads {
		total -= heads
	}
	return total == 0 && r.fill(func(v int) int { return contents[v] })
}

// fill says whether the slots of one case can be filled when so many heads of
// each variety may be used. It is a maximum flow from varieties to slots by
// augmenting paths (L. R. Ford and D. R. Fulkerson, Maximal flow through a
// network, 1956); every path found fills a head or more, and none takes a head
// from a slot without putting another in its place.
func (r *Rules) fill(usable func(variety int) int) bool {
	f := filling{rules: r, left: map[int]int{}, in: make([]map[int]int, len(r.Slots))}
	for s, slot := range r.Slots {
		f.in[s] = map[int]int{}
		for _, c := range slot {
			f.left[c.Variety] = usable(c.Variety)
		}
	}
	for s, missing := range r.Heads {
		for missing > 0 {
			f.seen = make(map[int]bool, len(f.left))
			got := f.into(s, missing)
			if got == 0 {
				return false
			}
			missing -= got
		}
	}
	return true
}

type filling struct {
	rules *Rules
	left  map[int]int   // variety -> heads that may still be used
	in    []map[int]int // slot -> variety -> heads in the slot
	seen  map[int]bool  // varieties this search has been through
}

// into brings up to want heads into slot s, from what is left or by passing
// on what other slots hold and can replace, and says how many.
func (f *filling) into(s, want int) int {
	for _, c := range f.rules.Slots[s] {
		if got := min(want, f.left[c.Variety]); got > 0 {
			f.left[c.Variety] -= got
			f.in[s][c.Variety] += got
			return got
		}
	}
	for _, c := range f.rules.Slots[s] {
		if f.seen[c.Variety] {
			continue
		}
		f.seen[c.Variety] = true
		for other := range f.rules.Slots {
			held := f.in[other][c.Variety]
			if held == 0 || other == s {
				continue
			}
			if got := f.into(other, min(want, held)); got > 0 {
				f.in[other][c.Variety] -= got
				f.in[s][c.Variety] += got
				return got
			}
		}
	}
	return 0
}
