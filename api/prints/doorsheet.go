package prints

import (
	"slices"
	"strconv"

	"headtally/api/book"
	"headtally/domain"
)

// mostNotices is how many notices a door sheet bears; more are not read.
const mostNotices = 3

// DoorSheet is the one page on the door: trucks and hours, cases by product and
// truck with totals, rafts to lift by variety, the most pressing notices, and
// what changed since the printing before, if was tells it. lifted is the day of
// the pull. Where all this does not fit on a page at its largest, smaller sizes
// are tried, figures never under 28 points.
func DoorSheet(day *book.Day, lifted domain.Day, was []domain.Given, o Options) (*Paper, error) {
	var paper *Paper
	for _, size := range []struct {
		figure, text float64
		together     bool
		changes      int // told one by one
	}{{36, 20, true, 6}, {32, 18, true, 4}, {28, 15, true, 4}, {28, 13, true, 0}, {28, 13, false, 0}} {
		d := beginDay(day, o, wall)
		d.figure.size, d.text.size = size.figure, size.text
		d.heading.size = min(d.heading.size, size.figure*0.45)
		name := d.say("door_sheet")
		d.head = d.header(day.Pickup, name, day.Farm.Name)
		d.door(day, lifted, size.together)
		d.doorChanges(changes(was, day.Given()), size.changes)
		var err error
		if paper, err = d.paper(name); err != nil || paper.Pages() == 1 {
			return paper, err
		}
	}
	return paper, nil
}

// door writes the sheet with its two tables side by side, or one below the other
// where they are too much for that.
func (d *document) door(day *book.Day, lifted domain.Day, together bool) {
	d.trucksAndHours(day)
	cases, rafts := d.casesByTruck(day, loads(day)), d.raftsToLift(day, lifted)
	if together && len(rafts) > 0 {
		d.add(item{block: &beside{left: cases, right: rafts, share: 0.66}, gap: 6})
	} else {
		for _, b := range append(cases, rafts...) {
			d.add(item{block: b})
		}
	}
	d.doorNotices(day, lifted)
}

// trucksAndHours is a line for every truck that comes.
func (d *document) trucksAndHours(day *book.Day) {
	var comes []string
	for _, c := range day.Carriers {
		comes = append(comes, c.Hour.String()+" "+c.Name)
	}
	if len(comes) > 0 {
		d.add(item{block: &row{cols: []column{{share: 1}}, cells: []cell{d.cell(style{d.text.size * 1.1, true}, d.speech.List(comes))}}})
	}
}

// casesByTruck is the table of cases: a row a product, a column a truck.
func (d *document) casesByTruck(day *book.Day, trucks []load) (rows []block) {
	products := totals(day.Lines)
	cols, head := []column{{share: 1}}, []cell{d.cell(d.heading, d.say("cases"))}
	sums := make([][]total, len(trucks))
	for i, t := range trucks {
		sums[i] = totals(t.lines())
		name := truckHeading(trucks, t)
		c := figureColumn(d.figure, strconv.Itoa(allCases(sums[i])))
		if name != t.hour {
			c.fixed = max(c.fixed, d.heading.width("00000000")) // room for a name
		}
		cols, head = append(cols, c), append(head, d.cell(d.heading, name))
	}
	cols = append(cols, figureColumn(d.figure, strconv.Itoa(allCases(products)), "000"))
	head = append(head, d.cell(d.heading, d.say("all")))
	line := func(name string, of func([]total) int) *row {
		cells := []cell{d.cell(style{d.text.size, true}, name)}
		for _, s := range append(slices.Clone(sums), products) {
			cells = append(cells, d.cell(d.figure, strconv.Itoa(of(s))))
		}
		return &row{cols: cols, under: d.rule, cells: cells}
	}
	rows = append(rows, &row{cols: cols, cells: head, over: heavy, under: bold})
	for _, t := range products {
		rows = append(rows, line(t.name, func(s []total) int { return casesOf(s, t.product) }))
	}
	last := line(d.say("all"), allCases)
	last.over, last.under = bold, heavy
	return append(rows, last)
}

