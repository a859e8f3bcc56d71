package prints

import (
	"strconv"
	"strings"

	"headtally/api/book"
)

// PackingSlips go with the cases: one a customer and truck, several on a sheet
// to be cut apart. traces tells of lines, by id, the traceability lot codes of
// their cases; where it does not there is room to write.
//
// With farm, product, quantity, customer, date and lot code a slip holds what
// US rules ask to be sent along with leafy greens (21 CFR 1.1340(a)(1) to (7)).
func PackingSlips(day *book.Day, traces map[string][]string, o Options) (*Paper, error) {
	d := beginDay(day, o, office)
	name := d.say("packing_slips")
	d.head = d.header(day.Pickup, name, day.Farm.Name)
	for _, truck := range loads(day) {
		for _, s := range truck.stops {
			d.slip(day, truck, s, traces)
		}
	}
	if len(day.Lines) == 0 {
		d.sentence(d.say("nothing_asked"))
	}
	return d.paper(name)
}

// slip is one customer's, all of it kept on one page.
func (d *document) slip(day *book.Day, truck load, s stop, traces map[string][]string) {
	from := strings.Join(nonEmpty(day.Farm.Name, day.Farm.Address, day.Farm.Phone), " · ")
	wide := []column{{share: 1}, {share: 0.8, align: right}}
	head := &row{owner: s.name, cols: wide, over: heavy, cells: []cell{
		{texts: []text{{style{16, true}, s.name}, {d.text, d.orders(s)}}},
		{texts: []text{{style{12, true}, d.speech.DayYear(day.Pickup)}, {d.text, truckTitle(truck)}}}}}
	cols := []column{{fixed: 60, align: right}, {fixed: 60, align: right}, {share: 1}, {share: 0.8}}
	names := &row{cols: cols, over: fine, under: bold, cells: []cell{d.cell(d.heading, d.say("asked")), d.cell(d.heading, d.say("sent")),
		d.cell(d.heading, d.say("product")), d.cell(d.heading, d.say("lot_code"))}}
	d.add(item{block: head, gap: 16, keep: true})
	d.add(item{block: &row{cols: []column{{share: 1}}, cells: []cell{d.cell(d.text, d.say("slip_from", "farm", from))}}, keep: true})
	d.add(item{block: names, keep: true})
	for i, l := range s.lines {
		what := []text{{d.name, d.ownName(l)}}
		for _, note := range d.insteadOf(l) {
			what = append(what, text{d.text, note})
		}
		if missing := l.Plan.Cases - l.Plan.Filled; missing > 0 {
			what = append(what, text{d.text, d.say("slip_missing", "cases", missing)})
		}
		d.add(item{block: &row{owner: s.name, cols: cols, least: 9 * mm, under: d.rule, cells: []cell{
			d.cell(d.text, strconv.Itoa(l.Plan.Cases)), d.cell(d.figure, strconv.Itoa(l.Plan.Filled)), {texts: what},
			d.cell(d.text, strings.Join(traces[l.ID], ", "))}}, keep: i < len(s.lines)-1, top: []block{head, names}})
	}
}

// StackTags hang on the stacks of cases that stand ready: whose they are, which
// truck takes them, and which of how many this is. high is how many cases make a
// stack; 0 is usualStack.
func StackTags(day *book.Day, high int, o Options) (*Paper, error) {
	d := beginDay(day, o, wall)
	d.weekday.size, d.title.size, d.about.size = 44, 16, 12
	name := d.say("stack_tags")
	d.head = d.header(day.Pickup, name, day.Farm.Name)
	if high < 1 {
		high = usualStack
	}
	for _, truck := range loads(day) {
		for _, s := range truck.stops {
			cases := allCases(totals(s.lines))
			stacks := (cases + high - 1) / high
			for n := range stacks {
				d.add(item{block: &strip{blocks: d.stackTag(day, truck, s, n+1, stacks, min(high, cases-n*high), cases)}, gap: 8})
			}
		}
	}
	if len(d.items) == 0 {
		d.sentence(d.say("nothing_asked"))
	}
	return d.paper(name)
}

// stackTag is one tag: the customer in large letters, the count below.
func (d *document) stackTag(day *book.Day, truck load, s stop, n, of, here, cases int) []block {
	return []block{
		&row{owner: s.name, cols: []column{{share: 1}}, cells: []cell{d.cell(style{40, true}, s.name)}},
		&row{cols: []column{{share: 1}, {share: 1, align: right}}, least: 18 * mm, cells: []cell{
			d.cell(style{36, true}, d.say("one_of", "n", n, "of", of)), d.cell(style{28, true}, d.say("cases_here", "here", here, "cases", cases))}},
		&row{cols: []column{{share: 1}}, cells: []cell{d.cell(style{20, false}, d.speech.Day(day.Pickup)+" · "+truckTitle(truck))}}}
}
