package judge

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// pulls holds the lifting of every bed lot, and keeps what it leaves in the
// cooler for the trays.
func (c *checker) pulls() {
	rows := make([][]planning.Pull, len(c.p.Lots))
	for _, row := range c.plan.Pulls {
		lot, known := c.lot[row.Lot]
		if !known || c.p.Lots[lot].Place != planning.Bed || c.p.Lots[lot].Variety != row.Variety {
			c.say("pulls: %s of lot %q", row.Variety, row.Lot)
			continue
		}
		rows[lot] = append(rows[lot], row)
	}
	for _, lot := range c.bedLots() {
		if slices.ContainsFunc(rows[lot], func(r planning.Pull) bool { return r.MovedFrom != 0 }) {
			c.spread(lot, rows[lot])
		} else {
			c.visits(lot, rows[lot])
		}
	}
	c.pullsInOrder()
}

// visits holds the rows of a lot that is lifted on the lines' own days.
func (c *checker) visits(lot int, rows []planning.Pull) {
	code, wants := c.p.Lots[lot].Code, c.wantsOf(lot)
	expected := c.newLifting(lot, c.heads()[lot])
	lifts := expected.visits(wants)
	c.stays = append(c.stays, expected.stays...)
	sure := c.newLifting(lot, c.cautious()[lot]).visits(wants)
	for i, v := range lifts {
		upTo := max(v.rafts, sure[i].rafts)
		if v.stopAt == 0 && upTo == 0 {
			continue
		}
		if len(rows) == 0 || rows[0].Day != v.day {
			c.say("pulls: no row for lot %s on %s", code, v.day)
			return
		}
		r := rows[0]
		rows = rows[1:]
		c.must(r.Heads == v.heads && r.StopAt == v.stopAt && r.Rafts == v.rafts && r.RaftsUpTo == upTo && r.HeadsLifted == v.lifted,
			"pulls: lot %s on %s: heads %d, stop at %d, rafts %s up to %s, lifted %d; want %d, %d, %s, %s, %d", code, v.day,
			r.Heads, r.StopAt, r.Rafts, r.RaftsUpTo, r.HeadsLifted, v.heads, v.stopAt, v.rafts, upTo, v.lifted)
		c.must(v.partly == c.warned(func(w planning.Warning) bool {
			return w.Code == planning.RaftInPart && w.Lot == code && w.Day == v.day
		}),
			"pulls: lot %s on %s: a raft lifted in part is warned of, and no other", code, v.day)
	}
	c.must(len(rows) == 0, "pulls: %d rows of lot %s that nobody needs", len(rows), code)
}

// spread holds the rows of a lot of which some heads are lifted earlier than
// the lines' own days. Which lines' heads were moved the plan does not say, so
// what must hold for any choice is held.
func (c *checker) spread(lot int, rows []planning.Pull) {
	c.loose = true
	l, code := &c.p.Lots[lot], c.p.Lots[lot].Code
	own, printed, lifted, stops, heads := map[domain.Day]int{}, map[domain.Day]bool{}, 0, 0, 0
	wants := c.wantsOf(lot)
	for _, w := range wants {
		own[w.pull] += w.heads
	}
	for _, r := range rows {
		c.must(c.lifts(r.Day) && r.Day >= l.Ready && r.Day >= c.nextPull() && r.Day <= l.Last, "pulls: lot %s cannot be lifted on %s", code, r.Day)
		c.must(r.HeadsLifted >= r.StopAt && r.StopAt <= r.Heads && r.RaftsUpTo >= r.Rafts, "pulls: lot %s on %s: %+v", code, r.Day, r)
		own[r.Day] -= r.Heads - r.MovedHeads
		printed[r.Day] = true
		if r.MovedFrom != 0 {
			own[r.MovedFrom] -= r.MovedHeads
			c.must(r.MovedFrom > r.Day && r.MovedHeads > 0 && r.MovedWhy != "", "pulls: lot %s moved from %s to %s", code, r.MovedFrom, r.Day)
			c.must(c.freshFor(lot, wants, r) >= r.MovedHeads, "pulls: %d heads of lot %s moved to %s, too old for their lines", r.MovedHeads, code, r.Day)
		}
		lifted, stops, heads = lifted+r.HeadsLifted, stops+r.StopAt, heads+r.Heads
		c.must(heads-stops <= lifted-stops, "pulls: lot %s on %s: rests of %d heads supply %d", code, r.Day, lifted-stops, heads-stops)
		c.must(l.Rafts == nil || r.Rafts <= *l.Rafts, "pulls: lot %s on %s: %s rafts", code, r.Day, r.Rafts)
	}
	for day, n := range own {
		c.must(n == 0 || n > 0 && !printed[day], "pulls: %d heads of lot %s for %s are in no row", n, code, day)
		heads += n // a day that rests supply wholly has no row
	}
	c.must(heads <= lifted, "pulls: lot %s: %d heads lifted for %d", code, lifted, heads)
	c.must(lifted <= l.Heads, "pulls: lot %s: %d heads lifted of %d", code, lifted, l.Heads)
}

// freshFor counts the heads of a moved row's first day that are fresh enough
// when lifted on the row's day.
func (c *checker) freshFor(lot int, wants []want, r planning.Pull) (heads int) {
	for _, w := range wants {
		if w.pull == r.MovedFrom && c.fresh(c.variety[c.p.Lots[lot].Variety], r.Day, w.pickup, w.shelf) {
			heads += w.heads
		}
	}
	return heads
}

// pullsInOrder: by day, then bed and place in it. What stands nearer the
// harvest end and is not out by then is named.
func (c *checker) pullsInOrder() {
	left := c.heads()
	at := func(r planning.Pull) int {
		if a := c.p.Lots[c.lot[r.Lot]].At; a != nil {
			return *a
		}
		return plenty
	}
	bed := func(r planning.Pull) string { return c.p.Lots[c.lot[r.Lot]].BedName }
	c.must(slices.IsSortedFunc(c.plan.Pulls, func(a, b planning.Pull) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(bed(a), bed(b)), at(a)-at(b))
	}), "pulls are not by day, bed and place in it")
	for i, r := range c.plan.Pulls {
		if i == 0 || r.Day != c.plan.Pulls[i-1].Day {
			for _, same := range c.plan.Pulls[i:] {
				if same.Day == r.Day {
					left[c.lot[same.Lot]] -= same.HeadsLifted
				}
			}
		}
		var want []string
		for k, l := range c.p.Lots {
			if r.StopAt > 0 && l.Place == planning.Bed && l.BedName == bed(r) && l.BedName != "" && l.At != nil && *l.At < at(r) && at(r) < plenty && left[k] > 0 {
				want = append(want, l.Code)
			}
		}
		slices.Sort(want)
		c.must(slices.Equal(want, slices.Sorted(slices.Values(r.InFront))), "pulls: lot %s on %s has %v in front, want %v", r.Lot, r.Day, r.InFront, want)
	}
}

func (c *checker) warned(of func(w planning.Warning) bool) bool {
	return slices.ContainsFunc(c.plan.Warnings, of)
}
