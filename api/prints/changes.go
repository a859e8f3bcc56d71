package prints

import (
	"slices"
	"strconv"

	"headtally/api/book"
	"headtally/domain"
)

// change is cases that are no longer what they were.
type change struct {
	domain.Given
	was domain.Cases
}

// changes are what differs of a pickup between two printings: what is still
// given or new in the order of now, then what is no more. Nothing differs from
// no printing.
func changes(was, now []domain.Given) (list []change) {
	if was == nil {
		return nil
	}
	for _, g := range now {
		var before domain.Cases
		if k := slices.IndexFunc(was, g.Same); k >= 0 {
			before = was[k].Cases
		}
		if before != g.Cases {
			list = append(list, change{g, before})
		}
	}
	for _, g := range was {
		if g.Cases > 0 && !slices.ContainsFunc(now, g.Same) {
			gone := change{g, g.Cases}
			gone.Cases = 0
			list = append(list, gone)
		}
	}
	return list
}

// ChangeSlips are strips to cut and staple to sheets already in use: what each
// customer gets now instead of before. was is what the printing before gave of
// the pickup.
func ChangeSlips(day *book.Day, was []domain.Given, o Options) (*Paper, error) {
	d := beginDay(day, o, clipboard)
	name := d.say("change_slips")
	d.head = d.header(day.Pickup, name, day.Farm.Name)
	list := changes(was, day.Given())
	if len(list) == 0 {
		d.sentence(d.say("nothing_changed"))
	}
	for _, c := range list {
		d.add(item{block: &strip{blocks: d.changeSlip(day, c)}, gap: 6})
	}
	return d.paper(name)
}

// changeSlip is one strip: day and truck, customer and product, was and is.
func (d *document) changeSlip(day *book.Day, c change) []block {
	cols := []column{{share: 1}, {fixed: 80, align: middle}, {fixed: 80, align: middle}}
	return []block{
		&row{cols: []column{{share: 1}}, cells: []cell{d.cell(d.text, d.speech.Day(day.Pickup)+" · "+newLoad(day, c.Carrier).name)}},
		&row{owner: c.Name, cols: cols, least: d.row, cells: []cell{
			{texts: []text{{d.name, c.Name}, {style{d.text.size, true}, d.names.product(c.Product)}}},
			{texts: []text{{d.text, d.say("was")}, {d.figure, strconv.Itoa(int(c.was))}}},
			{texts: []text{{d.text, d.say("now")}, {d.figure, strconv.Itoa(int(c.Cases))}}}}}}
}

// strip is blocks within a line to cut along.
type strip struct{ blocks []block }

func (s *strip) height(w float64) float64 { return stacked(s.blocks, w) + 8 }

func (s *strip) draw(p *page, x, y, w float64) {
	p.box(x, y, w, s.height(w), bold)
	drawStacked(p, s.blocks, x, y+4, w)
}

func (s *strip) inspect(i *inspector) {
	for _, b := range s.blocks {
		b.inspect(i)
	}
}
