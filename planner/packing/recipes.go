package packing

import (
	"cmp"
	"fmt"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// order is a line class with cases out of lots, and how they are split.
type order struct {
	*planning.Class
	rules    *rules
	cases    int
	heads    recipe // over all cases
	pack     domain.Day
	portions []portion // least substitution first
}

// bench is where a plan is packed: what the problem says, and what was decided.
type bench struct {
	*planning.Book
	plan   *planning.Plan
	orders []*order // by pickup day, then rank of their best line
	rank   []int    // line -> place in rank
	heads  [][]part // line -> its own heads, once runs are made
}

func newBench(b *planning.Book, s *planning.Served, plan *planning.Plan) *bench {
	w := &bench{Book: b, plan: plan, rank: make([]int, len(b.Lines)), heads: make([][]part, len(b.Lines))}
	for place, line := range b.Ranked {
		w.rank[line] = place
	}
	w.readOrders(s)
	return w
}

func (w *bench) readOrders(s *planning.Served) {
	makeups := map[int]*makeup{}
	known := map[string]*rules{}
	for i := range s.Classes {
		c := &s.Classes[i]
		if c.Cases() == 0 {
			continue
		}
		if makeups[c.Product] == nil {
			makeups[c.Product] = makeupOf(w.Book, c.Product)
		}
		key := fmt.Sprint(c.Product, c.Substitutes, c.Refuse)
		if known[key] == nil {
			known[key] = rulesOf(w.Book, makeups[c.Product], c.Substitutes, c.Refuse)
		}
		o := &order{Class: c, rules: known[key], cases: c.Cases(), pack: w.PackDay(c.Pickup, c.Lead)}
		o.heads = o.headsOf(w.Book)
		w.orders = append(w.orders, o)
	}
	slices.SortFunc(w.orders, func(x, y *order) int {
		return cmp.Or(cmp.Compare(x.Pickup, y.Pickup), cmp.Compare(w.bestRank(x), w.bestRank(y)))
	})
}

func (w *bench) bestRank(o *order) int { return w.rank[o.Lines[0].Line] }

// headsOf is the heads of the order's lots by variety.
func (o *order) headsOf(b *planning.Book) recipe {
	heads := make(recipe, len(o.rules.varieties))
	for _, l := range o.Lots {
		heads[slices.Index(o.rules.varieties, b.Of[l.Lot])] += l.Heads
	}
	return heads
}

// inBound says whether portions keep the bound on the recipes of a class: as
// many as (slot, variety) pairs in use, and one where the heads of every variety
// divide by the cases.
func (o *order) inBound(portions []portion) bool {
	if len(portions) < 2 {
		return true
	}
	heads, cases := make(recipe, len(o.heads)), 0
	for _, p := range portions {
		cases += p.cases
		for k, n := range p.recipe {
			heads[k] += n * p.cases
		}
	}
	if _, even := heads.each(cases); even {
		return false
	}
	return len(portions) == 2 || len(portions) <= o.pairsOf(portions)
}

// pairsOf is how many (slot, variety) pairs portions use; two recipes use two
// or more.
func (o *order) pairsOf(portions []portion) int {
	used := map[[2]int]bool{}
	for _, p := range portions {
		for slot, row := range o.rules.lay(p.recipe).slots {
			for k, n := range row {
				if n > 0 {
					used[[2]int{slot, k}] = true
				}
			}
		}
	}
	return len(used)
}

// canServe says whether heads of a lot can go to the order's lines.
func (w *bench) canServe(lot int, o *order) bool {
	return w.CanServe(lot, o.Pickup, o.Lead, o.MinShelf)
}

// olderFirst orders lots by the end of their life, then by code.
func (w *bench) olderFirst(x, y int) int {
	endX, _ := w.LifeEnds(x)
	endY, _ := w.LifeEnds(y)
	return cmp.Or(cmp.Compare(endX, endY), cmp.Compare(w.Lots[x].Code, w.Lots[y].Code))
}
