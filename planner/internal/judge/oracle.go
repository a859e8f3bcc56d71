package judge

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// Ruling is the part of a plan that is the same for everybody who follows the
// model: the lines (without heads), and the values of steps 1 and 2.
type Ruling struct {
	Lines        []planning.LinePlan
	Substitution int
	ExpiringUsed int

	farm      *farm
	cases     map[kind]int // granted out of lots
	questions []question   // what decided the grants, for a second opinion
}

// Rule decides a problem that keeps the rules of the document.
func Rule(p *planning.Problem) *Ruling {
	f := newFarm(p)
	heads, cautious := f.heads(), f.cautious()
	first := newRound(f, heads)
	first.grant()
	sure := newRound(f, cautious)
	sure.grant()
	first.offers()
	r := &Ruling{farm: f, cases: first.cases, questions: append(first.questions(), sure.questions()...)}
	for i := range p.Lines {
		r.Lines = append(r.Lines, first.linePlan(i, sure.got[i]))
	}
	r.Substitution, r.ExpiringUsed = optimum(f, heads, first.cases)
	return r
}

// round is the five passes, done with one count of the lots' heads.
type round struct {
	*farm
	heads   []int
	net     *network
	cases   map[kind]int // granted out of lots
	left    []int        // packed cases not taken
	got     []int        // by line, packed and out of lots
	taken   [][]planning.PackedCases
	broken  []int
	offered []int
	reasons []*planning.Reason
	spaces  map[domain.Day]int // granted by pickup day
	refused []question
}

// newRound has granted nothing yet; more lists classes that are asked about
// besides those of the lines.
func newRound(f *farm, heads []int, more ...kind) *round {
	n := len(f.p.Lines)
	r := &round{farm: f, heads: heads, cases: map[kind]int{}, got: make([]int, n),
		taken: make([][]planning.PackedCases, n), broken: make([]int, n), offered: make([]int, n),
		reasons: make([]*planning.Reason, n), spaces: map[domain.Day]int{}}
	for _, c := range f.p.Packed {
		r.left = append(r.left, c.Cases)
	}
	kinds := slices.Clone(more)
	for i := range f.p.Lines {
		k := f.kindOf(&f.p.Lines[i])
		kinds = append(kinds, k, taking(k), undated(k))
	}
	r.net = newNetwork(f, heads, kinds, forFlow)
	return r
}

// taking is the kind if it took substitutes; undated, if it asked no life.
func taking(k kind) kind {
	k.free = true
	return k
}

func undated(k kind) kind {
	k.shelf = 0
	return k
}

func (r *round) grant() {
	r.packedForLines()
	words := r.words()
	for _, i := range words {
		r.takeSpares(i, word(&r.p.Lines[i]))
	}
	for _, i := range words {
		w := word(&r.p.Lines[i])
		r.mostFromLots(i, w)
		r.broken[i] = max(0, w-r.got[i])
	}
	for _, i := range r.rank {
		r.takeSpares(i, asked(&r.p.Lines[i]))
	}
	if r.p.ShareRule == planning.FirstCome {
		r.firstCome()
	} else {
		r.evenShare()
	}
}

// room is how many more cases a line's pickup day may be granted.
func (r *round) room(i int) int { return r.roomOn(r.p.Lines[i].Pickup) }

func (r *round) roomOn(pickup domain.Day) int {
	if r.p.Cooler.CaseRule != planning.Limit {
		return plenty
	}
	return max(0, r.p.Cooler.CaseSpaces-r.spaces[pickup])
}

func (r *round) lacks(i int) int { return asked(&r.p.Lines[i]) - r.got[i] }

// byAge lists packed codes by the day of their oldest head, then code.
func (r *round) byAge(keep func(c int) bool) (list []int) {
	for c := range r.p.Packed {
		if keep(c) {
			list = append(list, c)
		}
	}
	slices.SortFunc(list, func(a, b int) int {
		x, y := &r.p.Packed[a], &r.p.Packed[b]
		return cmp.Or(cmp.Compare(x.Pulled, y.Pulled), cmp.Compare(x.Code, y.Code))
	})
	return list
}

// packedForLines is the beginning of pass 1. A case packed for a line goes to
// it whatever its age: only what is no case of its product goes to nobody.
func (r *round) packedForLines() {
	for _, c := range r.byAge(func(c int) bool { return r.p.Packed[c].Line != "" }) {
		if i, known := r.line[r.p.Packed[c].Line]; known && r.isCaseOfProduct(c) {
			r.takePacked(i, c, r.lacks(i))
		}
	}
}

func (r *round) takePacked(i, c, most int) {
	n := min(most, r.left[c], r.room(i))
	if n <= 0 {
		return
	}
	r.left[c] -= n
	r.got[i] += n
	r.spaces[r.p.Lines[i].Pickup] += n
	code := r.p.Packed[c].Code
	for t := range r.taken[i] {
		if r.taken[i][t].Code == code {
			r.taken[i][t].Cases += n
			return
		}
	}
	r.taken[i] = append(r.taken[i], planning.PackedCases{Code: code, Cases: n})
}

