package packing

import (
	"cmp"
	"maps"
	"slices"
)

// batch is the orders of one product and pickup day: the cases that the limit
// on recipes speaks of.
type batch struct {
	orders  []*order // in rank
	options []option // recipes for one of the orders or more, least substitution first
	packed  packing  // as decided so far
}

// option is a recipe that a batch could be packed to.
type option struct {
	recipe       recipe
	substitution int
	suits        []bool // by order
}

// packing is the recipes of a batch, and how many cases of each every order gets.
type packing []served

type served struct {
	recipe       recipe
	substitution int   // of one case
	cases        []int // by order
}

func (p packing) substitution() (sum int) {
	for _, s := range p {
		sum += s.substitution * total(s.cases)
	}
	return sum
}

// join is two packings of different cases as one.
func join(p, q packing) (both packing) {
	for _, s := range slices.Concat(p, q) {
		at := slices.IndexFunc(both, func(t served) bool { return slices.Equal(s.recipe, t.recipe) })
		if at < 0 {
			at = len(both)
			both = append(both, served{s.recipe, s.substitution, make([]int, len(s.cases))})
		}
		for i, n := range s.cases {
			both[at].cases[i] += n
		}
	}
	return both
}

func total(counts []int) (sum int) {
	for _, n := range counts {
		sum += n
	}
	return sum
}

// headsFor is the heads by variety that a packing puts in an order's cases.
func (p packing) headsFor(order, varieties int) recipe {
	heads := make(recipe, varieties)
	for _, s := range p {
		heads = heads.plus(s.cases[order], s.recipe)
	}
	return heads
}

// batches groups the orders, in their order, and reads how they are packed.
func (w *bench) batches() (batches []*batch) {
	type key struct{ product, pickup int }
	at := map[key]*batch{}
	for _, o := range w.orders {
		k := key{o.Product, int(o.Pickup)}
		if at[k] == nil {
			at[k] = &batch{}
			batches = append(batches, at[k])
		}
		at[k].orders = append(at[k].orders, o)
	}
	for _, b := range batches {
		b.readPacked()
	}
	return batches
}

func (b *batch) readPacked() {
	for i, o := range b.orders {
		for _, p := range o.portions {
			own := served{p.recipe, p.substitution, make([]int, len(b.orders))}
			own.cases[i] = p.cases
			b.packed = join(b.packed, packing{own})
		}
	}
}

// inBound says whether each order keeps the bound on its own recipes.
func (b *batch) inBound(p packing) bool {
	for i, o := range b.orders {
		if !o.inBound(p.of(i)) {
			return false
		}
	}
	return true
}

// of is the portions of one order.
func (p packing) of(order int) (portions []portion) {
	for _, s := range p {
		if n := s.cases[order]; n > 0 {
			portions = append(portions, portion{s.recipe, n, s.substitution})
		}
	}
	return portions
}

// writePacked gives the orders their portions and heads as decided.
func (b *batch) writePacked() {
	for i, o := range b.orders {
		o.portions = inOrder(b.packed.of(i))
		o.heads = b.packed.headsFor(i, len(o.heads))
	}
}

// listOptions lists the batch's recipes, once.
func (b *batch) listOptions() {
	if b.options != nil {
		return
	}
	at := map[string]int{}
	for i, o := range b.orders {
		for key, substitution := range o.rules.everyCase() {
			n, known := at[key]
			if !known {
				n = len(b.options)
				at[key] = n
				b.options = append(b.options, option{recipeOf(key, len(o.heads)), substitution, make([]bool, len(b.orders))})
			}
			b.options[n].suits[i] = true
		}
	}
	slices.SortFunc(b.options, func(x, y option) int {
		return cmp.Or(cmp.Compare(x.substitution, y.substitution), slices.Compare(y.recipe, x.recipe))
	})
}

// mostCases bounds the recipes that are gone through for one product; beyond
// it those of most substitution are left out.
const mostCases = 2000

// everyCase is all recipes that keep the rules, by key, with the substitution
// of each: slot by slot, every way to fill the slot beside every recipe for
// the slots before it.
func (r *rules) everyCase() map[string]int {
	if r.every != nil {
		return r.every
	}
	cases := map[string]int{keyOf(make(recipe, len(r.varieties))): 0}
	for slot, need := range r.need {
		longer := map[string]int{}
		for _, key := range slices.Sorted(maps.Keys(cases)) {
			r.fillSlot(recipeOf(key, len(r.varieties)), slot, 0, need, cases[key], longer)
		}
		cases = cheapest(longer, mostCases)
	}
	r.every = cases
	return cases
}

// fillSlot notes every way to put so many heads of varieties from k on in a
// slot, beside those of a recipe.
func (r *rules) fillSlot(mix recipe, slot, k, need, substitution int, into map[string]int) {
	if need == 0 {
		key := keyOf(mix)
		if known, seen := into[key]; !seen || substitution < known {
			into[key] = substitution
		}
		return
	}
	for n := max(0, need-r.roomAfter(mix, slot, k+1)); n <= r.roomFor(mix, slot, k, need) && len(into) < 8*mostCases; n++ {
		mix[k] += n
		r.fillSlot(mix, slot, k+1, need-n, substitution+n*r.cost[slot][k], into)
		mix[k] -= n
	}
}

// roomFor is how many heads of a variety, up to a number, a slot can take
// beside those of a recipe.
func (r *rules) roomFor(mix recipe, slot, k, most int) int {
	if r.cost[slot][k] == barred {
		return 0
	}
	return min(most, r.most-mix[k])
}

// roomAfter is the same for the varieties from k on, together.
func (r *rules) roomAfter(mix recipe, slot, k int) (room int) {
	for ; k < len(mix); k++ {
		room += r.roomFor(mix, slot, k, r.heads)
	}
	return room
}

// cheapest keeps the entries of least substitution, ties by key.
func cheapest(cases map[string]int, most int) map[string]int {
	if len(cases) <= most {
		return cases
	}
	keys := make([]string, 0, len(cases))
	for key := range cases {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(x, y string) int {
		return cmp.Or(cmp.Compare(cases[x], cases[y]), cmp.Compare(x, y))
	})
	for _, key := range keys[most:] {
		delete(cases, key)
	}
	return cases
}
