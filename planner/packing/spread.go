package packing

import (
	"math"
	"slices"

	"headtally/domain"
)

// move is heads of a lot lifted on an earlier day than the lines' own.
type move struct {
	from  domain.Day
	heads int
	why   string
}

// What a morning has too little of.
const (
	fewRafts = "rafts"
	fewHours = "hours"
)

// spread brings forward part of what is lifted on mornings with more rafts, or
// more hours of lifting, than the crew can do: to the latest earlier harvest
// day with room on which the lot can be lifted and its heads stay fresh enough
// for their lines. Lines keep their lots, so no grant is touched.
//
// The latest morning comes first. Each step lowers what is over on one morning
// and fills no other beyond what the crew can do, so it comes to an end.
func (h *harvest) spread() {
	if h.Work.RaftsPerDay == 0 && (h.Work.HarvestHours == 0 || h.Work.HarvestHeadsPerHour == 0) {
		return
	}
	c := &crew{harvest: h, lifts: make([][]lift, len(h.Lots)), load: map[domain.Day]load{}}
	for lot := range h.needs {
		c.lift(lot)
	}
	days := c.days()
	for _, day := range slices.Backward(days) {
		c.why = c.tooLittle(day)
		for c.over(c.load[day]) > 0 && c.relieve(day) {
		}
	}
}

// crew is what is lifted morning by morning, while it is being spread.
type crew struct {
	*harvest
	lifts [][]lift // lot -> by day
	load  map[domain.Day]load
	why   string // a morning is being relieved
}

// load is a morning's lifting.
type load struct {
	rafts domain.HalfRafts
	heads int
}

// lift lifts a lot for its needs as they are now, in place of what was lifted
// of it before.
func (c *crew) lift(lot int) {
	c.count(lot, -1)
	c.lifts[lot] = nil
	if len(c.needs[lot]) > 0 {
		c.lifts[lot] = c.stand(lot, c.Lots[lot].Heads).liftAll(c.needs[lot])
	}
	c.count(lot, 1)
}

func (c *crew) count(lot, times int) {
	for _, l := range c.lifts[lot] {
		d := c.load[l.day]
		d.rafts += domain.HalfRafts(times) * l.rafts
		d.heads += times * l.lifted
		c.load[l.day] = d
	}
}

func (c *crew) days() (days []domain.Day) {
	for day := range c.load {
		days = append(days, day)
	}
	slices.Sort(days)
	return days
}

// over is by how much a morning is more than the crew can do, as a share of
// it; 0 or less where it can be done.
func (c *crew) over(l load) float64 {
	most := -1.0
	if n := c.Work.RaftsPerDay; n > 0 {
		most = max(most, (float64(l.rafts)/2-float64(n))/float64(n))
	}
	if can := c.Work.HarvestHours; can > 0 && c.Work.HarvestHeadsPerHour > 0 {
		most = max(most, (hours(l.heads, c.Work.HarvestHeadsPerHour)-can)/can)
	}
	return most
}

// relieve moves part of one lot's lifting from a morning to an earlier one, the
// latest that has room; false where nothing can be moved.
func (c *crew) relieve(day domain.Day) bool {
	for to := day.Add(-1); to >= c.FirstPull(); to = to.Add(-1) {
		if d, ok := c.LastPull(to); !ok || d != to || c.over(c.load[to]) >= 0 {
			continue
		}
		for _, lot := range c.liftedOn(day) {
			if c.bringForward(lot, day, to) {
				return true
			}
		}
	}
	return false
}

// liftedOn are the lots lifted on a morning, those that give most rafts first,
// then by code.
func (c *crew) liftedOn(day domain.Day) (lots []int) {
	rafts := map[int]domain.HalfRafts{}
	for lot, lifts := range c.lifts {
		for _, l := range lifts {
			if l.day == day && l.lifted > 0 {
				lots = append(lots, lot)
				rafts[lot] = l.rafts
			}
		}
	}
	slices.SortFunc(lots, func(x, y int) int {
		if rafts[x] != rafts[y] {
			return int(rafts[y] - rafts[x])
		}
		return c.olderFirst(x, y)
	})
	return lots
}

// bringForward moves needs of a lot from one day to an earlier one: of the ways
// that fill neither day's crew beyond what it can do, the one that leaves least
// over on the first.
func (c *crew) bringForward(lot int, day, to domain.Day) bool {
	if to < c.Lots[lot].Ready || !c.mayMove(lot, day, to) {
		return false
	}
	was, over := c.needs[lot], c.over(c.load[day])
	best, bestOver, bestHeads := was, over, 0
	for _, heads := range c.pieces(lot, day, to) {
		needs, moved := c.earlier(lot, was, day, to, heads)
		if moved <= bestHeads {
			continue
		}
		c.needs[lot] = needs
		c.lift(lot)
		if left := c.over(c.load[day]); c.over(c.load[to]) <= 0 && left < bestOver && c.fitsElsewhere(lot, day, to, was) {
			best, bestOver, bestHeads = needs, left, moved
		}
		if bestOver <= 0 {
			break
		}
	}
	c.needs[lot] = best
	c.lift(lot)
	if bestHeads > 0 {
		c.note(lot, day, to, bestHeads)
	}
	return bestHeads > 0
}

// mayMove says whether whose heads were moved can still be told from the pulls:
// a row tells of one day it was moved from, and of several rows moved from one
// day the latest has the earliest pickups.
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
func (c *crew) fitsElsewhere(lot int, day, to domain.Day, was []need) bool {
	before := c.stand(lot, c.Lots[lot].Heads).liftAll(was)
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

// note remembers a move for the pull it shows up in.
func (c *crew) note(lot int, day, to domain.Day, heads int) {
	if c.moved[lot] == nil {
		c.moved[lot] = map[domain.Day]move{}
	}
	c.moved[lot][to] = move{from: day, heads: c.moved[lot][to].heads + heads, why: c.why}
}

// tooLittle is what a morning has too little of.
func (c *crew) tooLittle(day domain.Day) string {
	if n := c.Work.RaftsPerDay; n > 0 && c.load[day].rafts > domain.HalfRafts(2*n) {
		return fewRafts
	}
	return fewHours
}