// takeSpares gives a line spare packed cases until it has so many; a line that
// is all or none takes them only when they make up all that it lacks.
func (r *round) takeSpares(i, until int) {
	fit := r.byAge(func(c int) bool {
		return r.p.Packed[c].Line == "" && r.left[c] > 0 && r.packedServes(c, i)
	})
	if r.p.Lines[i].AllOrNone {
		have := 0
		for _, c := range fit {
			have += r.left[c]
		}
		if min(have, r.room(i)) < r.lacks(i) {
			return
		}
	}
	for _, c := range fit {
		r.takePacked(i, c, until-r.got[i])
	}
}

// words lists the lines with a promise as they are served.
func (r *round) words() (list []int) {
	for _, i := range r.rank {
		if r.p.Lines[i].Promised > 0 {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int {
		return r.p.Lines[a].PromisedAt.Compare(r.p.Lines[b].PromisedAt)
	})
	return list
}

// fits says whether so many more cases of a class are feasible.
func (r *round) fits(k kind, cases int) (*network, bool) {
	if r.roomOn(k.pickup) < cases {
		return nil, false
	}
	n := r.net.with(k, cases)
	return n, n.fill() == 0
}

// add grants so many more cases of a kind to a line if they are feasible.
func (r *round) add(i int, k kind, cases int) bool {
	n, ok := r.fits(k, cases)
	if ok {
		r.net = n
		r.cases[k] += cases
		r.spaces[r.p.Lines[i].Pickup] += cases
	}
	return ok
}

// mostFromLots grants a line the most cases until it has so many.
func (r *round) mostFromLots(i, until int) {
	k := r.kindOf(&r.p.Lines[i])
	for r.got[i] < until {
		step := r.step(i, until)
		if !r.add(i, k, step) {
			r.doubt(i, k, step)
			return
		}
		r.got[i] += step
	}
}

// step is how many cases a line is granted at once.
func (r *round) step(i, until int) int {
	if r.p.Lines[i].AllOrNone {
		return until - r.got[i]
	}
	return 1
}

func (r *round) firstCome() {
	for _, i := range r.rank {
		r.mostFromLots(i, asked(&r.p.Lines[i]))
		if r.lacks(i) > 0 {
			r.reasons[i] = r.reason(i)
		}
	}
}

func (r *round) evenShare() {
	for from := 0; from < len(r.rank); {
		to := from + 1
		for to < len(r.rank) && r.sameGroup(r.rank[from], r.rank[to]) {
			to++
		}
		r.share(r.rank[from:to])
		from = to
	}
}

func (r *round) sameGroup(i, j int) bool {
	a, b := &r.p.Lines[i], &r.p.Lines[j]
	return a.Pickup == b.Pickup && priority(a) == priority(b)
}

// share serves the lines of a group, given in rank, evenly.
func (r *round) share(group []int) {
	closed := map[int]bool{}
	for {
		next := -1
		for _, i := range group {
			if r.lacks(i) > 0 && !closed[i] && (next < 0 || r.behind(i, next)) {
				next = i
			}
		}
		if next < 0 {
			return
		}
		k, step := r.kindOf(&r.p.Lines[next]), r.step(next, asked(&r.p.Lines[next]))
		if r.add(next, k, step) {
			r.got[next] += step
			continue
		}
		r.doubt(next, k, step)
		r.reasons[next] = r.reason(next)
		closed[next] = true
	}
}

// behind says that line i has a smaller part of what it asked than line j.
func (r *round) behind(i, j int) bool {
	return r.got[i]*asked(&r.p.Lines[j]) < r.got[j]*asked(&r.p.Lines[i])
}

// offers is pass 5; it takes up the network and the spaces, so it comes last.
func (r *round) offers() {
	for _, i := range r.rank {
		l := &r.p.Lines[i]
		for l.Substitutes == planning.SubstituteAsk && r.lacks(i) > r.offered[i] {
			step := 1
			if l.AllOrNone {
				step = r.lacks(i)
			}
			n, ok := r.fits(taking(r.kindOf(l)), step)
			if !ok {
				break
			}
			r.net = n
			r.spaces[l.Pickup] += step
			r.offered[i] += step
		}
	}
}

func (r *round) linePlan(i, sure int) planning.LinePlan {
	l := &r.p.Lines[i]
	return planning.LinePlan{ID: l.ID, Cases: l.Cases, Cut: l.Cases - asked(l), Filled: r.got[i],
		Firm: min(r.got[i], sure), Short: r.lacks(i), Broken: r.broken[i], Offer: r.offered[i],
		Reason: r.reasons[i], Packed: r.taken[i]}
}
