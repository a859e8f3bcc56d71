package prints

import (
	"strconv"

	"headtally/api/book"
	"headtally/domain/planning"
)

// Recall is the sheet of a recall or its drill, for the telephone and the
// cooler: what is called back, whom to ring with boxes for who answered and what
// is still there, what must not leave the house, and where every case is.
func Recall(c *book.Recall, o Options) (*Paper, error) {
	d := begin(c.Farm, o, office)
	d.names = named{}
	name := d.say("recall", "code", c.Code)
	d.head = d.unissued(c.Day, name, c.Farm.Name)
	d.sentence(d.say("recall_help"))
	d.recallLots(c)
	d.recallCalls(c.Calls, d.say("recall_ring"), c)
	if len(c.Calls) == 0 {
		d.sentence(d.say("recall_nobody"))
	}
	if len(c.Unsure) > 0 {
		d.recallCalls(c.Unsure, d.say("recall_unsure"), c)
	}
	d.recallHold(c)
	d.recallSum(c)
	d.writeIn("recall_begun", "recall_ended", "recall_by")
	return d.paper(name)
}

// recallLots names the lots that are called back and every run they are in.
func (d *document) recallLots(c *book.Recall) {
	top := d.section(d.say("recall_what"))
	d.add(item{block: top, gap: 10, keep: true})
	say := func(words string) {
		d.add(item{block: &row{cols: []column{{share: 1}}, under: d.rule, cells: []cell{d.cell(d.text, words)}}, top: []block{top}})
	}
	for _, l := range c.Lots {
		words := d.recallLot(c, l)
		if l.Batch != "" {
			words += "; " + d.say("recall_batch", "batch", l.Batch, "day", d.speech.DayYear(l.Sown), "seed", l.SeedLot)
		}
		say(words)
	}
	for _, r := range c.Runs {
		say(d.say("recall_run", "trace", r.Trace, "product", c.Names[r.Product], "cases", int(r.Cases), "day", d.speech.DayYear(r.Packed)))
	}
}

// recallLot names a lot by its bed and its heads, as far as they were told: one
// that a count of the cooler brought has neither.
func (d *document) recallLot(c *book.Recall, l book.TracedLot) string {
	variety, day := c.Names[l.Variety], d.speech.DayYear(l.Lifted)
	switch {
	case l.Bed != "":
		return d.say("recall_lot", "variety", variety, "day", day, "bed", l.Bed, "heads", int(l.Heads), "lot", l.Lot)
	case l.Heads > 0:
		return d.say("recall_lot_nobed", "variety", variety, "day", day, "heads", int(l.Heads), "lot", l.Lot)
	}
	return d.say("recall_lot_cooler", "variety", variety, "day", day, "lot", l.Lot)
}

// recallCalls lists customers with their cases, and room for the answer.
func (d *document) recallCalls(calls []book.RecallCall, heading string, c *book.Recall) {
	if len(calls) == 0 {
		return
	}
	top := d.section(heading)
	cols := []column{{share: 1}, {share: 1.5}, {fixed: 50, align: right}, {fixed: 64}, {fixed: 64}, {fixed: 64}}
	head := &row{cols: cols, under: bold, upright: fine, cells: []cell{d.cell(d.heading, d.say("whom")), d.cell(d.heading, d.say("recall_got")),
		d.cell(d.heading, d.say("cases")), d.cell(d.heading, d.say("recall_reached")), d.cell(d.heading, d.say("recall_there")), d.cell(d.heading, d.say("recall_back"))}}
	d.add(item{block: top, gap: 14, keep: true})
	d.add(item{block: head, keep: true})
	for _, x := range calls {
		whom := []text{{d.name, x.Name}}
		if x.Phone != "" {
			whom = append(whom, text{d.name, x.Phone})
		}
		var got []text
		for _, s := range x.Got {
			code := s.Shipped.Trace
			if code == "" {
				code = d.say("recall_nocode")
			}
			got = append(got, text{d.text, d.say("recall_sent", "day", d.speech.ShortDay(s.Day), "cases", int(s.Cases), "product", c.Names[s.Product], "trace", code)})
		}
		if x.Back > 0 {
			got = append(got, text{style{d.text.size, true}, d.say("recall_came", "cases", int(x.Back))})
		}
		d.add(item{block: &row{owner: x.Name, cols: cols, least: 12 * mm, under: bold, upright: fine, cells: []cell{
			{texts: whom}, {texts: got}, d.cell(d.figure, strconv.Itoa(int(x.Cases))), {}, {}, {}}}, top: []block{top, head}})
	}
}

// recallHold lists what is still in the house.
func (d *document) recallHold(c *book.Recall) {
	top := d.section(d.say("recall_hold"))
	d.add(item{block: top, gap: 14, keep: true})
	cols := []column{{share: 1}, {fixed: 60, align: middle}}
	if len(c.Hold) == 0 {
		d.sentence(d.say("recall_nothing_here"))
	}
	for _, h := range c.Hold {
		words := ""
		switch h.Place {
		case planning.Bed:
			words = d.say("recall_in_bed", "heads", int(h.Heads), "variety", c.Names[h.Variety], "bed", h.Bed)
		case planning.Chilled:
			words = d.say("recall_loose", "heads", int(h.Heads), "variety", c.Names[h.Variety], "lot", h.Lot)
		default:
			code := h.Trace
			if code == "" {
				code = d.say("recall_nocode")
			}
			words = d.say("recall_cased", "cases", int(h.Cases), "product", c.Names[h.Product], "trace", code)
		}
		d.add(item{block: &row{cols: cols, least: 9 * mm, under: d.rule, cells: []cell{d.cell(d.text, words), {ticks: 1}}}, top: []block{top}})
	}
}

// recallSum says where every case of the lots is.
func (d *document) recallSum(c *book.Recall) {
	d.add(item{block: d.section(d.say("recall_sum", "packed", int(c.Packed), "sent", int(c.Sent), "back", int(c.Back), "gone", int(c.Gone))), gap: 14})
	if c.Missing != 0 {
		d.sentence(d.say("recall_missing", "cases", int(c.Missing)))
	}
}
