package judge

import (
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// lines holds the counts of every line against each other.
func (c *checker) lines() {
	if len(c.plan.Lines) != len(c.p.Lines) {
		c.say("lines: %d, the problem has %d", len(c.plan.Lines), len(c.p.Lines))
		return
	}
	for i := range c.plan.Lines {
		l, got := &c.p.Lines[i], &c.plan.Lines[i]
		c.must(got.ID == l.ID, "line %d is %s, want %s: the problem's order", i, got.ID, l.ID)
		c.must(got.Cases == l.Cases && got.Cut == l.Cases-asked(l), "line %s: %d cases cut by %d", l.ID, got.Cases, got.Cut)
		c.must(got.Filled >= 0 && got.Filled <= asked(l), "line %s: filled %d of %d asked", l.ID, got.Filled, asked(l))
		c.must(got.Short == asked(l)-got.Filled, "line %s: short %d", l.ID, got.Short)
		c.must(got.Firm >= 0 && got.Firm <= got.Filled, "line %s: firm %d of %d", l.ID, got.Firm, got.Filled)
		// Nothing is granted after pass 2 to a line whose word could not be kept.
		c.must(got.Broken == max(0, word(l)-got.Filled), "line %s: broken %d, word %d, filled %d", l.ID, got.Broken, word(l), got.Filled)
		c.must(got.Offer >= 0 && got.Offer <= got.Short, "line %s: offer %d, short %d", l.ID, got.Offer, got.Short)
		c.must(got.Offer == 0 || l.Substitutes == planning.SubstituteAsk, "line %s: offer to a line that does not ask", l.ID)
		c.must(got.Offer == 0 || !l.AllOrNone || got.Offer == got.Short, "line %s: offer %d is neither all nor none", l.ID, got.Offer)
		c.reasonOf(l, got)
	}
}

func (c *checker) reasonOf(l *planning.Line, got *planning.LinePlan) {
	why := got.Reason
	if (why != nil) != (got.Short > 0) {
		c.say("line %s: short %d, reason %v", l.ID, got.Short, why)
		return
	}
	switch {
	case why == nil:
	case why.Code == planning.NotEnoughReady:
		c.must(why.HeadsMissing > 0 && why.HeadsMissing <= why.HeadsMissingAll, "line %s: %d heads missing of %d", l.ID, why.HeadsMissing, why.HeadsMissingAll)
		// A path that would bring one head more begins with one variety.
		c.must(len(why.Varieties) > 0, "line %s: heads are missing, of no variety", l.ID)
		places := []int{}
		for _, v := range why.Varieties {
			places = append(places, c.variety[v])
		}
		c.must(slices.IsSorted(places), "line %s: varieties %v not in the problem's order", l.ID, why.Varieties)
		c.must(why.NextReady.IsZero() || why.NextReady > l.Pickup.Add(-c.lead(l)), "line %s: next ready %s is not after its pull", l.ID, why.NextReady)
	case why.Code == planning.CoolerFull:
		c.must(c.p.Cooler.CaseRule == planning.Limit, "line %s: cooler_full without a limit", l.ID)
		fallthrough
	default:
		c.must(why.HeadsMissing == 0 && why.HeadsMissingAll == 0 && why.Varieties == nil && why.NextReady.IsZero(),
			"line %s: figures beside %s", l.ID, why.Code)
	}
}

// packedCases holds what lines take from packed cases.
func (c *checker) packedCases() {
	taken := make([]int, len(c.p.Packed))
	for i := range c.plan.Lines {
		l, got := &c.p.Lines[i], &c.plan.Lines[i]
		own, spare := 0, 0
		seen := map[string]bool{}
		for _, part := range got.Packed {
			k, known := c.packed[part.Code]
			if !known || part.Cases <= 0 || seen[part.Code] {
				c.say("line %s: %d cases of packed %q", l.ID, part.Cases, part.Code)
				continue
			}
			seen[part.Code] = true
			taken[k] += part.Cases
			if c.p.Packed[k].Line == l.ID {
				own += part.Cases
				c.must(c.isCaseOfProduct(k), "line %s: packed %s is no case of its product", l.ID, part.Code)
			} else {
				spare += part.Cases
				c.must(c.packedServes(k, i), "line %s: packed %s cannot serve it", l.ID, part.Code)
			}
		}
		lots := got.Filled - own - spare
		c.must(lots >= 0, "line %s: %d packed cases, %d filled", l.ID, own+spare, got.Filled)
		if l.AllOrNone {
			c.must(spare == 0 || lots == 0, "line %s: mixes packed and newly packed cases", l.ID)
			c.must(got.Short == 0 || spare+lots == 0, "line %s: neither all nor none", l.ID)
		}
	}
	for k, n := range taken {
		c.must(n <= c.p.Packed[k].Cases, "packed %s: %d cases taken of %d", c.p.Packed[k].Code, n, c.p.Packed[k].Cases)
	}
}

// lineHeads holds each line's heads: slots exact, varieties accepted, cap kept,
// lots able to serve.
func (c *checker) lineHeads() {
	for i := range c.plan.Lines {
		if i >= len(c.p.Lines) {
			return
		}
		l, got := &c.p.Lines[i], &c.plan.Lines[i]
		k, cases := c.kindOf(l), newlyPacked(got)
		inSlot, of := make([]int, len(c.slots(k))), map[string]int{}
		seen := map[planning.SlotLot]bool{}
		last := 0
		for _, h := range got.Heads {
			lot, known := c.lot[h.Lot]
			if !known || h.Heads <= 0 || h.Slot < 0 || h.Slot >= len(inSlot) {
				c.say("line %s: heads %+v", l.ID, h)
				continue
			}
			c.must(h.Slot >= last, "line %s: heads not by slot", l.ID)
			last = h.Slot
			entry := planning.SlotLot{Lot: h.Lot, Slot: h.Slot}
			c.must(!seen[entry], "line %s: lot %s twice in slot %d", l.ID, h.Lot, h.Slot)
			seen[entry] = true
			c.must(h.Variety == c.p.Lots[lot].Variety, "line %s: lot %s is no %s", l.ID, h.Lot, h.Variety)
			c.must(slices.Contains(c.accepts(k, h.Slot), c.variety[c.p.Lots[lot].Variety]), "line %s: slot %d does not accept %s", l.ID, h.Slot, h.Variety)
			c.must(c.serves(lot, k.pickup, k.lead, k.shelf), "line %s: lot %s cannot serve it", l.ID, h.Lot)
			inSlot[h.Slot] += h.Heads
			of[h.Variety] += h.Heads
		}
		for s, n := range inSlot {
			c.must(n == cases*c.slots(k)[s].Heads, "line %s: %d heads in slot %d of %d cases", l.ID, n, s, cases)
		}
		for v, n := range of {
			c.must(n <= c.capOf(k.product, cases), "line %s: %d heads of %s in %d cases are over the cap", l.ID, n, v, cases)
		}
	}
}

// lotsAndSpaces holds the lots' counts and, under the limit, the case spaces.
func (c *checker) lotsAndSpaces() {
	for i, n := range c.headsOfLots() {
		c.must(n <= c.p.Lots[i].Heads, "lot %s: %d heads assigned of %d", c.p.Lots[i].Code, n, c.p.Lots[i].Heads)
	}
	if c.p.Cooler.CaseRule != planning.Limit {
		return
	}
	granted := map[domain.Day]int{}
	for i := range c.plan.Lines {
		granted[c.p.Lines[i].Pickup] += c.plan.Lines[i].Filled
	}
	for day, n := range granted {
		c.must(n <= c.p.Cooler.CaseSpaces, "pickup %s: %d cases granted for %d spaces", day, n, c.p.Cooler.CaseSpaces)
	}
}

// headsOfLots adds up the heads assigned out of each lot.
func (c *checker) headsOfLots() []int {
	n := make([]int, len(c.p.Lots))
	for i := range c.plan.Lines {
		for _, h := range c.plan.Lines[i].Heads {
			n[c.lot[h.Lot]] += h.Heads
		}
	}
	return n
}

func (c *checker) tally() {
	type at struct {
		day     domain.Day
		variety string
	}
	want := map[at]*planning.TallyRow{}
	row := func(day domain.Day, variety string) *planning.TallyRow {
		if want[at{day, variety}] == nil {
			want[at{day, variety}] = &planning.TallyRow{Pickup: day, Variety: variety}
		}
		return want[at{day, variety}]
	}
	for i := range c.plan.Lines {
		l, got := &c.p.Lines[i], &c.plan.Lines[i]
		for _, s := range c.p.Products[c.product[l.Product]].Slots {
			r := row(l.Pickup, s.Accept[0])
			r.Listed += asked(l) * s.Heads
			r.Short += got.Short * s.Heads
		}
		for _, h := range got.Heads {
			row(l.Pickup, h.Variety).Assigned += h.Heads
		}
	}
	var rows []planning.TallyRow
	for _, day := range c.p.PickupDays {
		for _, v := range c.p.Varieties {
			if r := want[at{day, v.Code}]; r != nil && r.Listed+r.Assigned+r.Short > 0 {
				rows = append(rows, *r)
			}
		}
	}
	c.must(slices.Equal(rows, c.plan.Tally), "tally:\n got %v\nwant %v", c.plan.Tally, rows)
}

func (c *checker) totals() {
	var want planning.Totals
	for i := range c.plan.Lines {
		l, got := &c.p.Lines[i], &c.plan.Lines[i]
		want.Asked += asked(l)
		want.Cut += got.Cut
		want.Filled += got.Filled
		want.Firm += got.Firm
		want.Short += got.Short
		want.Broken += got.Broken
		for _, h := range got.Heads {
			want.Substitution += h.Heads * c.place(c.product[l.Product], h.Slot, c.variety[h.Variety])
			if c.expires(c.lot[h.Lot]) {
				want.ExpiringUsed += h.Heads
			}
		}
	}
	got := c.plan.Totals
	got.SubstitutionWithoutLimit, got.ExpiringUsedWithoutLimit = nil, nil
	c.must(got == want, "totals:\n got %+v\nwant %+v", got, want)
}

// optimum holds the assignment against steps 1 and 2, the grants being given.
func (c *checker) optimum() {
	substitution, expiring := optimum(c.farm, c.heads(), c.fromLots(c.plan))
	t := &c.plan.Totals
	limited := c.p.MaxRecipes > 0
	c.must(limited == (t.SubstitutionWithoutLimit != nil) && limited == (t.ExpiringUsedWithoutLimit != nil),
		"totals: values without the limit are told just when there is one")
	e := AnswerOf(c.plan)
	c.must(e.Substitution == substitution && e.ExpiringUsed == expiring,
		"steps 1 and 2: substitution %d and %d expiring heads, want %d and %d", e.Substitution, e.ExpiringUsed, substitution, expiring)
	c.must(t.Substitution >= substitution, "substitution %d is less than the least", t.Substitution)
	c.must(t.Substitution > substitution || t.ExpiringUsed <= expiring, "%d expiring heads used are more than the most", t.ExpiringUsed)
}

// oldestOut is step 3: no head goes out before another that will be spoilt
// sooner, when they could change places.
func (c *checker) oldestOut() {
	type use struct{ line, lot int }
	uses := map[string][]use{}
	for i := range c.plan.Lines {
		for _, h := range c.plan.Lines[i].Heads {
			if u := (use{i, c.lot[h.Lot]}); !slices.Contains(uses[h.Variety], u) {
				uses[h.Variety] = append(uses[h.Variety], u)
			}
		}
	}
	can := func(lot, line int) bool {
		l := &c.p.Lines[line]
		return c.serves(lot, l.Pickup, c.lead(l), l.MinShelfDays)
	}
	for _, v := range c.p.Varieties {
		for _, x := range uses[v.Code] {
			endX, _ := c.lifeEnd(x.lot)
			for _, y := range uses[v.Code] {
				if endY, _ := c.lifeEnd(y.lot); endX < endY && c.p.Lines[y.line].Pickup < c.p.Lines[x.line].Pickup &&
					can(x.lot, y.line) && can(y.lot, x.line) {
					c.say("step 3: lot %s (life to %s) goes to line %s while lot %s (to %s) goes to the earlier line %s",
						c.p.Lots[x.lot].Code, endX, c.p.Lines[x.line].ID, c.p.Lots[y.lot].Code, endY, c.p.Lines[y.line].ID)
				}
			}
		}
	}
}

// leftover is what nobody was given, lots before packed cases.
func (c *checker) leftover() {
	var want []planning.Leftover
	for i, used := range c.headsOfLots() {
		if n := c.p.Lots[i].Heads - used; n > 0 {
			want = append(want, planning.Leftover{Lot: c.p.Lots[i].Code, Heads: n, Expires: c.expires(i)})
		}
	}
	for k, n := range c.packedLeft() {
		if n > 0 {
			want = append(want, planning.Leftover{Packed: c.p.Packed[k].Code, Cases: n, Expires: c.packedExpires(k)})
		}
	}
	c.must(slices.Equal(want, c.plan.Leftover), "leftover:\n got %v\nwant %v", c.plan.Leftover, want)
}

func (c *checker) packedLeft() (left []int) {
	for _, k := range c.p.Packed {
		left = append(left, k.Cases)
	}
	for i := range c.plan.Lines {
		for _, part := range c.plan.Lines[i].Packed {
			left[c.packed[part.Code]] -= part.Cases
		}
	}
	return left
}
