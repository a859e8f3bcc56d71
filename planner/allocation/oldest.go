package allocation

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/flow"
)

// dealing is the heads of one variety on their way from its lots to the calls
// of the classes: heads[lot][call].
type dealing struct {
	lots  []int        // the variety's lots, shortest life first
	ends  []domain.Day // by lot, the end of its life
	calls []call       // by pickup day
	able  [][]bool     // by lot, then call: the lot can serve it
	heads [][]int
}

// dealLots deals a variety's lots out to the calls, so that older heads go out
// first, adds each class's share to lots, and says how many heads come from
// lots that expire.
func (l *ledger) dealLots(net *flow.Network, variety int, calls []call, lots [][]planning.LotShare) (expiring int) {
	slices.SortStableFunc(calls, func(x, y call) int { return cmp.Compare(x.class.pickup, y.class.pickup) })
	d := l.newDealing(variety, calls)
	d.first(l, net)
	d.exchange()
	for k, c := range calls {
		for i, lot := range d.lots {
			if n := d.heads[i][k]; n > 0 {
				lots[c.class.number] = append(lots[c.class.number], planning.LotShare{Lot: lot, Heads: n})
				if l.Expires(lot) {
					expiring += n
				}
			}
		}
	}
	return expiring
}

func (l *ledger) newDealing(variety int, calls []call) *dealing {
	d := &dealing{lots: l.layout.ofKind[variety], calls: calls}
	for i, lot := range d.lots {
		end, _ := l.LifeEnds(lot)
		d.ends = append(d.ends, end)
		d.heads = append(d.heads, make([]int, len(calls)))
		d.able = append(d.able, make([]bool, len(calls)))
		for k, c := range calls {
			d.able[i][k] = slices.ContainsFunc(l.layout.poolLots[c.pool], func(p pooled) bool { return p.lot == lot })
		}
	}
	return d
}

// first deals the heads that went through each pool out to its calls: the
// shortest life to the earliest day.
func (d *dealing) first(l *ledger, net *flow.Network) {
	left := map[flow.Node][]int{} // by pool, of each of its lots
	place := make(map[int]int, len(d.lots))
	for i, lot := range d.lots {
		place[lot] = i
	}
	for k, c := range d.calls {
		lots := l.layout.poolLots[c.pool]
		if left[c.pool] == nil {
			for _, p := range lots {
				n := c.heads // a lot that is its own pool gives all of it
				if p.arc != nowhere {
					n = net.Flow(p.arc)
				}
				left[c.pool] = append(left[c.pool], n)
			}
		}
		if lots[0].arc == nowhere {
			left[c.pool][0] = c.heads
		}
		need := c.heads
		for j, p := range lots {
			n := min(need, left[c.pool][j])
			left[c.pool][j] -= n
			need -= n
			d.heads[place[p.lot]][k] += n
		}
	}
}

// exchange swaps heads of two lots between two days wherever the lot with the
// shorter life serves the later day and each could serve the other's. A swap
// changes neither how many heads a lot gives nor what a class gets. The sum of
// life end x pickup day over all heads grows with each swap, so it ends; then
// no such pair is left.
func (d *dealing) exchange() {
	for swapped := true; swapped; {
		swapped = false
		for x := range d.lots {
			for y := x + 1; y < len(d.lots); y++ {
				if d.ends[x] < d.ends[y] && d.exchangePair(x, y) {
					swapped = true
				}
			}
		}
	}
}

// exchangePair moves lot x, the one with the shorter life, forward and lot y
// back, latest day of x against earliest day of y first.
func (d *dealing) exchangePair(x, y int) (swapped bool) {
	late, early := len(d.calls)-1, 0
	for {
		for late >= 0 && (d.heads[x][late] == 0 || !d.able[y][late]) {
			late--
		}
		for early < len(d.calls) && (d.heads[y][early] == 0 || !d.able[x][early]) {
			early++
		}
		if late < 0 || early == len(d.calls) || d.calls[late].class.pickup <= d.calls[early].class.pickup {
			return swapped
		}
		n := min(d.heads[x][late], d.heads[y][early])
		d.heads[x][late] -= n
		d.heads[y][late] += n
		d.heads[y][early] -= n
		d.heads[x][early] += n
		swapped = true
	}
}
