package judge

import (
	"cmp"
	"slices"

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
		c.visits(lot, rows[lot], c.moved(lot, rows[lot], c.wantsOf(lot)))
	}
	c.pullsInOrder()
}

// visits holds the rows of a lot against the lifting for its wants.
func (c *checker) visits(lot int, rows []planning.Pull, wants []want) {
	code := c.p.Lots[lot].Code
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

// moved brings wants forward as the rows say, each to a day on which the lot
// can be lifted and its heads stay fresh enough. A row says how many heads were
// moved to it and from which day; they are those of the earliest pickups that
// find them fresh enough, and of several rows the latest has its pick first.
func (c *checker) moved(lot int, rows []planning.Pull, wants []want) []want {
	l := &c.p.Lots[lot]
	for _, r := range slices.Backward(rows) {
		if r.MovedFrom == 0 {
			c.must(r.MovedHeads == 0 && r.MovedWhy == "", "pulls: lot %s on %s: moved from no day", l.Code, r.Day)
			continue
		}
		c.must(r.MovedFrom > r.Day && r.MovedHeads > 0 && r.MovedWhy != "", "pulls: lot %s moved from %s to %s", l.Code, r.MovedFrom, r.Day)
		c.must(c.lifts(r.Day) && r.Day >= l.Ready && r.Day >= c.nextPull() && r.Day <= l.Last, "pulls: lot %s cannot be lifted on %s", l.Code, r.Day)
		c.must(!c.warned(func(w planning.Warning) bool { return w.Day == r.Day && w.Code == planning.RaftsOver }),
			"pulls: lot %s moved to %s, a day with too many rafts", l.Code, r.Day)
		left := 0
		wants, left = c.bringForward(lot, wants, r)
		c.must(left == 0, "pulls: %d heads of lot %s moved to %s are too old for their lines, or were not there", left, l.Code, r.Day)
	}
	return wants
}

// bringForward moves a row's heads, and says how many could not be.
func (c *checker) bringForward(lot int, wants []want, r planning.Pull) (changed []want, left int) {
	left = r.MovedHeads
	slices.SortFunc(wants, compareWants)
	for _, w := range wants {
		n := min(left, w.heads)
		if w.pull != r.MovedFrom || !c.fresh(c.variety[c.p.Lots[lot].Variety], r.Day, w.pickup, w.shelf) {
			n = 0
		}
		early := w
		early.pull, early.heads = r.Day, n
		w.heads -= n
		left -= n
		changed = append(changed, early, w)
	}
	return slices.DeleteFunc(changed, func(w want) bool { return w.heads == 0 }), left
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
		stuck := 0
		for k, l := range c.p.Lots {
			if r.StopAt > 0 && l.Place == planning.Bed && l.BedName == bed(r) && l.BedName != "" && l.At != nil && *l.At < at(r) && at(r) < plenty && left[k] > 0 {
				want = append(want, l.Code)
				if l.Ready > r.Day || l.Last < r.Day {
					stuck += left[k]
				}
			}
		}
		told := 0.0
		for _, w := range c.plan.Warnings {
			if w.Code == planning.LotInFront && w.Day == r.Day && w.Lot == r.Lot {
				told += w.Needed
			}
		}
		c.must(told == float64(stuck), "pulls: %d heads in front of lot %s on %s cannot be lifted, and %v are warned of", stuck, r.Lot, r.Day, told)
		slices.Sort(want)
		c.must(slices.Equal(want, slices.Sorted(slices.Values(r.InFront))), "pulls: lot %s on %s has %v in front, want %v", r.Lot, r.Day, r.InFront, want)
	}
}

func (c *checker) warned(of func(w planning.Warning) bool) bool {
	return slices.ContainsFunc(c.plan.Warnings, of)
}
