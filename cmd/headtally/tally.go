package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"

	"headtally/domain"
	"headtally/domain/planning"
)

// heads is so many heads of a variety for a pickup day.
type heads map[varietyOnDay]int

type varietyOnDay struct {
	pickup  domain.Day
	variety string
}

// tally is the heads of each variety for each pickup day. What lies in packed
// cases has a column of its own where there is any.
func (p *page) tally(problem *planning.Problem, plan *planning.Plan, counted func(variety string, pickup domain.Day) bool) {
	p.head(p.say.Say("text.tally"))
	if len(plan.Tally) == 0 {
		fmt.Fprintln(p, p.say.Say("text.nothing_ordered"))
		return
	}
	packed := packedHeads(problem, plan)
	t := tabwriter.NewWriter(p, 0, 0, 2, ' ', tabwriter.AlignRight)
	row := func(name string, listed, fromPacked, assigned, short any) {
		cells := []any{name, listed, fromPacked, assigned, short}
		if len(packed) == 0 {
			cells = slices.Delete(cells, 2, 3)
		}
		fmt.Fprintf(t, strings.Repeat("%v\t", len(cells))+"\n", cells...)
	}
	var day domain.Day
	for _, r := range withPacked(problem, plan.Tally, packed) {
		if r.Pickup != day {
			day = r.Pickup
			row(pad(p.say.Day(day), 30), p.say.Say("text.listed"), p.say.Say("text.packed"), p.say.Say("text.assigned"), p.say.Say("text.short"))
		}
		row(pad("  "+p.names.Of(p.names.Varieties, r.Variety), 30), r.Listed, packed[varietyOnDay{r.Pickup, r.Variety}], r.Assigned, p.lacking(r, counted))
	}
	_ = t.Flush()
}

// lacking is what a row of the tally lacks.
func (p *page) lacking(r planning.TallyRow, counted func(variety string, pickup domain.Day) bool) string {
	switch {
	case r.Short == 0:
		return "-"
	case !counted(r.Variety, r.Pickup):
		return fmt.Sprintf("%d %s", r.Short, p.say.Say("text.not_counted"))
	}
	return fmt.Sprint(r.Short)
}

// packedHeads are the heads in the packed cases that a plan gives away.
func packedHeads(problem *planning.Problem, plan *planning.Plan) heads {
	contents := map[string][]planning.VarietyHeads{}
	for _, k := range problem.Packed {
		contents[k.Code] = k.Contents
	}
	packed := heads{}
	for i, l := range plan.Lines {
		for _, k := range l.Packed {
			for _, c := range contents[k.Code] {
				packed[varietyOnDay{problem.Lines[i].Pickup, c.Variety}] += c.Heads * k.Cases
			}
		}
	}
	return packed
}

// withPacked is a tally with a row for every variety that packed cases hold.
func withPacked(problem *planning.Problem, tally []planning.TallyRow, packed heads) []planning.TallyRow {
	list := slices.Clone(tally)
	for at := range packed {
		if !slices.ContainsFunc(tally, func(r planning.TallyRow) bool { return r.Pickup == at.pickup && r.Variety == at.variety }) {
			list = append(list, planning.TallyRow{Pickup: at.pickup, Variety: at.variety})
		}
	}
	place := func(variety string) int {
		return slices.IndexFunc(problem.Varieties, func(v planning.Variety) bool { return v.Code == variety })
	}
	slices.SortFunc(list, func(a, b planning.TallyRow) int {
		return cmp.Or(cmp.Compare(a.Pickup, b.Pickup), cmp.Compare(place(a.Variety), place(b.Variety)))
	})
	return list
}
