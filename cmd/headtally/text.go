package main

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// page writes a plan as text that a grower reads in a terminal.
type page struct {
	*bufio.Writer
	say   *words.Speech
	names words.Names
}

func newPage(w io.Writer, say *words.Speech, names words.Names) *page {
	return &page{bufio.NewWriter(w), say, names}
}

func (p *page) head(title string) {
	fmt.Fprintf(p, "\n%s\n%s\n", title, strings.Repeat("-", len([]rune(title))))
}

// writePlan writes the plan of a problem document, or what is different in it
// from one before.
func writePlan(w io.Writer, problem *planning.Problem, plan, since *planning.Plan) error {
	p := newPage(w, words.In("en"), words.NamesIn(problem))
	fmt.Fprintln(p, p.say.Say("text.as_of", "day", p.say.DayYear(problem.AsOf)))
	if since != nil {
		p.different(problem, planner.Compare(since, plan))
		return p.Flush()
	}
	p.tally(problem, plan, func(string, domain.Day) bool { return true })
	var lines []shortLine
	for i := range problem.Lines {
		l := &problem.Lines[i]
		lines = append(lines, shortLine{l.Pickup, l.Customer, l.Product, &plan.Lines[i], true})
	}
	p.shorts(lines)
	p.mind(plan)
	p.pulls(problem, plan)
	p.totals(plan)
	return p.Flush()
}

// writeWeek writes the book's plan: what a grower works from in the week.
func writeWeek(w io.Writer, facts *domain.Facts, week *planner.Week, as form) error {
	switch {
	case as.name == "json" && as.since != nil:
		return writeDifferenceJSON(w, as.since, week.Plan)
	case as.name == "json":
		return writePlanJSON(w, week.Plan)
	}
	p := newPage(w, words.For(facts.Farm), words.NamesOf(facts).WithLots(week.Problem))
	title := p.say.Say("text.as_of", "day", p.say.DayYear(week.AsOf))
	if facts.Farm.Name != "" {
		title = facts.Farm.Name + ". " + title
	}
	fmt.Fprintln(p, title)
	if as.since != nil {
		p.different(week.Problem, planner.Compare(as.since, week.Plan))
		return p.Flush()
	}
	days := make([]*book.Day, 0, len(week.Problem.PickupDays))
	var lines []shortLine
	for _, pickup := range week.Problem.PickupDays {
		d := book.NewDay(facts, week, pickup)
		days = append(days, d)
		for i := range d.Lines {
			l := &d.Lines[i]
			lines = append(lines, shortLine{l.Pickup, l.Line.Customer, l.Line.Product, &l.Plan, l.Counted})
		}
	}
	p.tally(week.Problem, week.Plan, func(variety string, pickup domain.Day) bool {
		return week.Counted(variety, pickup, facts.Farm.LeadDays)
	})
	p.shorts(lines)
	p.mind(week.Plan)
	p.notices(week.Notices)
	p.pulls(week.Problem, week.Plan)
	for _, d := range days {
		p.packList(d)
	}
	p.ahead(week.Ahead)
	p.assumed(week.Assumed)
	p.totals(week.Plan)
	return p.Flush()
}

// pad fills text to a width, so that a column of names stands on the left.
func pad(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-len([]rune(text))))
}

// shortLine is what the list of shorts needs of a line.
type shortLine struct {
	pickup            domain.Day
	customer, product string
	plan              *planning.LinePlan
	counted           bool
}

// shorts lists what is not filled and why, then what is filled but not sure.
func (p *page) shorts(lines []shortLine) {
	if len(lines) == 0 {
		return
	}
	p.head(p.say.Say("text.shorts"))
	none, risk := true, false
	for _, l := range lines {
		risk = risk || l.plan.Firm < l.plan.Filled
		if l.plan.Short == 0 {
			continue
		}
		none = false
		fmt.Fprintln(p, p.say.Say("text.short_line", "day", p.say.ShortDay(l.pickup), "customer", p.names.Of(p.names.Customers, l.customer),
			"product", p.names.Of(p.names.Products, l.product), "filled", l.plan.Filled, "asked", l.plan.Filled+l.plan.Short,
			"why", p.say.Why(l.plan.Reason, l.counted, p.names)))
	}
	if none {
		fmt.Fprintln(p, p.say.Say("text.all_filled"))
	}
	if !risk {
		return
	}
	p.head(p.say.Say("text.at_risk"))
	for _, l := range lines {
		if l.plan.Firm < l.plan.Filled {
			fmt.Fprintln(p, p.say.Say("text.at_risk_line", "day", p.say.ShortDay(l.pickup), "customer", p.names.Of(p.names.Customers, l.customer),
				"product", p.names.Of(p.names.Products, l.product), "firm", l.plan.Firm, "filled", l.plan.Filled))
		}
	}
}

func (p *page) mind(plan *planning.Plan) {
	if len(plan.Warnings) == 0 {
		return
	}
	p.head(p.say.Say("text.warnings"))
	for _, words := range p.say.Warnings(plan.Warnings, p.names) {
		fmt.Fprintln(p, words)
	}
}

