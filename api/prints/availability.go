package prints

import (
	"slices"
	"strconv"
	"strings"

	"headtally/api/book"
	"headtally/domain"
)

// Availability is the list that goes to chefs and buyers: what can still be had,
// by product and pickup day.
func Availability(farm domain.Farm, asOf domain.Day, spares []book.Spare, o Options) (*Paper, error) {
	d := begin(farm, o, office)
	name := d.say("availability")
	d.head = d.unissued(asOf, name, strings.Join(nonEmpty(farm.Name, farm.Phone), " · "))
	days, products, cases := grid(spares)
	if len(days) == 0 {
		d.sentence(d.say("nothing_spare"))
		return d.paper(name)
	}
	for len(days) > 0 { // as many days side by side as can be read
		n := min(len(days), 6)
		d.spareTable(days[:n], products, cases)
		days = days[n:]
	}
	d.sentence(d.say("spare_holds"))
	return d.paper(name)
}

func nonEmpty(texts ...string) []string {
	return slices.DeleteFunc(texts, func(s string) bool { return s == "" })
}

type spareKey struct {
	day     domain.Day
	product string
}

// grid sorts spares into days and products, each in order, and what meets in them.
func grid(spares []book.Spare) (days []domain.Day, products []string, cases map[spareKey]int) {
	cases = map[spareKey]int{}
	for _, s := range spares {
		if s.Cases > 0 {
			days, products = append(days, s.Pickup), append(products, s.Name)
			cases[spareKey{s.Pickup, s.Name}] += int(s.Cases)
		}
	}
	slices.Sort(days)
	slices.Sort(products)
	return slices.Compact(days), slices.Compact(products), cases
}

func (d *document) spareTable(days []domain.Day, products []string, cases map[spareKey]int) {
	cols := []column{{share: 1}}
	head := []cell{d.cell(d.heading, d.say("product"))}
	for _, day := range days {
		cols = append(cols, column{fixed: 60, align: right})
		head = append(head, d.cell(d.heading, d.speech.ShortDay(day)))
	}
	top := &row{cols: cols, cells: head, over: heavy, under: bold}
	d.add(item{block: top, keep: true, gap: 10})
	for _, product := range products {
		cells := []cell{d.cell(d.name, product)}
		for _, day := range days {
			n := d.say("none")
			if c := cases[spareKey{day, product}]; c > 0 {
				n = strconv.Itoa(c)
			}
			cells = append(cells, d.cell(d.figure, n))
		}
		d.add(item{block: &row{cols: cols, least: d.row, under: d.rule, cells: cells}, top: []block{top}})
	}
}

// mostSpareDays is how many pickup days the text to paste tells of, so that it
// has six lines at most.
const mostSpareDays = 4

// AvailabilityText is the same in at most six lines to paste into a message: a
// heading, the nearest days, and how to order.
func AvailabilityText(farm domain.Farm, spares []book.Spare, o Options) []string {
	d := begin(farm, o, office)
	days, products, cases := grid(spares)
	lines := []string{d.say("spare_heading", "farm", farm.Name)}
	for _, day := range days[:min(len(days), mostSpareDays)] {
		var had []string
		for _, product := range products {
			if n := cases[spareKey{day, product}]; n > 0 {
				had = append(had, d.say("spare_cases", "cases", n, "product", product))
			}
		}
		lines = append(lines, d.say("spare_day", "day", d.speech.ShortDay(day), "list", strings.Join(had, ", ")))
	}
	if len(days) == 0 {
		lines = append(lines, d.say("nothing_spare"))
	}
	return append(lines, d.say("spare_order", "phone", farm.Phone))
}
