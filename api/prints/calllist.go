package prints

import (
	"cmp"
	"slices"
	"strconv"

	"headtally/api/book"
	"headtally/domain"
)

// CallList is whom the office rings about what is short, the most urgent first:
// broken words, then by importance. others tells of lines, by id, the first day
// on which all they lack could be had; it may be nil. A line that lacks what nobody
// has counted is not short and stands below, not to be rung about.
func CallList(day *book.Day, others map[string]domain.Day, o Options) (*Paper, error) {
	d := beginDay(day, o, office)
	name := d.say("call_list")
	d.head = d.header(day.Pickup, name, d.say("pickup_day", "farm", day.Farm.Name))
	var calls, uncounted []book.DayLine
	for _, l := range day.Lines {
		switch {
		case l.Plan.Broken > 0 || l.Plan.Short > 0 && l.Counted:
			calls = append(calls, l)
		case l.Plan.Short > 0:
			uncounted = append(uncounted, l)
		}
	}
	slices.SortStableFunc(calls, func(a, b book.DayLine) int {
		return cmp.Or(compareBool(a.Plan.Broken == 0, b.Plan.Broken == 0),
			cmp.Compare(a.Customer.Importance.Priority(), b.Customer.Importance.Priority()), a.Received.Compare(b.Received))
	})
	if len(calls) == 0 {
		d.sentence(d.say("nobody_to_ring"))
	} else {
		d.calls(calls, others)
	}
	d.uncounted(uncounted)
	return d.paper(name)
}

func (d *document) calls(calls []book.DayLine, others map[string]domain.Day) {
	cols := []column{{share: 1.1}, {share: 1}, {fixed: 44, align: right}, {fixed: 36, align: right}, {fixed: 42, align: right}, {share: 1.2}, {share: 1}, {fixed: 84}}
	top := &row{cols: cols, over: heavy, under: bold, upright: fine, cells: []cell{
		d.cell(d.heading, d.say("whom")), d.cell(d.heading, d.say("product")), d.cell(d.heading, d.say("asked")), d.cell(d.heading, d.say("sure")),
		d.cell(d.heading, d.say("if_all")), d.cell(d.heading, d.say("because")), d.cell(d.heading, d.say("to_offer")), d.cell(d.heading, d.say("answer"))}}
	d.add(item{block: top, keep: true})
	for _, l := range calls {
		whom := []text{{d.name, cmp.Or(l.Customer.Name, l.Line.Customer)}}
		if l.Customer.Phone != "" {
			whom = append(whom, text{d.name, l.Customer.Phone})
		}
		if l.Plan.Broken > 0 {
			whom = append(whom, text{style{d.text.size, true}, d.say("word_given", "cases", int(l.Promised))})
		}
		var offer []text
		for _, words := range d.offers(l, others) {
			offer = append(offer, text{d.text, words})
		}
		d.add(item{block: &row{owner: l.Customer.Name, cols: cols, least: 14 * mm, under: bold, upright: fine, cells: []cell{
			{texts: whom}, d.cell(d.text, d.ownName(l)), d.cell(d.figure, strconv.Itoa(l.Plan.Cases-l.Plan.Cut)),
			d.cell(d.figure, strconv.Itoa(l.Plan.Firm)), d.cell(d.figure, strconv.Itoa(l.Plan.Filled)),
			d.cell(d.text, d.speech.Why(l.Plan.Reason, l.Counted, d.names.Names)), {texts: offer}, {}}}, top: []block{top}})
	}
}

// offers are what can be said to a customer who goes short.
func (d *document) offers(l book.DayLine, others map[string]domain.Day) (offers []string) {
	if l.Plan.Offer > 0 {
		offers = append(offers, d.say("offer_other_variety", "cases", l.Plan.Offer, "varieties", d.speech.Either(d.standIns(l))))
	}
	if other := others[l.ID]; other != 0 {
		offers = append(offers, d.say("offer_other_day", "cases", l.Plan.Short, "day", d.speech.ShortDay(other)))
	}
	if len(offers) == 0 {
		offers = append(offers, d.say("offer_nothing"))
	}
	return offers
}

// standIns are the varieties a line's cases would take after the first choice,
// save those the customer refuses.
func (d *document) standIns(l book.DayLine) (names []string) {
	for _, s := range l.Product.Slots {
		for _, v := range s.Accept[1:] {
			if name := d.names.variety(v); !slices.Contains(l.Customer.Refuse, v) && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}

// uncounted lists lines whose heads nobody has counted yet.
func (d *document) uncounted(lines []book.DayLine) {
	if len(lines) == 0 {
		return
	}
	top := d.section(d.say("not_counted_yet"))
	d.add(item{block: top, gap: 14, keep: true})
	for _, l := range lines {
		d.add(item{block: &row{owner: l.Customer.Name, cols: []column{{share: 1}}, under: d.rule, cells: []cell{
			d.cell(d.text, d.say("not_counted_line", "customer", cmp.Or(l.Customer.Name, l.Line.Customer), "product", l.Product.Name,
				"asked", l.Plan.Cases-l.Plan.Cut, "cases", l.Plan.Short))}}, top: []block{top}})
	}
}
