package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"

	"headtally/domain/planning"
	"headtally/planner"
)

// readPlan reads a plan that this program wrote as JSON.
func readPlan(sh surroundings, name string) (*planning.Plan, error) {
	text, err := readAll(sh.in, name)
	if err != nil {
		return nil, err
	}
	var plan planning.Plan
	if err := json.Unmarshal(text, &plan); err != nil || plan.Lines == nil || plan.Pulls == nil {
		return nil, exits{refused, fmt.Errorf("--since: %s holds no plan as `headtally plan --format json` writes it", name)}
	}
	return &plan, nil
}

// writeDifferenceJSON writes what is different in a plan from one before, on one
// line.
func writeDifferenceJSON(w io.Writer, since, plan *planning.Plan) error {
	return json.NewEncoder(w).Encode(planner.Compare(since, plan))
}

// different lists the lines that get something else than before, then the lots
// that are lifted otherwise.
func (p *page) different(problem *planning.Problem, d *planner.Difference) {
	p.head(p.say.Say("text.different"))
	lines := map[string]*planning.Line{}
	for i := range problem.Lines {
		lines[problem.Lines[i].ID] = &problem.Lines[i]
	}
	none := true
	for _, c := range d.Lines {
		none = false
		fmt.Fprintln(p, p.lineChange(lines[c.ID], c))
	}
	where := p.beds(problem)
	for _, c := range d.Pulls {
		is, was := p.toLift(c.Is), p.toLift(c.Was)
		if is == was {
			continue // only what lies in the cooler, or what is lifted for a poor yield, is another
		}
		none = false
		fmt.Fprintln(p, p.say.Say("text.different_lift", "day", p.say.ShortDay(c.Day),
			"variety", p.names.Of(p.names.Varieties, c.Variety), "bed", cmp.Or(where[c.Lot], c.Lot), "is", is, "was", was))
	}
	if none {
		fmt.Fprintln(p, p.say.Say("text.different_none"))
	}
}

// toLift is what is lifted of a lot on a day, which may be nothing.
func (p *page) toLift(f planner.PullFigures) string {
	if f.StopAt == 0 {
		return p.say.Say("text.lift_none")
	}
	return p.lift(f.Rafts, f.StopAt)
}

// lineChange is what one line gets now, and got before. Of a line that is in no
// order any more nothing but its id is known.
func (p *page) lineChange(l *planning.Line, c planner.LineChange) string {
	if l == nil {
		return p.say.Say("text.different_dropped", "line", c.ID, "was", c.Was.Filled)
	}
	code := "text.different_line"
	switch {
	case c.Added:
		code = "text.different_added"
	case c.Was.Broken != c.Is.Broken:
		code = "text.different_broken"
	case c.Was.Filled == c.Is.Filled && c.Was.Firm == c.Is.Firm && c.Was.Short == c.Is.Short:
		code = "text.different_contents"
	}
	return p.say.Say(code, "day", p.say.ShortDay(l.Pickup), "customer", p.names.Of(p.names.Customers, l.Customer),
		"product", p.names.Of(p.names.Products, l.Product), "filled", c.Is.Filled, "asked", c.Is.Filled+c.Is.Short, "firm", c.Is.Firm,
		"broken", c.Is.Broken, "was_filled", c.Was.Filled, "was_asked", c.Was.Filled+c.Was.Short, "was_firm", c.Was.Firm, "was_broken", c.Was.Broken)
}
