package packing

import (
	"cmp"
	"slices"

	"headtally/domain/planning"
)

// standIns says, for each variety of a run's recipe, who stands in when it runs
// out, best first, and for which lines nobody may. Lines that take stand-ins
// take every one that is listed.
func (w *bench) standIns(r *run) []planning.StandIn {
	all := make([]planning.StandIn, 0, len(r.recipe))
	for k, n := range r.recipe {
		if n > 0 {
			all = append(all, w.standInsFor(r, k))
		}
	}
	return all
}

func (w *bench) standInsFor(r *run, k int) planning.StandIn {
	varieties := r.orders[0].rules.varieties
	s := planning.StandIn{Variety: w.Varieties[varieties[k]].Code, Then: []string{}}
	takes := make([]bool, len(r.shares)) // by share: a stand-in listed so far
	for _, other := range w.byPlace(r, k) {
		willing := func(i int) bool { return r.shares[i].order.rules.mayReplace(r.recipe, k, other) }
		if len(s.Then) > 0 {
			if r.each(func(i int) bool { return !takes[i] || willing(i) }) {
				s.Then = append(s.Then, w.Varieties[varieties[other]].Code)
			}
			continue
		}
		if r.each(func(i int) bool { return !willing(i) }) {
			continue
		}
		s.Then = append(s.Then, w.Varieties[varieties[other]].Code)
		for i := range takes {
			takes[i] = willing(i)
		}
	}
	for i, sh := range r.shares {
		if !takes[i] {
			s.NotFor = append(s.NotFor, w.Lines[sh.line].ID)
		}
	}
	return s
}

// each says whether something holds of every share of the run.
func (r *run) each(holds func(share int) bool) bool {
	for i := range r.shares {
		if !holds(i) {
			return false
		}
	}
	return true
}

// byPlace are the varieties that share a slot with variety k, those first that
// stand better in the slots where k lies.
func (w *bench) byPlace(r *run, k int) (others []int) {
	first := r.orders[0]
	layout := first.rules.lay(r.recipe).slots
	for place, left := 0, true; left; place++ {
		left = false
		for slot, row := range layout {
			accept := w.Accept[first.Product][slot]
			if row[k] == 0 || place >= len(accept) {
				continue
			}
			left = true
			other := slices.Index(first.rules.varieties, accept[place])
			if other != k && !slices.Contains(others, other) {
				others = append(others, other)
			}
		}
	}
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
