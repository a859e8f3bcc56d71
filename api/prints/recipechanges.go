package prints

import (
	"slices"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
)

// repacked is a product of a pickup that is packed otherwise than it was printed.
type repacked struct {
	product string
	was     []domain.PackedRun
	now     []planning.Run
}

// repacks are the products of a pickup packed on a day whose recipes are not
// those of the printing before. What was not printed or is not packed any more
// has no recipe to take down.
func repacks(was []domain.PackedRun, day *book.Day, packed domain.Day) (list []repacked) {
	for _, r := range day.Runs {
		if r.Pack != packed || slices.ContainsFunc(list, func(x repacked) bool { return x.product == r.Product }) {
			continue
		}
		x := repacked{product: r.Product}
		for _, w := range was {
			if w.Product == r.Product && w.Pickup == day.Pickup {
				x.was = append(x.was, w)
			}
		}
		for _, n := range day.Runs {
			if n.Product == r.Product && n.Pack == packed {
				x.now = append(x.now, n)
			}
		}
		list = append(list, x)
	}
	return slices.DeleteFunc(list, func(x repacked) bool { return len(x.was) == 0 || x.same() })
}

// same says whether both pack as many cases to each recipe.
func (x *repacked) same() bool {
	return len(x.was) == len(x.now) && !slices.ContainsFunc(x.now, func(n planning.Run) bool {
		return !slices.ContainsFunc(x.was, func(w domain.PackedRun) bool {
			return int(w.Cases) == n.Cases && slices.Equal(planning.ContentsOf(w.Contents), n.Contents)
		})
	})
}

// RecipeSlips are strips to cut and staple to recipe sheets already on the wall:
// how each product is packed now instead of before. was is what the printing
// before packed.
func RecipeSlips(day *book.Day, packed domain.Day, was []domain.PackedRun, o Options) (*Paper, error) {
	d := beginDay(day, o, clipboard)
	name := d.say("recipe_slips")
	d.head = d.header(packed, name, d.say("packed_for", "day", day.Pickup, "farm", day.Farm.Name))
	list := repacks(was, day, packed)
	if len(list) == 0 {
		d.sentence(d.say("nothing_changed"))
	}
	for _, x := range list {
		d.add(item{block: &strip{blocks: d.recipeSlip(x)}, gap: 6})
	}
	return d.paper(name)
}

// recipeSlip is one strip: the product, how it was packed and how it is.
func (d *document) recipeSlip(x repacked) []block {
	was, now := []text{{d.text, d.say("was")}}, []text{{style{d.text.size, true}, d.say("now")}}
	for _, r := range x.was {
		was = append(was, text{d.text, d.packedAlike(int(r.Cases), planning.ContentsOf(r.Contents))})
	}
	for _, r := range x.now {
		told := d.packedAlike(r.Cases, r.Contents)
		if r.ByHand {
			told += " · " + d.say("by_hand")
		}
		now = append(now, text{style{d.text.size, true}, told})
	}
	return []block{
		&row{cols: []column{{share: 1}}, cells: []cell{d.cell(d.name, d.names.product(x.product))}},
		&row{cols: []column{{share: 1}, {share: 1}}, least: d.row, cells: []cell{{texts: was}, {texts: now}}}}
}

// packedAlike is so many cases and what each holds.
func (d *document) packedAlike(cases int, contents []planning.VarietyHeads) string {
	return d.say("packed_alike", "cases", cases, "list", d.speech.List(d.heads(contents)))
}

// heads names the heads of each variety in a case.
func (d *document) heads(contents []planning.VarietyHeads) (list []string) {
	for _, c := range contents {
		list = append(list, d.say("heads_of", "heads", c.Heads, "variety", d.names.variety(c.Variety)))
	}
	return list
}
