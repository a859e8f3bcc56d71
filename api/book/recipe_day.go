package book

import (
	"cmp"
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner"
)

// RecipeDay is what each product of a pickup day is packed from.
type RecipeDay struct {
	*Day
	Varieties []domain.Variety // the farm's
	Products  []ProductRecipe  // that are asked for, or have a recipe typed over, in the farm's order
	States    map[domain.Day]DayState
}

// ProductRecipe is one of its products.
type ProductRecipe struct {
	Product    domain.Product
	Asked      domain.Cases
	Short      domain.Cases
	NotCounted domain.Cases          // cases that lack heads of what nobody counted
	Runs       []planning.Run        // as planned now
	Typed      Record[domain.Recipe] // at revision 0 none ever was; ended: cleared
	Printed    *domain.Issue         // the issue that printed its recipes last; nil: none
	Differs    bool                  // what it printed is no longer so
	Warnings   []planning.Warning    // of customers whom the recipe does not suit
	Unlisted   []string              // varieties of the recipe that the product does not list
	OverCap    []string              // varieties of which it holds more than the product's cap
	Instead    *RecipeCost           // what the recipe costs; nil without one
}

// Stands says whether the day is planned by a recipe typed over.
func (p *ProductRecipe) Stands() bool { return p.Typed.Rev > 0 && !p.Typed.Ended }

// RecipeCost is what a recipe typed over changes against the plan without it.
type RecipeCost struct {
	Runs     []planning.Run   // as they would be packed without it
	Cases    int              // fewer cases filled, over all days; below 0: more
	Broken   int              // more cases of words given that cannot be kept
	StandIns int              // more heads that stand in for a first choice
	Rafts    domain.HalfRafts // more rafts lifted
	Hit      []RecipeHit      // lines that get more or fewer cases, by pickup
}

// RecipeHit is a line that gets other cases because of a recipe.
type RecipeHit struct {
	Line     domain.Line
	Customer string // name
	Product  string // name
	Was, Is  int    // cases
}

// RecipeDay is the recipes of a pickup day as planned as of a day.
func (b *Book) RecipeDay(ctx context.Context, who Person, asOf, pickup domain.Day) (*RecipeDay, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*RecipeDay, error) {
		day, facts, err := b.pickupDay(tx, asOf, pickup)
		if err != nil {
			return nil, err
		}
		typed, err := store.Recipes.List(tx, Query{Equal: map[string]string{"day": pickup.String()}, Ended: true})
		if err != nil {
			return nil, err
		}
		of := byCode(typed, func(r Record[domain.Recipe]) string { return r.Value.Product })
		d := &RecipeDay{Day: day, Varieties: facts.Varieties, States: states(facts, day.Week)}
		for i := range facts.Products {
			p := ProductRecipe{Product: facts.Products[i], Typed: of[facts.Products[i].Code]}
			if !p.read(day, facts) && !p.Stands() {
				continue
			}
			if p.Stands() {
				p.weigh(facts, day, asOf)
			}
			d.Products = append(d.Products, p)
		}
		return d, nil
	})
}

// read fills what the plan says of the product; it is false where nobody asks
// for it.
func (p *ProductRecipe) read(day *Day, f *domain.Facts) (asked bool) {
	for _, l := range day.Lines {
		if l.Line.Product == p.Product.Code {
			asked = true
			p.Asked += domain.Cases(l.Plan.Cases - l.Plan.Cut)
			if l.Counted {
				p.Short += domain.Cases(l.Plan.Short)
			} else {
				p.NotCounted += domain.Cases(l.Plan.Short)
			}
		}
	}
	for _, r := range day.Runs {
		if r.Product == p.Product.Code {
			p.Runs = append(p.Runs, r)
		}
	}
	for _, w := range day.Week.Plan.Warnings {
		if (w.Code == planning.RecipeRefused || w.Code == planning.RecipeSubstitutes) && w.Pickup == day.Pickup && w.Product == p.Product.Code {
			p.Warnings = append(p.Warnings, w)
		}
	}
	if p.Printed = printed(f.Issues, p.Product.Code, day.Pickup); p.Printed != nil {
		p.Differs = p.differs()
	}
	return asked
}

