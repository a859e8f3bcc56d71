package prints

import (
	"cmp"
	"slices"
	"strconv"

	"headtally/api/book"
)

// Given is what one customer gets of one product with one truck. The givens of
// a printing are kept with it, so that the next one can say what changed.
type Given struct {
	Carrier  string `json:"carrier"`
	Customer string `json:"customer"`
	Name     string `json:"name"` // of the customer
	Product  string `json:"product"`
	Title    string `json:"title"` // of the product
	Cases    int    `json:"cases"`
}

// Givens are what a day's plan gives, in the order of its trucks and stops.
func Givens(day *book.Day) (all []Given) {
	for _, truck := range loads(day) {
		for _, s := range truck.stops {
			for _, l := range s.lines {
				g := Given{Carrier: truck.name, Customer: s.customer, Name: s.name, Product: l.Line.Product,
					Title: cmp.Or(l.Product.Name, l.Line.Product), Cases: l.Plan.Filled}
				if k := slices.IndexFunc(all, g.same); k >= 0 {
					all[k].Cases += g.Cases
				} else {
					all = append(all, g)
				}
			}
		}
	}
	return all
}

// same says whether two givens speak of the same thing.
func (g Given) same(o Given) bool {
	return g.Carrier == o.Carrier && g.Customer == o.Customer && g.Product == o.Product
}

// change is a given that is no longer what it was.
type change struct {
	Given
	was int
}

// changes are what differs between two printings: what is still given or new in
// the order of now, then what is no more. Nothing differs from no printing.
func changes(was, now []Given) (list []change) {
	if was == nil {
		return nil
	}
	for _, g := range now {
		before := 0
		if k := slices.IndexFunc(was, g.same); k >= 0 {
			before = was[k].Cases
		}
		if before != g.Cases {
			list = append(list, change{g, before})
		}
	}
	for _, g := range was {
		if g.Cases > 0 && !slices.ContainsFunc(now, g.same) {
			gone := change{g, g.Cases}
			gone.Cases = 0
			list = append(list, gone)
		}
	}
	return list
}

// ChangeSlips are strips to cut and staple to sheets already in use: what each
// customer gets now instead of before. was is what the printing before gave.
func ChangeSlips(day *book.Day, was []Given, o Options) (*Paper, error) {
	d := beginDay(day, o, clipboard)
	name := d.say("change_slips")
	d.head = d.header(day.Pickup, name, day.Farm.Name)
	list := changes(was, Givens(day))
	if len(list) == 0 {
		d.sentence(d.say("nothing_changed"))
	}
	for _, c := range list {
		d.add(item{block: &strip{whose: c.Name, blocks: d.changeSlip(day, c)}, gap: 6})
	}
	return d.paper(name)
}

// changeSlip is one strip: day and truck, customer and product, was and is.
func (d *document) changeSlip(day *book.Day, c change) []block {
	cols := []column{{share: 1}, {fixed: 80, align: middle}, {fixed: 80, align: middle}}
	return []block{
		&row{cols: []column{{share: 1}}, cells: []cell{d.cell(d.text, d.speech.Day(day.Pickup)+" · "+c.Carrier)}},
		&row{owner: c.Name, cols: cols, least: d.row, cells: []cell{
			{texts: []text{{d.name, c.Name}, {style{d.text.size, true}, c.Title}}},
			{texts: []text{{d.text, d.say("was")}, {d.figure, strconv.Itoa(c.was)}}},
			{texts: []text{{d.text, d.say("now")}, {d.figure, strconv.Itoa(c.Cases)}}}}}}
}

// strip is blocks within a line to cut along.
type strip struct {
	whose  string
	blocks []block
}

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
