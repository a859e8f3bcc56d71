package judge

import "maps"

// question is one that decided a grant: can these cases be filled from these
// heads, and how many heads are missing?
type question struct {
	heads   []int
	cases   map[kind]int
	missing int
}

// doubt keeps a refusal for a second opinion. Refusals by the case limit are
// plain counting and are left out.
func (r *round) doubt(i int, k kind, step int) {
	if r.room(i) < step {
		return
	}
	cases := maps.Clone(r.cases)
	cases[k] += step
	r.refused = append(r.refused, question{r.heads, cases, r.net.with(k, step).fill()})
}

// questions are all refusals, and what was granted in the end: whatever was
// granted on the way is part of it, so it was feasible too.
func (r *round) questions() []question {
	return append(r.refused, question{r.heads, maps.Clone(r.cases), 0})
}
