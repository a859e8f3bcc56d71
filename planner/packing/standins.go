package packing

import (
	"cmp"
	"slices"

	"headtally/domain/planning"
)

// standIns says, for each variety of a run's recipe, who stands in when it runs
// out, best first, and for which lines nobody may. Lines that take stand-ins
// take every one that is listed.
func (w *bench) standIns(r *run) (all []planning.StandIn) {
	varieties := r.orders[0].rules.varieties
	for k, n := range r.recipe {
		if n == 0 {
			continue
		}
		s := planning.StandIn{Variety: w.Varieties[varieties[k]].Code, Then: []string{}}
		takers := map[*order]bool{}
		for _, other := range w.byPlace(r, k) {
			willing := map[*order]bool{}
			for _, sh := range r.shares {
				if sh.order.rules.mayReplace(r.recipe, k, other) {
					willing[sh.order] = true
				}
			}
			if len(s.Then) == 0 && len(willing) > 0 {
				takers = willing
			}
			if len(willing) > 0 && containsAll(willing, takers) {
				s.Then = append(s.Then, w.Varieties[varieties[other]].Code)
			}
		}
		for _, sh := range r.shares {
			if !takers[sh.order] {
				s.NotFor = append(s.NotFor, w.Lines[sh.line].ID)
			}
		}
		all = append(all, s)
	}
	return all
}

func containsAll(set, wanted map[*order]bool) bool {
	for o := range wanted {
		if !set[o] {
			return false
		}
	}
	return true
}

// byPlace are the varieties that share a slot with variety k, those first that
// stand better in the slots where k lies.
func (w *bench) byPlace(r *run, k int) (others []int) {
	first := r.orders[0]
	place := make([]int, len(first.rules.varieties))
	for i := range place {
		place[i] = unnamed
	}
	for slot, row := range first.rules.lay(r.recipe).slots {
		if row[k] == 0 {
			continue
		}
		for at, v := range w.Accept[first.Product][slot] {
			other := slices.Index(first.rules.varieties, v)
			place[other] = min(place[other], at)
		}
	}
	for other, at := range place {
		if other != k && at < unnamed {
			others = append(others, other)
		}
	}
	slices.SortStableFunc(others, func(x, y int) int { return cmp.Compare(place[x], place[y]) })
	return others
}

// mayReplace says whether the rules take another variety for a head of k, where
// it lies in the slots of a case that is else packed to the recipe.
func (r *rules) mayReplace(mix recipe, k, other int) bool {
	if mix[other] >= r.most {
		return false
	}
	for slot, row := range r.lay(mix).slots {
		if row[k] > 0 && r.cost[slot][other] != barred {
			return true
		}
	}
	return false
}

// dropFirst are the lines of a run in the order in which they go short if
// cases must be dropped: those without a word for all they get, worst rank
// first; then those with one, the youngest word first.
func (w *bench) dropFirst(r *run) []string {
	lines := make([]int, len(r.shares))
	for i, s := range r.shares {
		lines[i] = s.line
	}
	slices.SortFunc(lines, func(x, y int) int {
		given := func(line int) bool {
			return w.Lines[line].Word() > 0 && w.plan.Lines[line].Filled <= w.Lines[line].Word()
		}
		youngest := 0
		if given(x) && given(y) {
			youngest = w.Lines[y].PromisedAt.Compare(w.Lines[x].PromisedAt)
		}
		return cmp.Or(compareBool(given(x), given(y)), youngest, cmp.Compare(w.rank[y], w.rank[x]))
	})
	ids := make([]string, len(lines))
	for i, line := range lines {
		ids[i] = w.Lines[line].ID
	}
	return ids
}
