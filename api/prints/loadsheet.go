package prints

import (
	"slices"
	"strconv"
	"strings"

	"headtally/api/book"
)

// LoadSheet is the clipboard of one truck or round: the last stop first, for
// that goes in first; a box to tick for every case; totals; then temperatures,
// times and names to write in.
func LoadSheet(day *book.Day, carrier string, o Options) (*Paper, error) {
	d := beginDay(day, o, clipboard)
	name := d.say("load_sheet")
	truck := newLoad(day, carrier)
	for _, l := range loads(day) {
		if l.carrier == carrier {
			truck = l
		}
	}
	d.head = d.header(day.Pickup, name, truckTitle(truck)+" · "+day.Farm.Name)
	if len(truck.stops) == 0 {
		d.sentence(d.say("nothing_to_load"))
	}
	cols := []column{{fixed: 62, align: right}, {share: 1}, {fixed: 5*tickStep + 2*padSide}}
	top := &row{cols: cols, under: bold, cells: []cell{d.cell(d.heading, d.say("cases")), d.cell(d.heading, d.say("product")), d.cell(d.heading, d.say("tick"))}}
	d.add(item{block: top, keep: true})
	for _, s := range slices.Backward(truck.stops) {
		again := []block{top, d.stopRow(s, d.say("continued", "name", s.name))}
		d.add(item{block: d.stopRow(s, s.name), keep: true, gap: 4, top: []block{top}})
		for _, l := range s.lines {
			d.add(item{block: d.loadLine(s, l, cols), top: again})
		}
	}
	d.caseTotals(totals(truck.lines()))
	d.writeIn("cooler_temperature", "load_temperature", "loaded_at", "loaded_by", "taken_by")
	return d.paper(name)
}

// stopRow heads what one customer gets, with the orders it was asked for by.
func (d *document) stopRow(s stop, name string) *row {
	return &row{owner: s.name, cols: []column{{share: 1}, {share: 0.6, align: right}}, over: bold, under: d.rule,
		cells: []cell{d.cell(d.name, name), d.cell(d.text, d.orders(s))}}
}

// orders are a customer's purchase orders, each once.
func (d *document) orders(s stop) string {
	var orders []string
	for _, l := range s.lines {
		if l.PO != "" && !slices.Contains(orders, l.PO) {
			orders = append(orders, l.PO)
		}
	}
	if len(orders) == 0 {
		return ""
	}
	return d.say("purchase_order", "orders", strings.Join(orders, ", "))
}

func (d *document) loadLine(s stop, l book.DayLine, cols []column) *row {
	what := []text{{style{d.text.size, true}, d.ownName(l)}}
	for _, note := range d.notes(l) {
		what = append(what, text{d.text, note})
	}
	return &row{owner: s.name, cols: cols, least: d.row, under: d.rule,
		cells: []cell{d.cell(d.figure, strconv.Itoa(l.Plan.Filled)), {texts: what}, {ticks: l.Plan.Filled}}}
}

// ownName is a product's name with the customer's own code for it.
func (d *document) ownName(l book.DayLine) string {
	if code := l.Customer.ItemCodes[l.Line.Product]; code != "" {
		return l.Product.Name + " · " + code
	}
	return l.Product.Name
}

// caseTotals lists cases by product and in all.
func (d *document) caseTotals(all []total) {
	if len(all) == 0 {
		return
	}
	top := d.section(d.say("totals"))
	cols := []column{{fixed: 26 * mm, align: right}, {share: 1}}
	d.add(item{block: top, gap: 18, keep: true})
	for _, t := range all {
		d.add(item{block: &row{cols: cols, under: d.rule, cells: []cell{
			d.cell(d.figure, strconv.Itoa(t.cases)), d.cell(style{d.text.size, true}, t.name)}}, keep: true, top: []block{top}})
	}
	d.add(item{block: &row{cols: cols, over: bold, under: heavy, cells: []cell{
		d.cell(d.figure, strconv.Itoa(allCases(all))), d.cell(d.name, d.say("cases_in_all"))}}})
}

// writeIn adds rows with a name and room to write.
func (d *document) writeIn(codes ...string) {
	cols := []column{{share: 0.45}, {share: 0.55}}
	for i, code := range codes {
		r := &row{cols: cols, least: d.row, under: d.rule, upright: d.rule, cells: []cell{d.cell(d.text, d.say(code)), {}}}
		gap := 0.0
		if i == 0 {
			r.over, gap = bold, 16
		}
		d.add(item{block: r, keep: i < len(codes)-1, gap: gap})
	}
}
