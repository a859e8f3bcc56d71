package packing

import "slices"

// portion is so many cases of one recipe.
type portion struct {
	recipe       recipe
	cases        int
	substitution int // of one case
}

// balanced splits a class, laid out as heads by slot and variety over all its
// cases, into recipes: at most as many as there are (slot, variety) pairs in
// use, and one where the heads of every variety divide by the cases.
//
// Each step takes a case in which every slot has its share of every variety,
// rounded down or up, and so has the whole case (there is one: a bipartite
// multigraph has a balanced edge colouring, D. de Werra, 1971), and packs as
// many of it as leave every share of the rest between the same two whole
// numbers. Invariant: a share that has become whole stays so. Each step makes
// one more share whole, for with n cases left a share that lies r heads above
// its lower whole number loses one of r or one of n-r each time, and the step
// ends when one of these is used up. The shares of a slot add up to its heads,
// so a class has fewer steps than pairs (this is the integer Caratheodory
// property of polyhedra given by totally unimodular matrices: D. Gijswijt and
// G. Regts, Journal of Combinatorial Theory B 102, 2012). Taking the largest
// multiple of any valid case instead can overrun the bound.
func (r *rules) balanced(slots [][]int, cases int) (portions []portion) {
	rest := make([][]int, len(slots))
	for i := range slots {
		rest[i] = slices.Clone(slots[i])
	}
	for cases > 0 {
		layout := r.evenCase(rest, cases)
		n := evenCases(rest, layout, cases)
		for i, row := range layout {
			for k, heads := range row {
				rest[i][k] -= n * heads
			}
		}
		mix := make(recipe, len(r.varieties))
		for _, row := range layout {
			mix = mix.plus(1, row)
		}
		portions = r.add(portions, mix, n)
		cases -= n
	}
	return portions
}

// evenCase is a case with every share rounded down or up, of the least
// substitution among these.
func (r *rules) evenCase(rest [][]int, cases int) [][]int {
	fill := filling{need: slices.Clone(r.need), cost: r.cost,
		room: make([][]int, len(rest)), must: make([]int, len(r.varieties)), may: make([]int, len(r.varieties))}
	all := totals(rest, len(r.varieties))
	for k, n := range all {
		fill.must[k] = n / cases
		fill.may[k] = min(n%cases, 1)
	}
	for i, row := range rest {
		fill.room[i] = make([]int, len(row))
		for k, n := range row {
			fill.need[i] -= n / cases
			fill.must[k] -= n / cases
			fill.room[i][k] = min(n%cases, 1)
		}
	}
	layout, ok := fill.solve()
	if !ok {
		panic("packing: a class without a balanced case")
	}
	for i, row := range rest {
		for k, n := range row {
			layout[i][k] += n / cases
		}
	}
	return layout
}

// evenCases is how many times an even case can be packed while every share of
// what is left stays between the same two whole numbers.
func evenCases(rest, layout [][]int, cases int) int {
	most := cases
	bound := func(total, heads int) {
		above := total % cases
		switch {
		case above == 0:
		case heads > total/cases:
			most = min(most, above)
		default:
			most = min(most, cases-above)
		}
	}
	for i, row := range rest {
		for k, n := range row {
			bound(n, layout[i][k])
		}
	}
	all, heads := totals(rest, len(rest[0])), totals(layout, len(rest[0]))
	for k, n := range all {
		bound(n, heads[k])
	}
	return most
}

// totals adds heads by slot and variety up over the slots.
func totals(slots [][]int, varieties int) recipe {
	sum := make(recipe, varieties)
	for _, row := range slots {
		for k, n := range row {
			sum[k] += n
		}
	}
	return sum
}

// add puts more cases to the portion of their recipe.
func (r *rules) add(portions []portion, mix recipe, cases int) []portion {
	for i := range portions {
		if slices.Equal(portions[i].recipe, mix) {
			portions[i].cases += cases
			return portions
		}
	}
	return append(portions, portion{recipe: mix, cases: cases, substitution: r.lay(mix).substitution})
}