func (p *page) notices(list []domain.Notice) {
	if len(list) == 0 {
		return
	}
	p.head(p.say.Say("text.notices"))
	for _, n := range list {
		fmt.Fprintln(p, p.say.Notice(n, p.names))
	}
}

// pulls is what to lift, day by day.
func (p *page) pulls(problem *planning.Problem, plan *planning.Plan) {
	where := p.beds(problem)
	if len(plan.Pulls) == 0 {
		return
	}
	p.head(p.say.Say("text.pulls"))
	var day domain.Day
	for _, pull := range plan.Pulls {
		if pull.StopAt == 0 {
			continue // its heads lie in the cooler, from a raft lifted on a day before
		}
		if pull.Day != day {
			day = pull.Day
			fmt.Fprintln(p, p.say.Day(day))
		}
		fmt.Fprintf(p, "%s%s%s\n", pad("  "+p.names.Of(p.names.Varieties, pull.Variety), 26), pad(where[pull.Lot], 14), p.lift(pull.Rafts, pull.StopAt))
	}
}

// beds is where each lot stands, by its code.
func (p *page) beds(problem *planning.Problem) map[string]string {
	where := map[string]string{}
	for _, l := range problem.Lots {
		where[l.Code] = l.Code
		if l.BedName != "" {
			where[l.Code] = p.say.Say("text.bed", "bed", l.BedName)
		}
	}
	return where
}

// lift is the rafts to take out, and the heads at which to stop.
func (p *page) lift(rafts domain.HalfRafts, stopAt int) string {
	if rafts == 0 {
		return p.say.Say("text.pull_heads", "heads", stopAt)
	}
	return p.say.Say("text.pull_line", "n", (int(rafts)+1)/2, "rafts", rafts, "heads", stopAt)
}

// packList is the cases of one pickup day, by truck and customer.
func (p *page) packList(d *book.Day) {
	if len(d.Lines) == 0 {
		return
	}
	p.head(p.say.Say("text.pack_list", "day", p.say.Day(d.Pickup)))
	truck, customer := "", ""
	for i := range d.Lines {
		l := &d.Lines[i]
		if l.Carrier != truck {
			truck, customer = l.Carrier, ""
			for _, c := range d.Carriers {
				if c.Code == truck {
					fmt.Fprintf(p, "%s, %s\n", c.Name, p.say.Clock(c.Hour))
				}
			}
		}
		if l.Line.Customer != customer {
			customer = l.Line.Customer
			fmt.Fprintf(p, "  %s\n", l.Customer.Name)
		}
		asked := ""
		if l.Plan.Filled < l.Plan.Cases {
			asked = " " + p.say.Say("text.of_asked", "asked", l.Plan.Cases)
		}
		fmt.Fprintf(p, "    %s%s%s\n", pad(l.Product.Name, 30), p.say.Say("text.pack_line", "cases", l.Plan.Filled), asked)
	}
}

// ahead is what is ordered beyond the days planned: a row a variety, a column
// for each week by its Monday.
func (p *page) ahead(list []planner.Listed) {
	if len(list) == 0 {
		return
	}
	p.head(p.say.Say("text.ahead"))
	var weeks []domain.Day
	var varieties []string
	heads := map[string]map[domain.Day]domain.Heads{}
	for _, row := range list {
		monday := row.Pickup.Add(-(int(row.Pickup.Weekday()) + 6) % 7)
		if !slices.Contains(weeks, monday) {
			weeks = append(weeks, monday)
		}
		if heads[row.Variety] == nil {
			heads[row.Variety] = map[domain.Day]domain.Heads{}
			varieties = append(varieties, row.Variety)
		}
		heads[row.Variety][monday] += row.Heads
	}
	slices.Sort(varieties)
	t := tabwriter.NewWriter(p, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprint(t, pad(p.say.Say("text.week_from"), 24), "\t")
	for _, monday := range weeks {
		fmt.Fprint(t, p.say.ShortDay(monday), "\t")
	}
	fmt.Fprintln(t)
	for _, v := range varieties {
		fmt.Fprint(t, pad("  "+p.names.Of(p.names.Varieties, v), 24), "\t")
		for _, monday := range weeks {
			fmt.Fprint(t, heads[v][monday], "\t")
		}
		fmt.Fprintln(t)
	}
	_ = t.Flush()
}

func (p *page) assumed(list []domain.Assumption) {
	if len(list) == 0 {
		return
	}
	p.head(p.say.Say("text.assumed"))
	for _, a := range list {
		fmt.Fprintln(p, p.say.Assumption(a, p.names))
	}
}

func (p *page) totals(plan *planning.Plan) {
	if plan.Totals.Asked == 0 {
		return
	}
	fmt.Fprintf(p, "\n%s\n", p.say.Say("text.totals", "filled", plan.Totals.Filled, "asked", plan.Totals.Asked, "firm", plan.Totals.Firm))
}
