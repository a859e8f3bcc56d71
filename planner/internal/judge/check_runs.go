package judge

import (
	"cmp"
	"fmt"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// recipe is a run's contents as one word; equal recipes give equal words.
func recipe(contents []planning.VarietyHeads) (word string) {
	list := slices.Clone(contents)
	slices.SortFunc(list, func(a, b planning.VarietyHeads) int { return cmp.Compare(a.Variety, b.Variety) })
	for _, h := range list {
		word += fmt.Sprintf("%d %s\x00", h.Heads, h.Variety)
	}
	return word
}

// batchOf is cases that may share runs.
type batchOf struct {
	product string
	pickup  domain.Day
	pack    domain.Day
}

// runs holds the packing: every case keeps the rules of its line, and the runs
// give each line just its cases and its heads.
func (c *checker) runs() {
	before := len(c.faults)
	for r := range c.plan.Runs {
		c.run(r)
	}
	if len(c.faults) > before {
		return
	}
	c.runsCoverLines()
	c.runsUseHeads()
	c.runsInOrder()
	c.bestRunsFirst()
	c.fewRecipes()
}

func (c *checker) run(r int) {
	run := &c.plan.Runs[r]
	cases := 0
	for _, part := range run.Lines {
		i, known := c.line[part.ID]
		if !known || part.Cases <= 0 || c.p.Lines[i].Product != run.Product || c.p.Lines[i].Pickup != run.Pickup {
			c.say("run %d: %d cases of line %q", r, part.Cases, part.ID)
			return
		}
		cases += part.Cases
		l := &c.p.Lines[i]
		c.must(c.packDay(l) == run.Pack, "run %d: packed on %s, line %s on %s", r, run.Pack, l.ID, c.packDay(l))
		c.must(c.isCase(c.kindOf(l), run.Contents), "run %d: %v is no case for line %s", r, run.Contents, l.ID)
		for _, h := range run.Lots {
			lot, known := c.lot[h.Lot]
			c.must(known && c.serves(lot, l.Pickup, c.lead(l), l.MinShelfDays), "run %d: lot %q cannot serve line %s", r, h.Lot, l.ID)
		}
	}
	c.must(cases == run.Cases && cases > 0, "run %d: %d cases, its lines have %d", r, run.Cases, cases)
	c.must(len(run.DropFirst) == 0 || c.dropsWorstFirst(run), "run %d: drops %v first, serves %v", r, run.DropFirst, run.Lines)
	need := map[string]int{}
	for _, h := range run.Contents {
		c.must(h.Heads > 0 && need[h.Variety] == 0, "run %d: %d heads of %s", r, h.Heads, h.Variety)
		need[h.Variety] = h.Heads * run.Cases
	}
	for _, h := range run.Lots {
		c.must(h.Heads > 0, "run %d: %d heads of lot %s", r, h.Heads, h.Lot)
		if lot, known := c.lot[h.Lot]; known {
			need[c.p.Lots[lot].Variety] -= h.Heads
		}
	}
	for v, n := range need {
		c.must(n == 0, "run %d: its lots give %d heads of %s too few", r, n, v)
	}
}

// dropsWorstFirst says whether the lines to drop are the run's own, and of
// those without a word the last in rank comes first.
func (c *checker) dropsWorstFirst(run *planning.Run) bool {
	served := map[string]bool{}
	for _, part := range run.Lines {
		served[part.ID] = true
	}
	last := len(c.p.Lines)
	for _, id := range run.DropFirst {
		if !served[id] {
			return false
		}
		delete(served, id)
		if i := c.line[id]; c.p.Lines[i].Promised == 0 {
			if c.standing[i] > last {
				return false
			}
			last = c.standing[i]
		}
	}
	return len(served) == 0
}

func (c *checker) runsCoverLines() {
	packed := map[string]int{}
	of := map[string]map[string]int{} // line -> variety -> heads
	for _, run := range c.plan.Runs {
		for _, part := range run.Lines {
			packed[part.ID] += part.Cases
			if of[part.ID] == nil {
				of[part.ID] = map[string]int{}
			}
			for _, h := range run.Contents {
				of[part.ID][h.Variety] += h.Heads * part.Cases
			}
		}
	}
	for i := range c.plan.Lines {
		got := &c.plan.Lines[i]
		if of[got.ID] == nil {
			of[got.ID] = map[string]int{}
		}
		c.must(packed[got.ID] == newlyPacked(got), "line %s: %d cases in runs, %d out of lots", got.ID, packed[got.ID], newlyPacked(got))
		for _, h := range got.Heads {
			of[got.ID][h.Variety] -= h.Heads
		}
		for v, n := range of[got.ID] {
			c.must(n == 0, "line %s: its runs hold %d heads of %s more than the line", got.ID, n, v)
		}
	}
}

// runsUseHeads: the lots of the runs of a product, pickup and packing day are
// those of the lines they serve.
func (c *checker) runsUseHeads() {
	type share struct {
		batchOf
		lot string
	}
	heads := map[share]int{}
	for _, run := range c.plan.Runs {
		for _, h := range run.Lots {
			heads[share{batchOf{run.Product, run.Pickup, run.Pack}, h.Lot}] += h.Heads
		}
	}
	for i := range c.plan.Lines {
		l := &c.p.Lines[i]
		for _, h := range c.plan.Lines[i].Heads {
			heads[share{batchOf{l.Product, l.Pickup, c.packDay(l)}, h.Lot}] -= h.Heads
		}
	}
	for s, n := range heads {
		c.must(n == 0, "runs of %s for %s: %d heads of lot %s more than the lines", s.product, s.pickup, n, s.lot)
	}
}

// runsInOrder: by pickup day, then the best rank served; a run's lines in rank.
func (c *checker) runsInOrder() {
	best := func(run planning.Run) int {
		n := len(c.p.Lines)
		for _, part := range run.Lines {
			n = min(n, c.standing[c.line[part.ID]])
		}
		return n
	}
	c.must(slices.IsSortedFunc(c.plan.Runs, func(a, b planning.Run) int {
		return cmp.Or(cmp.Compare(a.Pickup, b.Pickup), best(a)-best(b))
	}), "runs are not by pickup day, then rank")
	for r, run := range c.plan.Runs {
		c.must(slices.IsSortedFunc(run.Lines, func(a, b planning.LineCases) int {
			return c.standing[c.line[a.ID]] - c.standing[c.line[b.ID]]
		}), "run %d: lines are not in rank", r)
	}
}

// bestRunsFirst: within a class a line of better rank has no case of more
// substitution than one of a line behind it.
func (c *checker) bestRunsFirst() {
	type span struct{ least, most int }
	of := map[int]span{}
	for _, run := range c.plan.Runs {
		heads := make([]int, len(c.p.Varieties))
		for _, h := range run.Contents {
			heads[c.variety[h.Variety]] = h.Heads
		}
		for _, part := range run.Lines {
			i := c.line[part.ID]
			cost, _ := c.oneCase(c.kindOf(&c.p.Lines[i]), heads)
			s, seen := of[i]
			if !seen {
				s = span{cost, cost}
			}
			of[i] = span{min(s.least, cost), max(s.most, cost)}
		}
	}
	worst := map[kind]int{}
	for _, i := range c.rank {
		s, served := of[i]
		if !served {
			continue
		}
		k := c.kindOf(&c.p.Lines[i])
		c.must(s.least >= worst[k], "line %s has cases of less substitution (%d) than a line before it (%d)", c.p.Lines[i].ID, s.least, worst[k])
		worst[k] = max(worst[k], s.most)
	}
}

// fewRecipes holds the bound for every class, and the limit or its warning.
func (c *checker) fewRecipes() {
	recipes, pairs, heads, cases := map[kind]map[string]bool{}, map[kind]map[[2]int]bool{}, map[kind]map[string]int{}, map[kind]int{}
	for i := range c.plan.Lines {
		k := c.kindOf(&c.p.Lines[i])
		if recipes[k] == nil {
			recipes[k], pairs[k], heads[k] = map[string]bool{}, map[[2]int]bool{}, map[string]int{}
		}
		cases[k] += newlyPacked(&c.plan.Lines[i])
		for _, h := range c.plan.Lines[i].Heads {
			pairs[k][[2]int{h.Slot, c.variety[h.Variety]}] = true
			heads[k][h.Variety] += h.Heads
		}
	}
	byDay := map[batchOf]map[string]bool{}
	for _, run := range c.plan.Runs {
		for _, part := range run.Lines {
			recipes[c.kindOf(&c.p.Lines[c.line[part.ID]])][recipe(run.Contents)] = true
		}
		day := batchOf{product: run.Product, pickup: run.Pickup}
		if byDay[day] == nil {
			byDay[day] = map[string]bool{}
		}
		byDay[day][recipe(run.Contents)] = true
	}
	for k, used := range recipes {
		c.must(len(used) <= len(pairs[k]), "%s for %s: %d recipes in a class of %d slot and variety pairs",
			c.p.Products[k.product].Code, k.pickup, len(used), len(pairs[k]))
		c.must(len(used) <= 1 || !divides(heads[k], cases[k]), "%s for %s: %d recipes in a class that divides evenly",
			c.p.Products[k.product].Code, k.pickup, len(used))
	}
	for day, used := range byDay {
		c.must((c.p.MaxRecipes > 0 && len(used) > c.p.MaxRecipes) == c.warned(func(w planning.Warning) bool {
			return w.Code == planning.RecipesOver && w.Product == day.product && w.Pickup == day.pickup &&
				w.Had == float64(c.p.MaxRecipes) && w.Needed == float64(len(used))
		}), "%s for %s: %d recipes, limit %d: a warning when it is passed, and only then", day.product, day.pickup, len(used), c.p.MaxRecipes)
	}
}

func divides(heads map[string]int, cases int) bool {
	for _, n := range heads {
		if n%cases != 0 {
			return false
		}
	}
	return true
}