// differs says whether the table would pack another recipe now than the one
// printed. Runs packed since are no difference.
func (p *ProductRecipe) differs() bool {
	for _, r := range p.Runs {
		same := func(x domain.PackedRun) bool {
			return x.Product == r.Product && x.Pickup == r.Pickup && samePacked(x.Contents, r.Contents)
		}
		if !slices.ContainsFunc(p.Printed.Runs, same) {
			return true
		}
	}
	return false
}

func samePacked(a []domain.VarietyHeads, b []planning.VarietyHeads) bool {
	return len(a) == len(b) && !slices.ContainsFunc(a, func(c domain.VarietyHeads) bool {
		return !slices.Contains(b, planning.VarietyHeads{Variety: c.Variety, Heads: int(c.Heads)})
	})
}

// weigh plans the week without the recipe and tells the difference.
func (p *ProductRecipe) weigh(f *domain.Facts, day *Day, asOf domain.Day) {
	for _, c := range p.Typed.Value.Contents {
		if !slices.ContainsFunc(p.Product.Slots, func(s domain.Slot) bool { return slices.Contains(s.Accept, c.Variety) }) {
			p.Unlisted = append(p.Unlisted, c.Variety)
		}
		if most := p.Product.MaxHeadsPerVariety; most != nil && int(c.Heads) > *most {
			p.OverCap = append(p.OverCap, c.Variety)
		}
	}
	bare := *f
	bare.Recipes = slices.DeleteFunc(slices.Clone(f.Recipes), func(r domain.Recipe) bool { return r.ID == p.Typed.Value.ID })
	without := planner.PlanWeek(&bare, asOf)
	p.Instead = costOf(f, without, day.Week)
	for _, r := range without.Plan.Runs {
		if r.Pickup == day.Pickup && r.Product == p.Product.Code {
			p.Instead.Runs = append(p.Instead.Runs, r)
		}
	}
}

// costOf tells what plan is gives less than plan was, line by line.
func costOf(f *domain.Facts, was, is *planner.Week) *RecipeCost {
	c := &RecipeCost{Cases: was.Plan.Totals.Filled - is.Plan.Totals.Filled, Broken: is.Plan.Totals.Broken - was.Plan.Totals.Broken,
		StandIns: standIns(f, is) - standIns(f, was), Rafts: rafts(is) - rafts(was)}
	customers := byCode(f.Customers, func(x domain.Customer) string { return x.Code })
	products := byCode(f.Products, func(x domain.Product) string { return x.Code })
	for i, l := range is.Lines {
		before, now := was.Plan.Lines[i].Filled, is.Plan.Lines[i].Filled
		if before != now {
			c.Hit = append(c.Hit, RecipeHit{Line: l, Customer: cmp.Or(customers[l.Customer].Name, l.Customer),
				Product: cmp.Or(products[l.Product].Name, l.Product), Was: before, Is: now})
		}
	}
	return c
}

// standIns is the heads that stand in for the first choice of what the farm's
// products list.
func standIns(f *domain.Facts, w *planner.Week) (heads int) {
	products := byCode(f.Products, func(x domain.Product) string { return x.Code })
	for i, l := range w.Lines {
		slots := products[l.Product].Slots
		for _, h := range w.Plan.Lines[i].Heads {
			if s := slots[h.Slot]; s.Accept[0] != h.Variety && !(s.GrowersChoice && slices.Contains(s.Accept, h.Variety)) {
				heads += h.Heads
			}
		}
	}
	return heads
}

func rafts(w *planner.Week) (n domain.HalfRafts) {
	for _, p := range w.Plan.Pulls {
		n += p.Rafts
	}
	return n
}
