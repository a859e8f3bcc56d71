package prints

import (
	"slices"
	"strconv"

	"headtally/api/book"
	"headtally/domain/planning"
)

// PackList is the list that hangs in the packing room: for each truck and
// customer the cases to pack, what stands in and what is short in plain words,
// then totals by product, the recipes where the plan has any, and the heads by
// variety. Every line of the day stands on it once.
func PackList(day *book.Day, o Options) (*Paper, error) {
	d := beginDay(day, o, clipboard)
	name := d.say("pack_list")
	d.head = d.header(day.Pickup, name, d.say("pickup_day", "farm", day.Farm.Name))
	if len(day.Lines) == 0 {
		d.sentence(d.say("nothing_asked"))
	}
	for _, truck := range loads(day) {
		d.packTruck(truck)
	}
	d.caseTotals(totals(day.Lines))
	d.packRecipes(day)
	d.packHeads(day.Tally)
	return d.paper(name)
}

// packColumns are cases, what is in them, and a box for done.
func packColumns() []column {
	return []column{{fixed: 26 * mm, align: right}, {share: 1}, {fixed: 20 * mm, align: middle}}
}

func (d *document) packTruck(truck load) {
	top := d.section(truckTitle(truck))
	head := &row{cols: packColumns(), under: bold, cells: []cell{
		d.cell(d.heading, d.say("cases")), d.cell(d.heading, d.say("product")), d.cell(d.heading, d.say("done"))}}
	d.add(item{block: top, gap: 14, keep: true})
	d.add(item{block: head, keep: true})
	for _, s := range truck.stops {
		name := d.customerRow(s, s.name)
		again := []block{top, head, d.customerRow(s, d.say("continued", "name", s.name))}
		d.add(item{block: name, gap: 4, keep: true, top: []block{top, head}})
		for _, l := range s.lines {
			d.add(item{block: d.packLine(s, l), top: again})
		}
	}
}

// truckTitle is a truck's name and hour.
func truckTitle(t load) string {
	if t.hour == "" {
		return t.name
	}
	return t.name + " · " + t.hour
}

// customerRow heads a customer's lines, with the purchase orders they came by.
func (d *document) customerRow(s stop, name string) *row {
	return &row{owner: s.name, cols: []column{{share: 1}}, under: d.rule,
		cells: []cell{{texts: []text{{d.name, name}}}}}
}

func (d *document) packLine(s stop, l book.DayLine) *row {
	what := []text{{style{d.text.size, true}, l.Product.Name}}
	for _, note := range d.notes(l) {
		what = append(what, text{d.text, note})
	}
	return &row{owner: s.name, cols: packColumns(), least: d.row, under: d.rule, cells: []cell{
		d.cell(d.figure, strconv.Itoa(l.Plan.Filled)), {texts: what}, {ticks: 1}}}
}

// packRecipes lists the runs: how many cases alike, what goes in each, for whom.
func (d *document) packRecipes(day *book.Day) {
	top := d.section(d.say("recipes"))
	for i, r := range day.Runs {
		it := item{block: d.packRun(r), top: []block{top}}
		if i == 0 {
			d.add(item{block: top, gap: 18, keep: true})
		}
		d.add(it)
	}
}

func (d *document) packRun(r planning.Run) *row {
	what := []text{{style{d.text.size, true}, d.names.product(r.Product)}}
	if r.ByHand {
		what[0].words += " · " + d.say("by_hand")
	}
	what = append(what, text{d.text, d.say("in_each", "list", d.speech.List(d.heads(r.Contents)))})
	what = append(what, text{d.text, d.forWhom(r)})
	return &row{cols: packColumns(), least: d.row, under: d.rule, cells: []cell{
		d.cell(d.figure, strconv.Itoa(r.Cases)), {texts: what}, {ticks: 1}}}
}

// packHeads lists the heads of each variety that the day takes.
func (d *document) packHeads(tally []book.TallyRow) {
	tally = slices.DeleteFunc(slices.Clone(tally), func(t book.TallyRow) bool {
		return t.Assigned == 0 && t.Short == 0 // packed before, or another variety stands in: nothing to fetch
	})
	if len(tally) == 0 {
		return
	}
	cols := []column{{fixed: 26 * mm, align: right}, {share: 1}, {fixed: 62 * mm, align: right}}
	top := d.section(d.say("heads_by_variety"))
	d.add(item{block: top, gap: 18, keep: true})
	for _, t := range tally {
		lacking := ""
		switch {
		case t.Short > 0 && t.Counted:
			lacking = d.say("heads_short", "heads", t.Short)
		case t.Short > 0:
			lacking = d.say("heads_not_counted", "heads", t.Short)
		}
		name := t.Variety.Name
		if name == "" {
			name = d.names.variety(t.TallyRow.Variety)
		}
		d.add(item{block: &row{cols: cols, under: d.rule, cells: []cell{d.cell(d.figure, strconv.Itoa(t.Assigned)),
			d.cell(style{d.text.size, true}, name), d.cell(d.text, lacking)}}, top: []block{top}})
	}
}

// section is a heavy heading over the width of the sheet.
func (d *document) section(words string) *row {
	return &row{cols: []column{{share: 1}}, over: heavy, under: bold, cells: []cell{{texts: []text{{d.title, words}}}}}
}

// sentence is a plain sentence under what is written so far.
func (d *document) sentence(words string) {
	d.add(item{block: &row{cols: []column{{share: 1}}, cells: []cell{{texts: []text{{d.text, words}}}}}, gap: 6})
}

// cell is one text in one style.
func (d *document) cell(s style, words string) cell { return cell{texts: []text{{s, words}}} }
