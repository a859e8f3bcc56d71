package packing

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"headtally/domain/planning"
)

// product is a case of named slots, each "2 A B C": heads, then the varieties
// accepted, best first; a slot that begins with "any" is the grower's choice.
func product(most int, slots ...planning.Slot) planning.Product {
	p := planning.Product{Code: "MIX", Name: "Mixed case", Slots: slots}
	if most > 0 {
		p.MaxHeadsPerVariety = &most
	}
	return p
}

func slot(heads int, accept ...string) planning.Slot {
	return planning.Slot{Heads: heads, Accept: accept}
}

func anyOf(heads int, accept ...string) planning.Slot {
	return planning.Slot{Heads: heads, Accept: accept, GrowersChoice: true}
}

// rulesFor are the rules of a plain class of the product, in a problem of its
// own.
func rulesFor(p planning.Product) *rules {
	problem := &planning.Problem{Products: []planning.Product{p}}
	for _, s := range p.Slots {
		for _, code := range s.Accept {
			if !slices.ContainsFunc(problem.Varieties, func(v planning.Variety) bool { return v.Code == code }) {
				problem.Varieties = append(problem.Varieties, planning.Variety{Code: code, ShelfDays: 10, HeadsPerTray: 12})
			}
		}
	}
	b := planning.Index(problem)
	return rulesOf(b, makeupOf(b, 0), true, nil)
}

// pairs counts the (slot, variety) pairs in use.
func pairs(slots [][]int) (n int) {
	for _, row := range slots {
		for _, heads := range row {
			if heads > 0 {
				n++
			}
		}
	}
	return n
}

// drawClass is a product of a few slots that share varieties, often capped, and
// the heads of some cases of it.
func drawClass(t *rapid.T) (r *rules, heads recipe, cases int) {
	codes := []string{"A", "B", "C", "D", "E"}[:rapid.IntRange(2, 5).Draw(t, "varieties")]
	var slots []planning.Slot
	for i := range rapid.IntRange(1, 4).Draw(t, "slots") {
		accept := rapid.Permutation(codes).Draw(t, fmt.Sprint("accept", i))[:rapid.IntRange(1, len(codes)).Draw(t, "choices")]
		slots = append(slots, planning.Slot{Heads: rapid.IntRange(1, 4).Draw(t, "heads"), Accept: accept,
			GrowersChoice: rapid.Bool().Draw(t, "growers choice")})
	}
	r = rulesFor(product(rapid.IntRange(0, 5).Draw(t, "most"), slots...))
	cases = rapid.IntRange(1, 12).Draw(t, "cases")
	heads = make(recipe, len(r.varieties))
	for range cases {
		mix := drawCase(t, r)
		if mix == nil {
			t.Skip("no case can be made")
		}
		heads = heads.plus(1, mix)
	}
	return r, heads, cases
}

// drawCase is any one case that keeps the rules, nil where there is none.
func drawCase(t *rapid.T, r *rules) recipe {
	fill := filling{need: r.need, must: make([]int, len(r.varieties)), may: make([]int, len(r.varieties))}
	for k := range fill.may {
		fill.may[k] = r.most
	}
	for _, row := range r.cost {
		cost := slices.Clone(row)
		for k := range cost {
			if cost[k] != barred {
				cost[k] = rapid.IntRange(0, 3).Draw(t, "liking")
			}
		}
		fill.cost = append(fill.cost, cost)
	}
	slots, ok := fill.solve()
	if !ok {
		return nil
	}
	return totals(slots, len(r.varieties))
}

// holds fails unless the portions are the class, each a case that keeps the
// rules, with the substitution of the class as a whole.
func holds(t rapid.TB, r *rules, heads recipe, cases int, portions []portion) {
	t.Helper()
	sum, n, substitution := make(recipe, len(heads)), 0, 0
	for i, p := range portions {
		if p.cases <= 0 || !r.lay(p.recipe).ok() {
			t.Fatalf("%d cases of %v are no portion", p.cases, p.recipe)
		}
		if p.substitution != r.lay(p.recipe).substitution {
			t.Fatalf("recipe %v has substitution %d, said %d", p.recipe, r.lay(p.recipe).substitution, p.substitution)
		}
		for _, other := range portions[:i] {
			if slices.Equal(other.recipe, p.recipe) {
				t.Fatalf("recipe %v twice", p.recipe)
			}
		}
		sum, n, substitution = sum.plus(p.cases, p.recipe), n+p.cases, substitution+p.cases*p.substitution
	}
	if n != cases || !slices.Equal(sum, heads) {
		t.Fatalf("portions are %d cases of %v in all, not %d of %v", n, sum, cases, heads)
	}
	if want := r.layCases(heads, cases).substitution; substitution != want {
		t.Fatalf("substitution %d, the class as a whole has %d", substitution, want)
	}
}