// truckHeading is what stands over a truck's column: its name, or where there
// are many its hour, which stands with the name at the top of the sheet.
func truckHeading(trucks []load, t load) string {
	same := 0
	for _, x := range trucks {
		if x.hour == t.hour {
			same++
		}
	}
	if len(trucks) > 2 && same == 1 && t.hour != "" {
		return t.hour
	}
	return t.name
}

// raftsToLift is the table of what comes out of the beds, by variety.
func (d *document) raftsToLift(day *book.Day, lifted domain.Day) (rows []block) {
	rafts := map[string]domain.HalfRafts{}
	heads := map[string]int{}
	var order []string
	for _, p := range day.Week.Plan.Pulls {
		if p.Day != lifted {
			continue
		}
		if !slices.Contains(order, p.Variety) {
			order = append(order, p.Variety)
		}
		rafts[p.Variety] += p.Rafts
		heads[p.Variety] += p.StopAt
	}
	if len(order) == 0 {
		return nil
	}
	cols := []column{{share: 1}, figureColumn(d.figure, "00½")}
	rows = append(rows, &row{cols: cols, over: heavy, under: bold, cells: []cell{
		d.cell(d.heading, d.say("lift", "day", d.speech.Weekday(lifted.Weekday()))), d.cell(d.heading, d.say("rafts"))}})
	for _, v := range order {
		figure := d.cell(d.figure, d.speech.Rafts(rafts[v]))
		if rafts[v] == 0 { // a lot that is lifted head by head
			figure = cell{texts: []text{{d.figure, strconv.Itoa(heads[v])}, {d.heading, d.say("heads")}}}
		}
		rows = append(rows, &row{cols: cols, under: d.rule, cells: []cell{d.cell(style{d.text.size, true}, d.names.variety(v)), figure}})
	}
	return rows
}

// doorNotices are the plan's warnings from the lift to the pickup, and
// what the calendar did to its orders; the first of them only.
func (d *document) doorNotices(day *book.Day, lifted domain.Day) {
	told := d.speech.Warnings(day.Mind(lifted), d.names.Names)
	for _, n := range day.Notices {
		told = append(told, d.speech.Notice(n, d.names.Names))
	}
	for i, words := range told[:min(len(told), mostNotices)] {
		gap := 4.0
		if i == 0 {
			gap = 10
		}
		d.add(item{block: &row{cols: []column{{fixed: 20}, {share: 1}}, cells: []cell{
			d.cell(style{d.text.size, true}, "!"), d.cell(d.text, words)}}, gap: gap})
	}
}

// doorChanges tells what changed, the first so many one by one.
func (d *document) doorChanges(list []change, most int) {
	if len(list) == 0 {
		return
	}
	since := d.say("changed_since_last")
	if d.options.Replaces > 0 {
		since = d.say("changed_since", "number", d.options.Replaces)
	}
	if most == 0 {
		d.add(item{block: &row{cols: []column{{share: 1}}, over: bold, cells: []cell{
			d.cell(style{d.text.size, true}, since+": "+d.say("changes_more", "more", len(list)))}}, gap: 8})
		return
	}
	head := d.section(since)
	head.cells[0].texts[0].style = style{d.text.size, true}
	d.add(item{block: head, gap: 10, keep: true})
	for _, c := range list[:min(len(list), most)] {
		d.add(item{block: &row{owner: c.Name, cols: []column{{share: 1}}, cells: []cell{
			d.cell(d.text, d.say("change", "customer", c.Name, "product", d.names.product(c.Product), "was", int(c.was), "now", int(c.Cases)))}}})
	}
	if more := len(list) - most; more > 0 {
		d.add(item{block: &row{cols: []column{{share: 1}}, cells: []cell{d.cell(d.text, d.say("changes_more", "more", more))}}})
	}
}
