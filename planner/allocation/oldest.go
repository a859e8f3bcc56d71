package allocation

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/flow"
)

// dealing is the heads of one variety on their way from its lots to the
// classes that call for them.
type dealing struct {
	lots  []int        // the variety's lots, shortest life first; shares name them by their place here
	ends  []domain.Day // by lot: the end of its life
	left  []int        // by lot: heads that nobody takes
	trips []trip       // by pickup day
}

// trip is the calls of one pickup day through one pool: alike for every lot.
type trip struct {
	pickup domain.Day
	pool   flow.Node
	able   []bool  // by lot: it is in the pool
	heads  int     // called for
	calls  []call  // by class in rank
	shares []share // by lot; they add up to heads
}

// share is the heads that one lot gives to a trip.
type share struct{ lot, heads int }

// dealLots deals a variety's lots out to the calls, so that older heads go out
// first, adds each class's share to lots, and says how many heads come from
// lots that expire.
func (l *ledger) dealLots(net *flow.Network, variety int, calls []call, lots [][]planning.LotShare) (expiring int) {
	d := l.newDealing(net, variety, calls)
	d.first(l.layout, net)
	d.exchange()
	for l.leaveYounger(d) {
		d.exchange()
	}
	for i := range d.trips {
		d.trips[i].handOut(d.lots, lots)
		for _, s := range d.trips[i].shares {
			if l.Expires(d.lots[s.lot]) {
				expiring += s.heads
			}
		}
	}
	return expiring
}

func (l *ledger) newDealing(net *flow.Network, variety int, calls []call) *dealing {
	d := &dealing{lots: l.layout.ofKind[variety]}
	place := make(map[int]int, len(d.lots))
	for i, lot := range d.lots {
		end, _ := l.LifeEnds(lot)
		d.ends = append(d.ends, end)
		d.left = append(d.left, net.Supply(l.layout.lots[lot]))
		place[lot] = i
	}
	slices.SortStableFunc(calls, func(x, y call) int {
		return cmp.Or(cmp.Compare(x.class.pickup, y.class.pickup), cmp.Compare(x.pool, y.pool))
	})
	able := map[flow.Node][]bool{}
	for from := 0; from < len(calls); {
		t := trip{pickup: calls[from].class.pickup, pool: calls[from].pool}
		to := from
		for ; to < len(calls) && calls[to].class.pickup == t.pickup && calls[to].pool == t.pool; to++ {
			t.heads += calls[to].heads
		}
		t.calls, from = calls[from:to], to
		if able[t.pool] == nil {
			able[t.pool] = make([]bool, len(d.lots))
			for _, p := range l.layout.poolLots[t.pool] {
				able[t.pool][place[p.lot]] = true
			}
		}
		t.able = able[t.pool]
		d.trips = append(d.trips, t)
	}
	return d
}

// first deals the heads that went through each pool out to its trips: the
// shortest life to the earliest day.
func (d *dealing) first(w *layout, net *flow.Network) {
	left := map[flow.Node][]share{} // by pool: what its lots still give, by lot
	for i := range d.trips {
		t := &d.trips[i]
		through := w.poolLots[t.pool]
		if through[0].arc == nowhere { // the lot is the pool
			t.shares = []share{{slices.Index(d.lots, through[0].lot), t.heads}}
			continue
		}
		if left[t.pool] == nil {
			left[t.pool] = d.through(through, net)
		}
		for need := t.heads; need > 0; {
			s := &left[t.pool][0]
			n := min(need, s.heads)
			need, s.heads = need-n, s.heads-n
			t.shares = append(t.shares, share{s.lot, n})
			if s.heads == 0 {
				left[t.pool] = left[t.pool][1:]
			}
		}
	}
}

// through is the heads that each lot gave through a pool, by lot; the lots of
// a pool stand in the order of their lives.
func (d *dealing) through(lots []pooled, net *flow.Network) (shares []share) {
	for i, k := 0, 0; k < len(lots); i++ {
		if d.lots[i] != lots[k].lot {
			continue
		}
		if n := net.Flow(lots[k].arc); n > 0 {
			shares = append(shares, share{i, n})
		}
		k++
	}
	return shares
}

// exchange swaps heads of two lots between two days wherever the lot with the
// shorter life serves the later day and each could serve the other's. A swap
// changes neither how many heads a lot gives nor what a class gets. The sum of
// life end x pickup day over all heads grows with each swap, so it ends; then
// no such pair is left.
func (d *dealing) exchange() {
	for swapped := true; swapped; {
		swapped = false
		for late := range d.trips {
			for early := range late {
				if d.trips[early].pickup < d.trips[late].pickup && d.exchangePair(&d.trips[early], &d.trips[late]) {
					swapped = true
				}
			}
		}
	}
}

// exchangePair swaps between two trips until no lot of the late one ends its
// life before one of the early one, among those that both could be given.
func (d *dealing) exchangePair(early, late *trip) (swapped bool) {
	for {
		x := slices.IndexFunc(late.shares, func(s share) bool { return early.able[s.lot] })
		y := len(early.shares) - 1
		for y >= 0 && !late.able[early.shares[y].lot] {
			y--
		}
		if x < 0 || y < 0 || d.ends[late.shares[x].lot] >= d.ends[early.shares[y].lot] {
			return swapped
		}
		short, long := late.shares[x].lot, early.shares[y].lot
		n := min(late.shares[x].heads, early.shares[y].heads)
		late.give(short, -n)
		late.give(long, n)
		early.give(long, -n)
		early.give(short, n)
		swapped = true
	}
}

// leaveYounger takes heads that are left over in place of others that should
// rather be left. Both lots expire or neither does, so the heads out of expiring
// lots stay as many. Each step lowers the life ends of all heads sent, added up,
// or brings them nearer the harvest end, so it comes to an end.
func (l *ledger) leaveYounger(d *dealing) (changed bool) {
	for x, left := range d.left {
		for i := 0; i < len(d.trips) && left > 0; i++ {
			t := &d.trips[i]
			for k := len(t.shares) - 1; k >= 0 && left > 0 && t.able[x]; k-- {
				y := t.shares[k].lot
				if !l.Sooner(d.lots[x], d.lots[y]) {
					continue
				}
				n := min(left, t.shares[k].heads)
				left -= n
				d.left[y] += n
				t.give(y, -n)
				t.give(x, n)
				changed = true
			}
		}
		d.left[x] = left
	}
	return changed
}

// give adds to a lot's share of a trip.
func (t *trip) give(lot, heads int) {
	i, found := slices.BinarySearchFunc(t.shares, lot, func(s share, lot int) int { return cmp.Compare(s.lot, lot) })
	switch {
	case !found:
		t.shares = slices.Insert(t.shares, i, share{lot, heads})
	case t.shares[i].heads+heads == 0:
		t.shares = slices.Delete(t.shares, i, i+1)
	default:
		t.shares[i].heads += heads
	}
}

// handOut hands a trip's shares out to its calls: the shortest life to the
// class of best rank.
func (t *trip) handOut(codes []int, lots [][]planning.LotShare) {
	shares := slices.Clone(t.shares)
	for _, c := range t.calls {
		for need := c.heads; need > 0; {
			n := min(need, shares[0].heads)
			need, shares[0].heads = need-n, shares[0].heads-n
			lots[c.class.number] = append(lots[c.class.number], planning.LotShare{Lot: codes[shares[0].lot], Heads: n})
			if shares[0].heads == 0 {
				shares = shares[1:]
			}
		}
	}
}
