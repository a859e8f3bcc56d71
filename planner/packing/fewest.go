package packing

import (
	"cmp"
	"slices"
)

// searchSteps bounds the search for fewer recipes in one class; where it ends
// the balanced split stands, which is within the bound. Common classes need a
// few hundred steps.
const searchSteps = 20_000

// layingSteps is what it counts to lay the cases of a class out once.
const layingSteps = 20

// splitter looks for splits of a class's heads into few recipes.
type splitter struct {
	*rules
	steps int // left
}

// fewest splits the heads of a class into few recipes with the least
// substitution in all: one, two or three where there is such a split, as the
// search finds it; else a balanced split, its tail searched in the same way.
// Of two splits with equally many recipes it takes the one with more cases of
// least substitution.
func (r *rules) fewest(heads recipe, cases int) []portion {
	s := &splitter{rules: r, steps: searchSteps}
	if found := s.upToThree(heads, cases); found != nil {
		return found
	}
	best := r.balanced(r.layCases(heads, cases).slots, cases)
	for head := 1; head < len(best)-2; head++ {
		rest, left := heads, cases
		for _, p := range best[:head] {
			rest, left = rest.plus(-p.cases, p.recipe), left-p.cases
		}
		if tail := s.upToThree(rest, left); tail != nil && head+len(tail) < len(best) {
			best = append(slices.Clone(best[:head]), tail...)
		}
	}
	return inOrder(best)
}

// inOrder sorts portions by substitution, then recipe.
func inOrder(portions []portion) []portion {
	slices.SortFunc(portions, func(a, b portion) int {
		return cmp.Or(cmp.Compare(a.substitution, b.substitution), slices.Compare(b.recipe, a.recipe))
	})
	return portions
}

// better says whether portions a, in order, are fewer recipes than b, or as
// many with more cases of the least substitution; where these are as many, of
// the next, and so on.
func better(a, b []portion) bool {
	if b == nil || len(a) != len(b) {
		return b == nil || len(a) < len(b)
	}
	for len(a) > 0 && len(b) > 0 {
		alike, cases := leastOf(a)
		other, more := leastOf(b)
		switch {
		case a[0].substitution != b[0].substitution:
			return a[0].substitution < b[0].substitution
		case cases != more:
			return cases > more
		}
		a, b = a[alike:], b[other:]
	}
	return false
}

// leastOf is how many portions, which are in order, have the least
// substitution, and their cases.
func leastOf(p []portion) (portions, cases int) {
	for portions < len(p) && p[portions].substitution == p[0].substitution {
		cases += p[portions].cases
		portions++
	}
	return portions, cases
}

// upToThree is the best split into one, two or three recipes, nil where the
// search found none.
func (s *splitter) upToThree(heads recipe, cases int) []portion {
	if mix, ok := heads.each(cases); ok {
		return []portion{{recipe: mix, cases: cases, substitution: s.lay(mix).substitution}}
	}
	if found := s.two(heads, cases); found != nil {
		return found
	}
	return s.three(heads, cases)
}

// each is the heads of one case where they divide by the cases.
func (a recipe) each(cases int) (recipe, bool) {
	mix := make(recipe, len(a))
	for k, n := range a {
		if n%cases != 0 {
			return nil, false
		}
		mix[k] = n / cases
	}
	return mix, true
}

// two is the best split into two recipes: for every number n of cases of the
// first, the whole-number solutions of n*a + (cases-n)*b = heads, variety by
// variety, such that both add up to a case.
func (s *splitter) two(heads recipe, cases int) (best []portion) {
	least := s.layCases(heads, cases).substitution
	ways := make([][]int, len(heads))
	for n := cases - 1; n >= 1 && s.steps > 0; n-- {
		if !s.fillWays(ways, heads, n, cases-n) {
			continue
		}
		s.eachPair(ways, make(recipe, 0, len(heads)), 0, func(a recipe) {
			x := portion{recipe: slices.Clone(a), cases: n}
			rest, _ := heads.plus(-n, a).each(cases - n)
			y := portion{recipe: rest, cases: cases - n}
			fx, fy := s.lay(x.recipe), s.lay(y.recipe)
			x.substitution, y.substitution = fx.substitution, fy.substitution
			if !fx.ok() || !fy.ok() || n*x.substitution+y.cases*y.substitution != least {
				return
			}
			if found := inOrder([]portion{x, y}); better(found, best) {
				best = found
			}
		})
	}
	return best
}

// fillWays lists, by variety, the heads of it that a case of the first recipe
// may hold; false where a variety has none.
func (s *splitter) fillWays(ways [][]int, heads recipe, n, m int) bool {
	for k, all := range heads {
		ways[k] = ways[k][:0]
		for a := range min(s.top[k], all/n) + 1 {
			s.steps--
			if rest := all - n*a; rest%m == 0 && rest/m <= s.top[k] {
				ways[k] = append(ways[k], a)
			}
		}
		if len(ways[k]) == 0 {
			return false
		}
	}
	return true
}

// eachPair calls found with every choice of one way a variety that adds up to
// the heads of a case.
func (s *splitter) eachPair(ways [][]int, chosen recipe, sum int, found func(recipe)) {
	s.steps--
	if s.steps < 0 || sum > s.heads {
		return
	}
	if len(chosen) == len(ways) {
		if sum == s.heads {
			found(chosen)
		}
		return
	}
	for _, n := range ways[len(chosen)] {
		s.eachPair(ways, append(chosen, n), sum+n, found)
	}
}

// three is the best split into three recipes that the search finds: the one
// with most cases, which are at least a third, and a split of the rest in two.
func (s *splitter) three(heads recipe, cases int) (best []portion) {
	if cases < 3 {
		return nil
	}
	least := s.layCases(heads, cases).substitution
	for n := cases - 2; 3*n >= cases && s.steps > 0; n-- {
		ways := make([][]int, len(heads))
		for k, all := range heads {
			for a := range min(s.top[k], all/n) + 1 {
				s.steps--
				if all-n*a <= s.top[k]*(cases-n) {
					ways[k] = append(ways[k], a)
				}
			}
		}
		s.eachPair(ways, make(recipe, 0, len(heads)), 0, func(a recipe) {
			f := s.lay(a)
			rest := heads.plus(-n, a)
			s.steps -= layingSteps
			if !f.ok() {
				return
			}
			if left := s.layCases(rest, cases-n); !left.ok() || n*f.substitution+left.substitution != least {
				return
			}
			x := portion{recipe: slices.Clone(a), cases: n, substitution: f.substitution}
			found := s.two(rest, cases-n)
			if found == nil || slices.ContainsFunc(found, func(p portion) bool { return slices.Equal(p.recipe, a) }) {
				return
			}
			if found = inOrder(append(found, x)); better(found, best) {
				best = found
			}
		})
	}
	return best
}
