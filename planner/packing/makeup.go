package packing

import (
	"encoding/binary"
	"math"
	"slices"

	"headtally/domain/planning"
)

// recipe is the heads of each variety in one case, by the makeup's varieties.
type recipe []int

// makeup is what a case of a product is made of.
type makeup struct {
	product int
	// varieties are those any slot accepts: the first choices by slot, then the
	// second ones, and so on. (Not the problem's order, which means nothing.)
	varieties []int
	need      []int // heads by slot
	heads     int   // heads of a case
	most      int   // most heads of one variety in a case, over all slots
}

func makeupOf(b *planning.Book, product int) *makeup {
	p := &b.Products[product]
	m := &makeup{product: product}
	places := 0
	for i := range p.Slots {
		m.need = append(m.need, p.Slots[i].Heads)
		m.heads += p.Slots[i].Heads
		places = max(places, len(b.Accept[product][i]))
	}
	for place := range places {
		for _, accept := range b.Accept[product] {
			if place < len(accept) && !slices.Contains(m.varieties, accept[place]) {
				m.varieties = append(m.varieties, accept[place])
			}
		}
	}
	m.most = m.heads
	if p.MaxHeadsPerVariety != nil {
		m.most = min(m.most, *p.MaxHeadsPerVariety)
	}
	return m
}

// barred is the cost of a head that a slot does not take.
const barred = -1

// rules are what a line class may be sent of a makeup. Classes of a product
// that differ in shelf life or lead days only share one value.
type rules struct {
	*makeup
	cost  [][]int // slot, variety -> substitution of a head, or barred
	first []int   // slot -> its cheapest variety, the first of several
	top   recipe  // most heads of each variety that a case can hold
	known map[string]fit
	every map[string]int // all recipes with their substitution; nil until asked for
}

// fit is a recipe laid out in the slots of a case with the least substitution.
type fit struct {
	slots        [][]int // slot, variety -> heads; nil: no case can hold this recipe
	substitution int
}

func (f fit) ok() bool { return f.slots != nil }

func rulesOf(b *planning.Book, m *makeup, substitutes bool, refuse []int) *rules {
	r := &rules{makeup: m, known: map[string]fit{}, top: make(recipe, len(m.varieties))}
	for i, choices := range b.RulesFor(m.product, substitutes, refuse).Slots {
		cost, best := slices.Repeat([]int{barred}, len(m.varieties)), barred
		for _, c := range choices {
			k := slices.Index(m.varieties, c.Variety)
			cost[k] = c.Place
			r.top[k] = min(m.most, r.top[k]+m.need[i])
		}
		for k, place := range cost {
			if place != barred && (best == barred || place < cost[best]) {
				best = k
			}
		}
		r.cost = append(r.cost, cost)
		r.first = append(r.first, best)
	}
	return r
}

// lay is the best layout of a recipe in one case. The least substitution of a
// recipe is the same for every class that may be sent it.
func (r *rules) lay(mix recipe) fit {
	var short [64]byte
	key := appendKey(short[:0], mix)
	f, known := r.known[string(key)]
	if !known {
		f = r.layCases(mix, 1)
		r.known[string(key)] = f
	}
	return f
}

// keyOf is a recipe as a key of maps.
func keyOf(mix recipe) string { return string(appendKey(nil, mix)) }

// appendKey writes four bytes a variety: a case of a hundred slots, each of a
// million heads at most, fits in.
func appendKey(key []byte, mix recipe) []byte {
	for _, n := range mix {
		key = binary.BigEndian.AppendUint32(key, uint32(n))
	}
	return key
}

func recipeOf(key string, varieties int) recipe {
	mix := make(recipe, varieties)
	for k := range mix {
		mix[k] = int(binary.BigEndian.Uint32([]byte(key[4*k : 4*k+4])))
	}
	return mix
}

// layCases lays the heads of so many cases out in their slots, with the least
// substitution; the cap is kept on average, as recipes keep it case by case.
func (r *rules) layCases(heads recipe, cases int) fit {
	total := 0
	for k, n := range heads {
		if n < 0 || n > r.top[k]*cases {
			return fit{}
		}
		total += n
	}
	if total != r.heads*cases {
		return fit{}
	}
	slots := r.firstChoices(heads, cases)
	if slots == nil {
		fill := filling{need: make([]int, len(r.need)), cost: r.cost, must: heads, may: make([]int, len(heads))}
		for i, n := range r.need {
			fill.need[i] = n * cases
		}
		var ok bool
		if slots, ok = fill.solve(); !ok {
			return fit{}
		}
	}
	return fit{slots: slots, substitution: r.substitutionOf(slots)}
}

// firstChoices lays cases out that hold the first choice of every slot and
// nothing else, as most do; nil where these heads are others.
func (r *rules) firstChoices(heads recipe, cases int) [][]int {
	if slices.Contains(r.first, barred) {
		return nil
	}
	for k, n := range heads {
		for i, need := range r.need {
			if r.first[i] == k {
				n -= need * cases
			}
		}
		if n != 0 {
			return nil
		}
	}
	slots := make([][]int, len(r.need))
	for i, need := range r.need {
		slots[i] = make([]int, len(heads))
		slots[i][r.first[i]] = need * cases
	}
	return slots
}

func (r *rules) substitutionOf(slots [][]int) (sum int) {
	for i, row := range slots {
		for k, n := range row {
			sum += n * max(r.cost[i][k], 0)
		}
	}
	return sum
}

// plus is a, and n times b.
func (a recipe) plus(n int, b recipe) recipe {
	sum := slices.Clone(a)
	for k := range sum {
		sum[k] += n * b[k]
	}
	return sum
}

// unnamed is the place of what has no place of its own: after all others.
const unnamed = math.MaxInt
