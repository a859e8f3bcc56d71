package packing

import "slices"

// bestRankFirst lets lines of different orders change places where the runs
// suit both, so that the line of better rank has the run of less substitution.
// Each change brings a better line to a better run, so it comes to an end.
func (w *bench) bestRankFirst(runs []*run) {
	for i, good := range runs {
		for _, poor := range runs[i+1:] {
			if poor.substitution > good.substitution {
				w.exchange(good, poor, runs)
			}
		}
	}
}

// exchange moves the best lines of the poorer run to the better one, for its
// worst lines.
func (w *bench) exchange(good, poor *run, runs []*run) {
	for _, up := range slices.Clone(poor.shares) {
		for _, down := range slices.Backward(slices.Clone(good.shares)) {
			if up.cases == 0 || w.rank[down.line] < w.rank[up.line] {
				break
			}
			if up.order == down.order || !alikeInAge(up.order, down.order) ||
				!w.suits(good, up.order) || !w.suits(poor, down.order) {
				continue
			}
			n := min(up.cases, down.cases)
			good.change(up, down, n)
			poor.change(down, up, n)
			if !inBound(up.order, runs) || !inBound(down.order, runs) {
				good.change(down, up, n)
				poor.change(up, down, n)
				continue
			}
			up.cases -= n
		}
		w.inRank(good)
		w.inRank(poor)
	}
}

// change gives cases of the run to one line that were another's.
func (r *run) change(to, from share, cases int) {
	r.give(to.order, to.line, cases)
	r.give(from.order, from.line, -cases)
}

// inBound says whether an order, as the runs serve it, keeps the bound on its
// recipes. (A recipe of which it has two runs counts twice, which can only keep
// lines where they are.)
func inBound(o *order, runs []*run) bool {
	var portions []portion
	for _, r := range runs {
		cases := 0
		for _, s := range r.shares {
			if s.order == o {
				cases += s.cases
			}
		}
		if cases > 0 {
			portions = append(portions, portion{r.recipe, cases, r.substitution})
		}
	}
	return o.inBound(portions)
}

// alikeInAge says whether the same lots can serve two orders of one pickup day.
// Between others no lines change places: a lot might come to a line that a
// longer-lived lot of an earlier day could serve.
func alikeInAge(x, y *order) bool { return x.Lead == y.Lead && x.MinShelf == y.MinShelf }
