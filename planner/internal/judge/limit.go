package judge

import (
	"slices"

	"headtally/domain/planning"
)

// perRecipe weighs a recipe over the limit against substitution.
const perRecipe = 100_000

// FewestRecipes is the mixed-integer program of the recipe limit: within a
// plan's grants, the fewest recipes over the limit, added up over products and
// pickup days, and then the least substitution.
func FewestRecipes(p *planning.Problem, plan *planning.Plan) *Program {
	f := newFarm(p)
	m := &Program{}
	lots := make([]row, len(p.Lots))
	used := map[batchOf]map[string]int{} // product and pickup -> recipe -> column
	for k, n := range inOrder(f.fromLots(plan)) {
		day := batchOf{product: p.Products[k.product].Code, pickup: k.pickup}
		if used[day] == nil {
			used[day] = map[string]int{}
		}
		f.addRecipes(m, k, n, used[day], lots)
	}
	for i, r := range lots {
		r.bound = f.heads()[i]
		m.rows = append(m.rows, r)
	}
	for _, recipes := range used {
		r := row{bound: p.MaxRecipes}
		for _, c := range recipes {
			r.add(c, 1)
		}
		r.add(m.wholeColumn(-perRecipe), -1)
		m.rows = append(m.rows, r)
	}
	return m
}

// OverLimit reads the value of FewestRecipes: recipes over the limit, and the
// substitution.
func OverLimit(value float64) (recipes, substitution int) {
	cost := int(-value + 0.5)
	return cost / perRecipe, cost % perRecipe
}

// RecipesOver adds up the recipes over the limit that a plan's runs have.
func RecipesOver(p *planning.Problem, plan *planning.Plan) (over int) {
	used := map[batchOf]map[string]bool{}
	for _, run := range plan.Runs {
		day := batchOf{product: run.Product, pickup: run.Pickup}
		if used[day] == nil {
			used[day] = map[string]bool{}
		}
		used[day][recipe(run.Contents)] = true
	}
	for _, recipes := range used {
		over += max(0, len(recipes)-p.MaxRecipes)
	}
	return over
}

// addRecipes says that the cases of a class are packed to recipes in use, out
// of lots that serve it.
func (f *farm) addRecipes(m *Program, k kind, n int, used map[string]int, lots []row) {
	all := row{exact: true, bound: n}
	balance := make([]row, len(f.p.Varieties))
	for _, heads := range f.everyCase(k) {
		cost, _ := f.oneCase(k, heads)
		c := m.wholeColumn(-cost)
		all.add(c, 1)
		word := recipe(f.contents(heads))
		if _, known := used[word]; !known {
			used[word] = m.wholeColumn(0)
		}
		in := m.row(false, 0)
		in.add(c, 1)
		in.add(used[word], -n)
		for v, h := range heads {
			if h > 0 {
				balance[v].add(c, h)
			}
		}
	}
	for i := range lots {
		if v := f.variety[f.p.Lots[i].Variety]; len(balance[v].columns) > 0 && f.serves(i, k.pickup, k.lead, k.shelf) {
			c := m.column(0)
			lots[i].add(c, 1)
			balance[v].add(c, -1)
		}
	}
	m.rows = append(m.rows, all)
	for _, r := range balance {
		r.exact = true
		m.rows = append(m.rows, r)
	}
}

func (f *farm) contents(heads []int) (list []planning.VarietyHeads) {
	for v, h := range heads {
		if h > 0 {
			list = append(list, planning.VarietyHeads{Variety: f.p.Varieties[v].Code, Heads: h})
		}
	}
	return list
}

// everyCase lists every case of a kind that some lots could fill, as heads by
// variety, slot by slot.
func (f *farm) everyCase(k kind) (cases [][]int) {
	cases = [][]int{make([]int, len(f.p.Varieties))}
	for s, slot := range f.slots(k) {
		seen := map[string]bool{}
		var longer [][]int
		for _, c := range cases {
			f.fillSlot(c, f.inStock(k, f.accepts(k, s)), slot.Heads, func(heads []int) {
				if word := recipe(f.contents(heads)); !seen[word] && slices.Max(heads) <= f.capOf(k.product, 1) {
					seen[word] = true
					longer = append(longer, slices.Clone(heads))
				}
			})
		}
		cases = longer
	}
	return cases
}

// inStock are the varieties of which a lot serves the kind.
func (f *farm) inStock(k kind, varieties []int) []int {
	return slices.DeleteFunc(varieties, func(v int) bool {
		for i := range f.p.Lots {
			if l := &f.p.Lots[i]; l.Heads > 0 && f.variety[l.Variety] == v && f.serves(i, k.pickup, k.lead, k.shelf) {
				return false
			}
		}
		return true
	})
}

// fillSlot gives every way to put so many heads of these varieties beside those
// of a case.
func (f *farm) fillSlot(heads, varieties []int, n int, give func([]int)) {
	if n == 0 {
		give(heads)
		return
	}
	if len(varieties) == 0 {
		return
	}
	v := varieties[0]
	for h := 0; h <= n; h++ {
		heads[v] += h
		f.fillSlot(heads, varieties[1:], n-h, give)
		heads[v] -= h
	}
}
