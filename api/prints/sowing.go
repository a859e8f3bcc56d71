package prints

import (
	"strconv"

	"headtally/api/words"
	"headtally/domain"
	"headtally/planner"
	"headtally/planner/growth"
	"headtally/planner/sowing"
)

// sowingDays is how many days a sowing and setting sheet covers.
const sowingDays = 7

// SowingSheet is the clipboard of a week in the nursery, from a day on: what to
// sow each day, and which seedlings to set into rafts, with boxes for what was
// done.
func SowingSheet(f *domain.Facts, table *sowing.Table, house *planner.House, first domain.Day, o Options) (*Paper, error) {
	d := begin(f.Farm, o, clipboard)
	d.names = named{Names: words.NamesOf(f)}
	name := d.say("sowing_sheet")
	d.head = d.header(first, name, d.say("week_from", "until", d.speech.ShortDay(first.Add(sowingDays-1)), "farm", f.Farm.Name))
	within := func(day domain.Day) bool { return first <= day && day < first.Add(sowingDays) }
	var sow []sowing.Dated
	for _, s := range table.Sowings {
		if within(s.Day) && s.Trays > 0 {
			sow = append(sow, s)
		}
	}
	d.sow(sow)
	var set []growth.Projection
	for _, p := range house.Nursery {
		if p.Chosen.Set < first.Add(sowingDays) { // what should have been set before is not forgotten
			set = append(set, p)
		}
	}
	d.set(set)
	return d.paper(name)
}

func (d *document) sow(list []sowing.Dated) {
	top := d.section(d.say("to_sow"))
	d.add(item{block: top, keep: true})
	if len(list) == 0 {
		d.sentence(d.say("nothing_to_sow"))
		return
	}
	cols := []column{{fixed: 106}, {share: 1}, {fixed: 60, align: right}, {fixed: 92}, {fixed: 92}, {fixed: 52, align: middle}}
	head := &row{cols: cols, under: bold, upright: fine, cells: []cell{d.cell(d.heading, d.say("day")), d.cell(d.heading, d.say("variety")),
		d.cell(d.heading, d.say("trays")), d.cell(d.heading, d.say("set_about")), d.cell(d.heading, d.say("seed_lot")), d.cell(d.heading, d.say("done"))}}
	d.add(item{block: head, keep: true})
	for _, s := range list {
		d.add(item{block: &row{cols: cols, least: d.row, under: d.rule, upright: fine, cells: []cell{
			d.cell(style{d.text.size, true}, d.speech.ShortDay(s.Day)), d.cell(d.text, d.names.variety(s.Variety)), d.cell(d.figure, strconv.Itoa(s.Trays)),
			d.cell(d.text, d.speech.ShortDay(s.Set)), {}, {ticks: 1}}}, top: []block{top, head}})
	}
}

func (d *document) set(list []growth.Projection) {
	top := d.section(d.say("to_set"))
	d.add(item{block: top, gap: 18, keep: true})
	if len(list) == 0 {
		d.sentence(d.say("nothing_to_set"))
		return
	}
	cols := []column{{fixed: 106}, {share: 1}, {fixed: 66, align: right}, {fixed: 70}, {fixed: 74}, {fixed: 74}}
	head := &row{cols: cols, under: bold, upright: fine, cells: []cell{d.cell(d.heading, d.say("day")), d.cell(d.heading, d.say("batch")),
		d.cell(d.heading, d.say("trays")), d.cell(d.heading, d.say("bed")), d.cell(d.heading, d.say("rafts_set")), d.cell(d.heading, d.say("lost"))}}
	d.add(item{block: head, keep: true})
	for _, p := range list {
		d.add(item{block: &row{cols: cols, least: d.row, under: d.rule, upright: fine, cells: []cell{
			d.cell(style{d.text.size, true}, d.speech.ShortDay(p.Chosen.Set)),
			{texts: []text{{d.text, d.names.variety(p.Batch.Variety)}, {d.text, p.Batch.Code}}},
			d.cell(d.figure, strconv.Itoa(p.Batch.Trays)), {}, {}, {}}}, top: []block{top, head}})
	}
}