// A class never needs more recipes than (slot, variety) pairs in use, and one
// where the heads of every variety divide by the cases.
func TestRecipesStayWithinTheBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, heads, cases := drawClass(t)
		whole := r.layCases(heads, cases)
		for name, portions := range map[string][]portion{
			"balanced": r.balanced(whole.slots, cases), "fewest": r.fewest(heads, cases)} {
			holds(t, r, heads, cases, portions)
			if len(portions) > pairs(whole.slots) {
				t.Fatalf("%s: %d recipes for %d pairs", name, len(portions), pairs(whole.slots))
			}
			if _, even := heads.each(cases); even && len(portions) != 1 {
				t.Fatalf("%s: %d recipes where one does", name, len(portions))
			}
		}
	})
}

// The split found is as small, and as good, as the best of all splits.
func TestFewestIsTheFewest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, heads, cases := drawClass(t)
		if cases > 6 || len(everyRecipe(r)) > 40 {
			t.Skip("too many splits to go through")
		}
		found := r.fewest(heads, cases)
		best := everySplit(r, heads, cases)
		if len(found) != len(best) && len(best) <= 3 {
			t.Fatalf("%d recipes %v, %d would do: %v", len(found), found, len(best), best)
		}
		if len(best) <= 3 && (better(best, found) || better(found, best)) {
			t.Fatalf("%v found, %v is better", found, best)
		}
	})
}

// Cases of one substitution count together, in however many recipes they are.
func TestBetterCountsCasesOfOneSubstitutionTogether(t *testing.T) {
	four := []portion{{cases: 2}, {cases: 2}, {cases: 1, substitution: 2}}
	three := []portion{{cases: 3}, {cases: 1, substitution: 1}, {cases: 1, substitution: 1}}
	if !better(four, three) || better(three, four) {
		t.Error("three cases without a substitute are taken for better than four")
	}
	if alike := []portion{{cases: 3}, {cases: 1}, {cases: 1, substitution: 2}}; better(four, alike) || better(alike, four) {
		t.Error("four cases without a substitute in two recipes are taken for another number")
	}
}

// everySplit goes through all splits of a class into cases.
func everySplit(r *rules, heads recipe, cases int) (best []portion) {
	least := r.layCases(heads, cases).substitution
	recipes := everyRecipe(r)
	var walk func(next int, left recipe, open, substitution int, chosen []portion)
	walk = func(next int, left recipe, open, substitution int, chosen []portion) {
		if open == 0 {
			if found := inOrder(slices.Clone(chosen)); substitution == least && better(found, best) {
				best = found
			}
			return
		}
		if next == len(recipes) || substitution > least || best != nil && len(chosen) >= len(best) {
			return
		}
		p := portion{recipe: recipes[next], substitution: r.lay(recipes[next]).substitution}
		for n := range open + 1 {
			rest := left.plus(-n, p.recipe)
			if slices.Min(rest) < 0 {
				break
			}
			next, with := next+1, chosen
			if n > 0 {
				p.cases = n
				with = append(slices.Clone(chosen), p)
			}
			walk(next, rest, open-n, substitution+n*p.substitution, with)
		}
	}
	walk(0, heads, cases, 0, nil)
	return best
}

// everyRecipe lists all recipes that keep the rules.
func everyRecipe(r *rules) (all []recipe) {
	var walk func(mix recipe, left int)
	walk = func(mix recipe, left int) {
		if len(mix) == len(r.top) {
			if left == 0 && r.lay(mix).ok() {
				all = append(all, slices.Clone(mix))
			}
			return
		}
		for n := range min(left, r.top[len(mix)]) + 1 {
			walk(append(mix, n), left-n)
		}
	}
	walk(make(recipe, 0, len(r.top)), r.heads)
	return all
}

func TestRecipesInAGrowersWords(t *testing.T) {
	for _, c := range []struct {
		name  string
		p     planning.Product
		cases int
		heads recipe
		want  []portion
	}{
		{"one recipe where everything divides", product(0, slot(2, "A"), slot(2, "B")), 7, recipe{14, 14},
			[]portion{{recipe{2, 2}, 7, 0}}},
		{"the model's worked example without the cap", product(0, slot(2, "A", "B"), slot(2, "B")), 6, recipe{8, 16},
			[]portion{{recipe{2, 2}, 4, 0}, {recipe{0, 4}, 2, 2}}},
		{"most cases whole, the stand-ins together in a few", product(0, slot(12, "A", "B")), 7, recipe{80, 4},
			[]portion{{recipe{12, 0}, 6, 0}, {recipe{8, 4}, 1, 4}}},
		{"any variety is as good as the first where the grower chooses", product(0, anyOf(2, "A", "B"), slot(1, "C")), 3, recipe{3, 3, 3},
			[]portion{{recipe{1, 1, 1}, 3, 0}}},
		{"a cap holds in every case", product(2, slot(2, "A", "B"), slot(2, "C", "B")), 3, recipe{4, 4, 4},
			[]portion{{recipe{2, 2, 0}, 1, 0}, {recipe{1, 1, 2}, 2, 2}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rulesFor(c.p)
			got := r.fewest(c.heads, c.cases)
			holds(t, r, c.heads, c.cases, got)
			if fmt.Sprint(got) != fmt.Sprint(c.want) {
				t.Errorf("packed as %v, want %v", got, c.want)
			}
		})
	}
}
