package prints

import (
	"cmp"
	"slices"

	"headtally/api/book"
)

// notes are what the crew should know of a line, a sentence each: what stands
// in, what is short and why, what is packed already, what hangs on the lift.
func (d *document) notes(l book.DayLine) []string {
	notes := d.insteadOf(l)
	for _, p := range l.Plan.Packed {
		if p.Cases == 0 {
			continue
		}
		if from := d.names.packed[p.Code]; from != nil {
			notes = append(notes, d.say("already_packed", "cases", p.Cases, "day", d.speech.ShortDay(from.Pulled)))
		}
	}
	if risk := l.Plan.Filled - l.Plan.Firm; risk > 0 {
		notes = append(notes, d.say("at_risk", "cases", risk))
	}
	return append(notes, d.lacks(l)...)
}

// insteadOf says which variety stands in for which, in heads of the whole line.
func (d *document) insteadOf(l book.DayLine) (notes []string) {
	type swap struct{ got, listed string }
	var order []swap
	heads := map[swap]int{}
	for _, h := range l.Plan.Heads {
		if h.Slot >= len(l.Product.Slots) {
			continue
		}
		slot := l.Product.Slots[h.Slot]
		s := swap{h.Variety, slot.Accept[0]}
		if slot.GrowersChoice || s.got == s.listed {
			continue
		}
		if heads[s] == 0 {
			order = append(order, s)
		}
		heads[s] += h.Heads
	}
	for _, s := range order {
		notes = append(notes, d.say("instead", "heads", heads[s], "got", d.names.variety(s.got), "listed", d.names.variety(s.listed)))
	}
	return notes
}

// lacks says what a line goes without. What no count spoke of is never called
// short.
func (d *document) lacks(l book.DayLine) (notes []string) {
	p := l.Plan
	if p.Cut > 0 {
		notes = append(notes, d.say("cut", "ordered", p.Cases, "asked", p.Cases-p.Cut))
	}
	switch {
	case p.Short == 0:
	case !l.Counted:
		notes = append(notes, d.say("not_counted", "asked", p.Cases-p.Cut, "cases", p.Short))
	default:
		notes = append(notes, d.say("short", "asked", p.Cases-p.Cut, "cases", p.Short, "because", d.speech.Why(p.Reason, true, d.names.Names)))
	}
	if p.Broken > 0 {
		notes = append(notes, d.say("word_broken", "promised", int(l.Promised), "cases", p.Broken))
	}
	return notes
}

// stop is what one customer gets with one truck.
type stop struct {
	customer string // code
	name     string
	number   int // place on the way, 0 not told
	lines    []book.DayLine
}

// load is what one truck or round takes.
type load struct {
	carrier string
	name    string
	hour    string
	stops   []stop
}

// loads are a day's lines by truck and then stop, in the day's own order. A
// truck that does not come that day, but has lines moved to it, stands last.
func loads(day *book.Day) (all []load) {
	for _, l := range day.Lines {
		k := slices.IndexFunc(all, func(t load) bool { return t.carrier == l.Carrier })
		if k < 0 {
			k = len(all)
			all = append(all, newLoad(day, l.Carrier))
		}
		all[k].take(l)
	}
	slices.SortStableFunc(all, func(a, b load) int { return compareBool(a.hour == "", b.hour == "") })
	return all
}

// take adds a line to its customer's stop.
func (t *load) take(l book.DayLine) {
	k := slices.IndexFunc(t.stops, func(s stop) bool { return s.customer == l.Line.Customer })
	if k < 0 {
		k = len(t.stops)
		t.stops = append(t.stops, stop{customer: l.Line.Customer, name: cmp.Or(l.Customer.Name, l.Line.Customer), number: l.Customer.Stop})
	}
	t.stops[k].lines = append(t.stops[k].lines, l)
}

// lines are all the lines of a truck.
func (t *load) lines() (lines []book.DayLine) {
	for _, s := range t.stops {
		lines = append(lines, s.lines...)
	}
	return lines
}

func newLoad(day *book.Day, code string) load {
	for _, c := range day.Carriers {
		if c.Code == code {
			return load{carrier: code, name: cmp.Or(c.Name, code), hour: c.Hour.String()}
		}
	}
	return load{carrier: code, name: code}
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// total is the cases of one product, in the order in which products are first
// printed.
type total struct {
	product string
	name    string
	cases   int
}

// totals adds up the cases granted, by product.
func totals(lines []book.DayLine) (all []total) {
	for _, l := range lines {
		k := slices.IndexFunc(all, func(t total) bool { return t.product == l.Line.Product })
		if k < 0 {
			k = len(all)
			all = append(all, total{product: l.Line.Product, name: cmp.Or(l.Product.Name, l.Line.Product)})
		}
		all[k].cases += l.Plan.Filled
	}
	slices.SortFunc(all, func(a, b total) int { return cmp.Or(cmp.Compare(a.name, b.name), cmp.Compare(a.product, b.product)) })
	return all
}

// allCases is the cases of all products together.
func allCases(all []total) (n int) {
	for _, t := range all {
		n += t.cases
	}
	return n
}

// casesOf is the cases of one product.
func casesOf(all []total, product string) int {
	for _, t := range all {
		if t.product == product {
			return t.cases
		}
	}
	return 0
}
