package packing

import (
	"cmp"
	"slices"

	"headtally/domain/planning"
)

// run is cases packed one after another to one recipe, for orders of one
// product, pickup day and packing day. Its recipe and each of its lots suit
// every one of its orders.
type run struct {
	portion
	orders []*order
	lots   []planning.LotShare // older first, all varieties
	shares []share             // in rank
}

// share is the cases of a run that go to one line.
type share struct {
	line  int
	order *order
	cases int
}

// makeRuns packs the portions of all orders in runs, shares the runs among
// their lines, and gives each line its own heads.
func (w *bench) makeRuns() (all []*run) {
	for _, pool := range w.pools() {
		runs := w.poolRuns(pool)
		w.bestRankFirst(runs)
		all = append(all, runs...)
	}
	slices.SortStableFunc(all, func(x, y *run) int {
		return cmp.Or(cmp.Compare(x.orders[0].Pickup, y.orders[0].Pickup),
			cmp.Compare(w.rank[x.shares[0].line], w.rank[y.shares[0].line]),
			cmp.Compare(x.substitution, y.substitution))
	})
	for _, r := range all {
		w.handOut(r)
	}
	return all
}

// printRuns writes the runs and each line's heads.
func (w *bench) printRuns(all []*run) {
	w.plan.Runs = slices.Grow(w.plan.Runs, len(all))
	for _, r := range all {
		w.plan.Runs = append(w.plan.Runs, w.printRun(r))
	}
	for i := range w.plan.Lines {
		w.plan.Lines[i].Heads = w.printHeads(w.heads[i])
	}
}

// pools are the orders that can share runs: of one product, pickup day and
// packing day.
func (w *bench) pools() (pools [][]*order) {
	type key struct{ product, pickup, pack int }
	at := map[key]int{}
	for _, o := range w.orders {
		k := key{o.Product, int(o.Pickup), int(o.pack)}
		i, known := at[k]
		if !known {
			i = len(pools)
			at[k] = i
			pools = append(pools, nil)
		}
		pools[i] = append(pools[i], o)
	}
	return pools
}

// poolRuns makes the runs of a pool: every portion joins a run of the same
// recipe where each suits the other's lots, or begins its own.
func (w *bench) poolRuns(pool []*order) (runs []*run) {
	for _, o := range pool {
		left := slices.Clone(o.Lots)
		for _, p := range o.portions {
			mates := matesOf(pool, p.recipe)
			lots := w.pick(o, p, left, mates)
			own := &run{portion: p, orders: []*order{o}, lots: lots}
			if i := slices.IndexFunc(runs, func(r *run) bool { return w.canJoin(r, own) }); i >= 0 {
				runs[i].join(own)
			} else {
				runs = append(runs, own)
			}
		}
	}
	slices.SortStableFunc(runs, func(x, y *run) int {
		return cmp.Or(cmp.Compare(x.substitution, y.substitution), slices.Compare(y.recipe, x.recipe))
	})
	for _, r := range runs {
		slices.SortFunc(r.lots, func(x, y planning.LotShare) int { return w.olderFirst(x.Lot, y.Lot) })
	}
	w.share(runs, pool)
	return runs
}

// matesOf are the orders of a pool with cases of the recipe.
func matesOf(pool []*order, mix recipe) (mates []*order) {
	for _, o := range pool {
		if slices.ContainsFunc(o.portions, func(p portion) bool { return slices.Equal(p.recipe, mix) }) {
			mates = append(mates, o)
		}
	}
	return mates
}

// pick takes the heads of a portion out of what is left of its order's lots:
// first from lots that suit all its mates, older first, so that they can share
// the run.
func (w *bench) pick(o *order, p portion, left []planning.LotShare, mates []*order) (lots []planning.LotShare) {
	suits := func(lot int) bool {
		return !slices.ContainsFunc(mates, func(m *order) bool { return !w.canServe(lot, m) })
	}
	sorted := make([]int, len(left))
	for i := range sorted {
		sorted[i] = i
	}
	slices.SortFunc(sorted, func(x, y int) int {
		return cmp.Or(-compareBool(suits(left[x].Lot), suits(left[y].Lot)), w.olderFirst(left[x].Lot, left[y].Lot))
	})
	for k, v := range o.rules.varieties {
		need := p.recipe[k] * p.cases
		for _, i := range sorted {
			if w.Of[left[i].Lot] != v || need == 0 {
				continue
			}
			if n := min(need, left[i].Heads); n > 0 {
				lots = append(lots, planning.LotShare{Lot: left[i].Lot, Heads: n})
				left[i].Heads -= n
				need -= n
			}
		}
	}
	return lots
}

// compareBool orders false before true.
func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

func (w *bench) canJoin(r, own *run) bool {
	if !slices.Equal(r.recipe, own.recipe) || !w.lotsSuit(r, own.orders[0]) {
		return false
	}
	return !slices.ContainsFunc(r.orders, func(o *order) bool { return !w.lotsSuit(own, o) })
}

func (w *bench) lotsSuit(r *run, o *order) bool {
	return !slices.ContainsFunc(r.lots, func(l planning.LotShare) bool { return !w.canServe(l.Lot, o) })
}

// suits says whether a run could serve lines of an order.
func (w *bench) suits(r *run, o *order) bool {
	return slices.Contains(r.orders, o) || o.rules.lay(r.recipe).ok() && w.lotsSuit(r, o)
}

// join adds another order's portion of the same recipe to the run.
func (r *run) join(own *run) {
	r.cases += own.cases
	r.orders = append(r.orders, own.orders...)
	for _, l := range own.lots {
		i := slices.IndexFunc(r.lots, func(have planning.LotShare) bool { return have.Lot == l.Lot })
		if i < 0 {
			r.lots = append(r.lots, l)
		} else {
			r.lots[i].Heads += l.Heads
		}
	}
}

// share gives each order's portions to its lines, least substitution to the
// best rank.
func (w *bench) share(runs []*run, pool []*order) {
	for _, o := range pool {
		next, left := 0, o.Lines[0].Cases
		for _, p := range o.portions {
			r := runs[slices.IndexFunc(runs, func(r *run) bool {
				return slices.Equal(r.recipe, p.recipe) && slices.Contains(r.orders, o)
			})]
			for n := p.cases; n > 0; {
				k := min(n, left)
				r.give(o, o.Lines[next].Line, k)
				n, left = n-k, left-k
				if left == 0 && next+1 < len(o.Lines) {
					next++
					left = o.Lines[next].Cases
				}
			}
		}
	}
	for _, r := range runs {
		w.inRank(r)
	}
}

// give adds cases of the run to a line's share.
func (r *run) give(o *order, line, cases int) {
	for i := range r.shares {
		if r.shares[i].line == line {
			r.shares[i].cases += cases
			return
		}
	}
	r.shares = append(r.shares, share{line: line, order: o, cases: cases})
	if !slices.Contains(r.orders, o) {
		r.orders = append(r.orders, o)
	}
}

func (w *bench) inRank(r *run) {
	r.shares = slices.DeleteFunc(r.shares, func(s share) bool { return s.cases == 0 })
	slices.SortFunc(r.shares, func(x, y share) int { return cmp.Compare(w.rank[x.line], w.rank[y.line]) })
}
