package packing

import (
	"maps"
	"math"
	"slices"

	"headtally/domain"
)

// bringForward moves needs of a lot from one day to an earlier one: of the ways
// that fill neither day's crew beyond what it can do, the one that leaves least
// over on the first. inTrays asks that the cooler has trays for the heads too;
// where it had none for some that could be moved, crowded is true.
func (c *crew) bringForward(lot int, day, to domain.Day, inTrays bool) (done, crowded bool) {
	if !c.couldMove(lot, day, to) {
		return false, false
	}
	if inTrays && !c.hasTrays(lot, to, day, 1) {
		return false, true
	}
	was, wasLifts, bestOver, bestHeads := c.needs[lot], c.lifts[lot], c.over(c.load[day]), 0
	best, bestLifts, bestMoves := was, wasLifts, c.moved[lot]
	for _, heads := range c.pieces(lot, day, to) {
		needs, moved := c.earlier(lot, was, day, to, heads)
		if moved <= bestHeads {
			continue
		}
		if inTrays && !c.hasTrays(lot, to, day, moved) {
			crowded = true
			continue
		}
		c.lift(lot, needs)
		left := c.over(c.load[day])
		if c.over(c.load[to]) > 0 || left >= bestOver || !c.fitsElsewhere(lot, day, to, wasLifts) {
			continue
		}
		if moves := c.movesWith(lot, day, to, moved); c.told(lot, moves) {
			best, bestLifts, bestMoves, bestOver, bestHeads = needs, c.lifts[lot], moves, left, moved
		}
		if bestOver <= 0 {
			break
		}
	}
	c.set(lot, best, bestLifts)
	if bestHeads > 0 {
		c.moved[lot] = bestMoves
		c.last++
		c.now = c.last
		c.useTrays(lot, to, day, bestHeads)
	}
	return bestHeads > 0, crowded
}

// couldMove says whether any heads of a lot that are lifted on a morning could be
// lifted on an earlier one, had it room.
func (c *crew) couldMove(lot int, day, to domain.Day) bool {
	return to >= c.Lots[lot].Ready && c.mayMove(lot, day, to) && slices.ContainsFunc(c.needs[lot], func(n need) bool {
		return n.day == day && c.FreshEnough(c.Of[lot], to, n.pickup, n.minShelf)
	})
}

// mayMove says at a glance what told is sure to refuse, or nearly so: a pull
// tells one morning that heads were moved from, and of several pulls the latest
// tells of the earliest pickups.
func (c *crew) mayMove(lot int, day, to domain.Day) bool {
	for other, m := range c.moved[lot] {
		if other == to && m.from != day || other < to && m.from == day {
			return false
		}
	}
	return true
}

// fitsElsewhere says whether a move leaves every later morning of the lot as
// light as it was: rests that are used earlier may be missed there.
func (c *crew) fitsElsewhere(lot int, day, to domain.Day, before []lift) bool {
	for _, l := range c.lifts[lot] {
		if l.day == day || l.day == to || c.over(c.load[l.day]) <= 0 {
			continue
		}
		for _, b := range before {
			if b.day == l.day && (l.rafts > b.rafts || l.lifted > b.lifted) {
				return false
			}
		}
	}
	return true
}

// pieces are the numbers of heads worth moving from a lot's morning to another,
// fewest first: what the one has too many and the other has room for, in whole
// rafts, and a raft more or less, since what a raft gives is not the same each
// time.
func (c *crew) pieces(lot int, day, to domain.Day) []int {
	i := slices.IndexFunc(c.lifts[lot], func(l lift) bool { return l.day == day })
	l, raft := c.lifts[lot][i], 1.0
	if l.rafts > 0 {
		raft = max(1, float64(c.Lots[lot].Heads)*2/float64(*c.Lots[lot].Rafts))
	}
	rafts := math.Ceil(min(c.excess(c.load[day], raft), -c.excess(c.load[to], raft)) / raft)
	var heads []int
	for _, n := range []float64{rafts - 1, rafts, rafts + 1} {
		if n > 0 {
			heads = append(heads, min(l.stopAt, int(math.Ceil(n*raft))))
		}
	}
	return slices.Compact(heads)
}

// excess is about how many heads of a lot a morning has too many, when a raft
// of it gives so many; below 0 it is what the morning has room for.
func (c *crew) excess(l load, raft float64) float64 {
	most := math.Inf(-1)
	if n := c.Work.RaftsPerDay; n > 0 {
		most = (float64(l.rafts)/2 - float64(n)) * raft
	}
	if can := c.Work.HarvestHours * c.Work.HarvestHeadsPerHour; can > 0 {
		most = max(most, float64(l.heads)-can)
	}
	return most
}

// earlier is a lot's needs with up to so many heads of one day lifted on an
// earlier one: those of the earliest pickups that can be lifted then and find
// them fresh enough.
func (c *crew) earlier(lot int, needs []need, day, to domain.Day, heads int) (changed []need, moved int) {
	changed = make([]need, 0, len(needs)+2)
	for _, n := range needs {
		k := min(n.heads, heads-moved)
		if n.day != day || k == 0 || !c.FreshEnough(c.Of[lot], to, n.pickup, n.minShelf) {
			changed = append(changed, n)
			continue
		}
		moved += k
		early := n
		early.day, early.heads = to, k
		n.heads -= k
		changed = append(changed, early)
		if n.heads > 0 {
			changed = append(changed, n)
		}
	}
	return gather(changed), moved
}

// movesWith is the moves of a lot, by the morning moved to, with one more. They
// are noted in a map anew, for those before may have to come back. What had been
// moved to a morning that now lifts nothing has come from where it was first.
func (c *crew) movesWith(lot int, day, to domain.Day, heads int) map[domain.Day]move {
	moves := maps.Clone(c.moved[lot])
	if moves == nil {
		moves = map[domain.Day]move{}
	}
	from := day
	if came, chained := moves[day]; chained && !slices.ContainsFunc(c.needs[lot], func(n need) bool { return n.day == day }) {
		from = came.from
		delete(moves, day)
	}
	moves[to] = move{from: from, heads: moves[to].heads + heads, why: c.why}
	return moves
}

// told says whether these moves, as the pulls tell them, lead from what a lot
// was to give at first to what it gives now. A pull tells one morning that heads
// were moved from and how many; they are those of the earliest pickups that find
// them fresh enough, and of several pulls the latest has its pick first.
func (c *crew) told(lot int, moves map[domain.Day]move) bool {
	needs := c.due[lot]
	for _, to := range slices.Backward(slices.Sorted(maps.Keys(moves))) {
		if !slices.ContainsFunc(c.lifts[lot], func(l lift) bool { return l.day == to && l.stopAt > 0 }) {
			return false
		}
		m, moved := moves[to], 0
		if needs, moved = c.earlier(lot, needs, m.from, to, m.heads); moved < m.heads {
			return false
		}
	}
	return slices.Equal(needs, c.needs[lot])
}
