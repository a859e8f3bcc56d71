package prints

import (
	"strconv"
	"strings"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
)

// Recipes are the sheets for the wall by the packing table: a page for every
// recipe of the pickup day that is packed on a day. A run that names no packing
// day belongs to every one.
func Recipes(day *book.Day, packed domain.Day, o Options) (*Paper, error) {
	d := beginDay(day, o, wall)
	name := d.say("recipe_sheet")
	d.head = d.header(packed, name, d.say("packed_for", "day", day.Pickup, "farm", day.Farm.Name))
	var runs []planning.Run
	for _, r := range day.Runs {
		if r.Pack == packed || r.Pack == 0 {
			runs = append(runs, r)
		}
	}
	if len(runs) == 0 {
		d.sentence(d.say("nothing_to_pack"))
	}
	for i, r := range runs {
		d.recipe(r, i+1, len(runs))
	}
	return d.paper(name)
}

// layOut is the style of the number of boxes to lay out, inBox that of the heads
// in each: the two figures looked for from the table.
var (
	layOut = style{54, true}
	inBox  = style{50, true}
)

func (d *document) recipe(r planning.Run, n, of int) {
	what := d.names.product(r.Product)
	if r.ByHand {
		what += " · " + d.say("by_hand")
	}
	title := d.section(d.say("recipe", "n", n, "of", of, "product", what))
	title.cells[0].texts[0].style = d.name
	d.add(item{block: title, fresh: n > 1, keep: true})
	d.add(item{block: &row{cols: []column{{share: 1, align: middle}}, under: heavy,
		cells: []cell{d.cell(layOut, d.say("lay_out", "cases", r.Cases))}}, keep: true})
	cols := []column{{share: 1}, {fixed: 92, align: right}, {fixed: 92, align: right}, {fixed: 78, align: right}, {fixed: 58, align: middle}}
	d.add(item{block: &row{cols: cols, under: bold, cells: []cell{d.cell(d.heading, d.say("variety")), d.cell(d.heading, d.say("heads_in_box")),
		d.cell(d.heading, d.say("total_heads")), d.cell(d.heading, d.say("trays")), d.cell(d.heading, d.say("done"))}}, keep: true})
	for _, c := range r.Contents {
		total := c.Heads * r.Cases
		d.add(item{block: &row{cols: cols, least: 20 * mm, under: d.rule, cells: []cell{
			d.cell(d.name, d.names.variety(c.Variety)), d.cell(inBox, strconv.Itoa(c.Heads)), d.cell(d.figure, strconv.Itoa(total)),
			d.cell(d.figure, strconv.Itoa(d.names.trays(c.Variety, total))), {ticks: 1}}}})
	}
	for _, told := range d.recipeNotes(r) {
		d.sentence(told)
	}
}

// mostNamed is how many customers a recipe sheet names; of more it gives the
// number, for the pack list names them all.
const mostNamed = 12

// recipeNotes say for whom the boxes are, what stands in for what, and who goes
// short first; in a recipe typed by hand nothing stands in.
func (d *document) recipeNotes(r planning.Run) (notes []string) {
	if len(r.Lines) > mostNamed {
		notes = append(notes, d.say("for_many", "lines", len(r.Lines)))
	} else {
		notes = append(notes, d.forWhom(r))
	}
	if r.ByHand {
		return append(notes, d.say("by_hand_just_so"))
	}
	for _, s := range r.StandIns {
		told := d.say("no_stand_in", "variety", d.names.variety(s.Variety))
		if len(s.Then) > 0 {
			told = d.say("stand_in", "variety", d.names.variety(s.Variety), "then", d.speech.Either(d.names.VarietyList(s.Then)))
			if len(s.NotFor) > 0 {
				told += " " + d.say("not_for", "list", d.speech.List(d.whoseLines(s.NotFor)))
			}
		}
		notes = append(notes, told)
	}
	if len(r.DropFirst) > 1 {
		first := r.DropFirst[:min(len(r.DropFirst), 4)]
		notes = append(notes, d.say("drop_first", "list", strings.Join(d.whoseLines(first), d.say("then"))))
	}
	return notes
}

// forWhom lists whose cases a run holds.
func (d *document) forWhom(r planning.Run) string {
	var whom []string
	for _, l := range r.Lines {
		whom = append(whom, d.say("so_many_for", "cases", l.Cases, "customer", d.whose[l.ID]))
	}
	return d.say("for", "list", d.speech.List(whom))
}

// whoseLines are the customers of lines, each once, in the lines' order.
func (d *document) whoseLines(ids []string) (names []string) {
	seen := map[string]bool{}
	for _, id := range ids {
		if name := d.whose[id]; !seen[name] {
			seen[name] = true
			names = append(names, name)
		}
	}
	return names
}
