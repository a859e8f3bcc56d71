package judge

import (
	"cmp"
	"math"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// cooler holds what stands in the cooler on every day.
func (c *checker) cooler() {
	if len(c.p.PickupDays) == 0 {
		c.must(len(c.plan.Cooler) == 0, "cooler: days without a pickup day")
		return
	}
	last := c.p.PickupDays[len(c.p.PickupDays)-1]
	stays := append(c.chilledStays(), c.stays...)
	if len(c.plan.Cooler) != last.Sub(c.p.AsOf)+1 {
		c.say("cooler: %d days, want every day from %s to %s", len(c.plan.Cooler), c.p.AsOf, last)
		return
	}
	for i, got := range c.plan.Cooler {
		day := c.p.AsOf.Add(i)
		want := planning.CoolerDay{Day: day, Cases: c.casesOn(day), CaseSpaces: c.p.Cooler.CaseSpaces,
			Trays: c.traysOn(day, stays), TraySpaces: c.p.Cooler.TraySpaces}
		want.CasesOver = max(0, want.Cases-want.CaseSpaces)
		want.TraysOver = max(0, want.Trays-want.TraySpaces)
		c.must(got == want, "cooler:\n got %+v\nwant %+v", got, want)
	}
}

// casesOn is the cases of a day: standing at its end, or packed on their own
// pickup day; those on hand until they leave.
func (c *checker) casesOn(day domain.Day) (n int) {
	for i := range c.plan.Lines {
		l, got := &c.p.Lines[i], &c.plan.Lines[i]
		onHand := got.Filled - newlyPacked(got)
		if l.Pickup > day {
			n += onHand
		}
		if pack := c.packDay(l); pack <= day && l.Pickup > day || pack == day && l.Pickup == day {
			n += newlyPacked(got)
		}
	}
	for _, left := range c.packedLeft() {
		n += left
	}
	return n
}

func (c *checker) traysOn(day domain.Day, stays []stay) (trays int) {
	type kind struct {
		variety int
		pulled  domain.Day
	}
	heads := map[kind]int{}
	for _, s := range stays {
		if s.first <= day && day <= s.last {
			heads[kind{s.variety, s.pulled}] += s.heads
		}
	}
	for k, n := range heads {
		per := c.p.Varieties[k.variety].HeadsPerTray
		trays += (n + per - 1) / per
	}
	return trays
}

// chilledStays is the heads of cooler lots: until they are packed, or those
// left over until their life has ended.
func (c *checker) chilledStays() (stays []stay) {
	left := c.heads()
	for i := range c.plan.Lines {
		for _, h := range c.plan.Lines[i].Heads {
			if lot := c.lot[h.Lot]; c.p.Lots[lot].Place == planning.Chilled {
				left[lot] -= h.Heads
				stays = append(stays, stay{c.variety[h.Variety], c.p.Lots[lot].Pulled, c.p.AsOf, c.packDay(&c.p.Lines[i]), h.Heads})
			}
		}
	}
	for i, l := range c.p.Lots {
		if l.Place == planning.Chilled {
			v := c.variety[l.Variety]
			stays = append(stays, stay{v, l.Pulled, c.p.AsOf, c.lifeEndOf(v, l.Pulled), left[i]})
		}
	}
	return stays
}

// work holds rafts and hours of every day with a pull or packing.
func (c *checker) work() {
	days := map[domain.Day]*planning.WorkDay{}
	heads, cases := map[domain.Day]int{}, map[domain.Day]int{}
	on := func(day domain.Day) *planning.WorkDay {
		if days[day] == nil {
			days[day] = &planning.WorkDay{Day: day}
		}
		return days[day]
	}
	for _, r := range c.plan.Pulls {
		on(r.Day).Rafts += r.Rafts
		heads[r.Day] += r.HeadsLifted
	}
	for i := range c.plan.Lines {
		if n := newlyPacked(&c.plan.Lines[i]); n > 0 {
			day := c.packDay(&c.p.Lines[i])
			on(day)
			cases[day] += n
		}
	}
	c.must(len(days) == len(c.plan.Work), "work: %d days, want %d", len(c.plan.Work), len(days))
	c.must(slices.IsSortedFunc(c.plan.Work, func(a, b planning.WorkDay) int { return cmp.Compare(a.Day, b.Day) }), "work is not by day")
	w := c.p.Work
	for _, got := range c.plan.Work {
		want := days[got.Day]
		if want == nil {
			c.say("work: nothing is done on %s", got.Day)
			continue
		}
		c.must(got.Rafts == want.Rafts && got.RaftsPerDay == w.RaftsPerDay && got.HarvestHoursHad == w.HarvestHours && got.PackHoursHad == w.PackHours &&
			takes(got.HarvestHours, heads[got.Day], w.HarvestHeadsPerHour) && takes(got.PackHours, cases[got.Day], w.PackCasesPerHour),
			"work on %s: %+v for %s rafts, %d heads and %d cases", got.Day, got, want.Rafts, heads[got.Day], cases[got.Day])
	}
}

// takes says whether so many hours are what a count takes at a pace, if told.
func takes(hours float64, count int, pace float64) bool {
	if pace == 0 {
		return hours == 0
	}
	return math.Abs(hours-float64(count)/pace) < 1e-9
}

// warnings: broken promises first; then one for every figure that is over, and
// none for a figure that is not. The text is held to be there, no more.
func (c *checker) warnings() {
	want := map[planning.Warning]bool{}
	for i := range c.plan.Lines {
		l, got := &c.p.Lines[i], &c.plan.Lines[i]
		if got.Broken > 0 {
			want[planning.Warning{Code: planning.PromiseBroken, Line: l.ID, Needed: float64(word(l)), Had: float64(got.Filled)}] = true
		}
	}
	broken := len(want)
	over := func(code planning.WarningCode, day domain.Day, needed, had float64) {
		if needed > had {
			want[planning.Warning{Code: code, Day: day, Needed: needed, Had: had}] = true
		}
	}
	for _, d := range c.plan.Cooler {
		over(planning.CasesOver, d.Day, float64(d.Cases), float64(d.CaseSpaces))
		over(planning.TraysOver, d.Day, float64(d.Trays), float64(d.TraySpaces))
	}
	for _, d := range c.plan.Work {
		over(planning.RaftsOver, d.Day, float64(d.Rafts)/2, told(float64(d.RaftsPerDay)))
		over(planning.HarvestHoursOver, d.Day, d.HarvestHours, told(d.HarvestHoursHad))
		over(planning.PackHoursOver, d.Day, d.PackHours, told(d.PackHoursHad))
	}
	for i, w := range c.plan.Warnings {
		c.must(w.Text != "", "warning %d says nothing: %+v", i, w)
		c.must(i < broken == (w.Code == planning.PromiseBroken), "warning %d: broken promises come first, all of them: %+v", i, w)
		if w.Code == planning.RaftInPart || w.Code == planning.LotInFront || w.Code == planning.RecipesOver {
			continue // held where they arise
		}
		key := planning.Warning{Code: w.Code, Line: w.Line, Needed: w.Needed, Had: w.Had}
		if w.Line == "" {
			key.Day = w.Day
		}
		c.must(want[key], "warning %d: nothing calls for %+v", i, w)
		delete(want, key)
	}
	for w := range want {
		c.say("no warning of %+v", w)
	}
}

// told is a figure the farm gave; one it did not give is never exceeded.
func told(figure float64) float64 {
	if figure == 0 {
		return math.Inf(1)
	}
	return figure
}
