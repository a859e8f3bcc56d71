package packing

import (
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
// for their lines, where it can be where the cooler has trays for them until
// then. Where every such day is full, part of one goes to a day before it first.
// Lines keep their lots, so no grant is touched.
//
// The latest morning comes first. Each step lowers what is over on one morning
// and fills no other beyond what the crew can do, so it comes to an end. Once
// all have been relieved an earlier one may take more: then it begins again.
func (h *harvest) spread() {
	if h.Work.RaftsPerDay == 0 && (h.Work.HarvestHours == 0 || h.Work.HarvestHeadsPerHour == 0) {
		return
	}
	c := &crew{harvest: h, due: slices.Clone(h.needs), lifts: make([][]lift, len(h.Lots)), load: map[domain.Day]load{}, vain: map[domain.Day]int{}}
	for lot, needs := range h.needs {
		c.lift(lot, needs)
	}
	days := c.days()
	stuck := map[domain.Day]int{} // the standing in which a morning was given up
	for again := true; again; {
		again = false
		for _, day := range slices.Backward(days) {
			if at, is := stuck[day]; is && at == c.now {
				continue
			}
			c.why = c.tooLittle(day)
			for c.over(c.load[day]) > 0 && (c.relieve(day) || c.relieveInTurn(day)) {
				again = true
			}
			stuck[day] = c.now
		}
	}
}

// crew is what is lifted morning by morning, while it is being spread.
type crew struct {
	*harvest
	due   [][]need // lot -> its needs before any was moved
	lifts [][]lift // lot -> by day
	load  map[domain.Day]load
	why   string // a morning is being relieved
	free  []int  // by day from as_of: trays the cooler has left; see trayroom.go

	now, last int                // the standing of all moves, and the newest there was
	vain      map[domain.Day]int // the standing in which relieve found nothing for a morning
}

// load is a morning's lifting.
type load struct {
	rafts domain.HalfRafts
	heads int
}

// lift lifts a lot for other needs than before.
func (c *crew) lift(lot int, needs []need) {
	var lifts []lift
	if len(needs) > 0 {
		lifts = c.stand(lot, c.Lots[lot].Heads).liftAll(needs)
	}
	c.set(lot, needs, lifts)
}

// set puts a lot's needs and what is lifted for them in place of those before.
func (c *crew) set(lot int, needs []need, lifts []lift) {
	c.count(lot, -1)
	c.needs[lot], c.lifts[lot] = needs, lifts
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
// latest that has room, in the crew's day and in the cooler; where there is none
// in the cooler, then in the crew's day. It says false where nothing can be moved.
func (c *crew) relieve(day domain.Day) bool {
	if at, is := c.vain[day]; is && at == c.now {
		return false
	}
	type crowding struct {
		lot int
		to  domain.Day
	}
	var crowded []crowding // where only trays are lacking
	lots := c.liftedOn(day)
	for to := day.Add(-1); to >= c.FirstPull(); to = to.Add(-1) {
		if !c.liftsOn(to) || c.over(c.load[to]) >= 0 {
			continue
		}
		for _, lot := range lots {
			done, trays := c.bringForward(lot, day, to, true)
			if done {
				return true
			}
			if trays {
				crowded = append(crowded, crowding{lot, to})
			}
		}
	}
	for _, m := range crowded {
		if done, _ := c.bringForward(m.lot, day, m.to, false); done {
			return true
		}
	}
	c.vain[day] = c.now
	return false
}

// relieveInTurn moves part of a morning's lifting to an earlier one that is
// full, once that one has given part of its own to one before it.
func (c *crew) relieveInTurn(day domain.Day) bool {
	lots := c.liftedOn(day)
	for to := day.Add(-1); to >= c.FirstPull(); to = to.Add(-1) {
		if !c.liftsOn(to) || c.over(c.load[to]) > 0 || !slices.ContainsFunc(lots, func(lot int) bool { return c.couldMove(lot, day, to) }) {
			continue
		}
		now, needs, lifts, moved, free := c.now, slices.Clone(c.needs), slices.Clone(c.lifts), slices.Clone(c.moved), slices.Clone(c.free)
		if !c.relieve(to) {
			continue
		}
		if c.moveTo(lots, day, to, true) || c.moveTo(lots, day, to, false) {
			return true
		}
		for lot := range needs {
			c.set(lot, needs[lot], lifts[lot])
		}
		c.now, c.moved, c.free = now, moved, free
	}
	return false
}

func (c *crew) liftsOn(day domain.Day) bool {
	d, ok := c.LastPull(day)
	return ok && d == day
}

// moveTo moves part of the lifting of one of these lots from a morning to an
// earlier one.
func (c *crew) moveTo(lots []int, day, to domain.Day, inTrays bool) bool {
	return slices.ContainsFunc(lots, func(lot int) bool {
		done, _ := c.bringForward(lot, day, to, inTrays)
		return done
	})
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

// tooLittle is what a morning has too little of.
func (c *crew) tooLittle(day domain.Day) string {
	if n := c.Work.RaftsPerDay; n > 0 && c.load[day].rafts > domain.HalfRafts(2*n) {
		return fewRafts
	}
	return fewHours
}
