package pages

import (
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
)

// RecipeView is what each product of a pickup day is packed from.
type RecipeView struct {
	Frame
	Pickup   domain.Day
	Products []RecipeProduct
	Totals   []RecipeTotal
}

// RecipeProduct is one product with its recipes, and the form that types them
// over.
type RecipeProduct struct {
	Code, Name string
	Cases      int // packed by the recipes below
	Short      int
	NotCounted int
	ByHand     bool
	Recipes    []RecipeRun
	Notes      []string // whom the recipe does not suit, and what it goes beyond
	Printed    *PrintedView
	Cost       *RecipeCostView
	Form       RecipeForm
}

// PrintedView is the paper that says something else than the plan does now.
type PrintedView struct {
	Number int
	Day    domain.Day
}

// RecipeRun is so many cases packed alike.
type RecipeRun struct {
	Cases    int
	Pack     domain.Day
	Heads    []RecipeHeads
	StandIns []string
	Drop     []string // who goes short first
}

// RecipeHeads is one variety of a recipe.
type RecipeHeads struct {
	Variety string
	Each    int // heads in a case
	All     int
}

// RecipeTotal is the heads of one variety over all recipes, and the trays that
// hold them.
type RecipeTotal struct {
	Variety string
	Heads   int
	Trays   int
}

// RecipeCostView is what a recipe by hand changes against the planned one.
type RecipeCostView struct {
	Planned []RecipeRun
	Said    []string
	Hit     []book.RecipeHit
}

func (o *Office) registerRecipe(e *echo.Echo) {
	e.GET("/recipe", o.page(func(v *visit) error { return v.toNext("/recipe/") }))
	e.GET("/recipe/:day", o.page((*visit).recipe))
	e.POST("/recipe/:day", o.page((*visit).typeRecipe))
}

func (v *visit) recipe() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	view, err := v.recipeView(day)
	if err != nil {
		return err
	}
	return v.show(http.StatusOK, "recipe", view)
}

func (v *visit) recipeView(day domain.Day) (*RecipeView, error) {
	d, err := v.office.Book.RecipeDay(v.ctx, v.who, v.today, day)
	if err != nil {
		return nil, err
	}
	view := &RecipeView{Frame: v.frame("more", v.say("page.recipe.title", "day", v.speech.Day(day))), Pickup: day}
	view.Days = v.strip(d.Week.Problem.PickupDays, d.States, day, "/recipe/")
	who := map[string]string{}
	for _, l := range d.Lines {
		who[l.ID] = l.Customer.Name
	}
	name := func(code string) string { return varietyName(d.Week, code) }
	heads := map[string]int{}
	for i := range d.Products {
		p := &d.Products[i]
		product := RecipeProduct{Code: p.Product.Code, Name: p.Product.Name, Short: int(p.Short), NotCounted: int(p.NotCounted), ByHand: p.Stands(),
			Notes: v.recipeNotes(p, name, who), Form: newRecipeForm(p, d.Varieties)}
		for _, r := range p.Runs {
			product.Cases += r.Cases
			product.Recipes = append(product.Recipes, v.recipeRun(r, name, who))
			for _, c := range r.Contents {
				heads[c.Variety] += c.Heads * r.Cases
			}
		}
		if p.Printed != nil && p.Differs {
			product.Printed = &PrintedView{p.Printed.Number, p.Printed.Day}
		}
		if p.Instead != nil {
			product.Cost = v.recipeCost(p.Instead, name, who)
		}
		view.Products = append(view.Products, product)
	}
	for _, x := range d.Week.Problem.Varieties {
		if n := heads[x.Code]; n > 0 {
			view.Totals = append(view.Totals, RecipeTotal{x.Name, n, (n + x.HeadsPerTray - 1) / x.HeadsPerTray})
		}
	}
	return view, nil
}

func (v *visit) recipeRun(r planning.Run, name func(string) string, who map[string]string) RecipeRun {
	run := RecipeRun{Cases: r.Cases, Pack: r.Pack}
	for _, c := range r.Contents {
		run.Heads = append(run.Heads, RecipeHeads{name(c.Variety), c.Heads, c.Heads * r.Cases})
	}
	for _, s := range r.StandIns {
		if len(s.Then) == 0 {
			continue
		}
		then, not := make([]string, len(s.Then)), make([]string, len(s.NotFor))
		for i, code := range s.Then {
			then[i] = name(code)
		}
		for i, line := range s.NotFor {
			not[i] = who[line]
		}
		text := v.say("page.recipe.standin", "variety", name(s.Variety), "then", then)
		if len(not) > 0 {
			text += " " + v.say("page.recipe.notfor", "who", not)
		}
		run.StandIns = append(run.StandIns, text)
	}
	for _, line := range r.DropFirst {
		if !slices.Contains(run.Drop, who[line]) {
			run.Drop = append(run.Drop, who[line])
		}
	}
	return run
}

// recipeNotes say whom a recipe by hand does not suit, and where it leaves what
// the product says.
func (v *visit) recipeNotes(p *book.ProductRecipe, name func(string) string, who map[string]string) (notes []string) {
	for _, w := range p.Warnings {
		notes = append(notes, v.say("page.recipe."+string(w.Code), "customer", who[w.Line], "variety", name(w.Variety), "n", int(w.Needed)))
	}
	for _, code := range p.Unlisted {
		notes = append(notes, v.say("page.recipe.unlisted", "variety", name(code)))
	}
	for _, code := range p.OverCap {
		notes = append(notes, v.say("page.recipe.overcap", "variety", name(code), "most", *p.Product.MaxHeadsPerVariety))
	}
	return notes
}

// recipeCost says what a recipe by hand changes, the heaviest first.
func (v *visit) recipeCost(c *book.RecipeCost, name func(string) string, who map[string]string) *RecipeCostView {
	view := &RecipeCostView{Hit: c.Hit}
	for _, r := range c.Runs {
		view.Planned = append(view.Planned, v.recipeRun(r, name, who))
	}
	if c.Broken > 0 {
		view.Said = append(view.Said, v.say("page.recipe.cost.broken", "n", c.Broken))
	}
	for _, x := range []struct {
		code string
		more int
	}{{"fewer", c.Cases}, {"more", -c.Cases}, {"standins", c.StandIns}, {"firsts", -c.StandIns}} {
		if x.more > 0 {
			view.Said = append(view.Said, v.say("page.recipe.cost."+x.code, "n", x.more))
		}
	}
	if c.Cases == 0 {
		view.Said = append(view.Said, v.say("page.recipe.cost.same"))
	}
	if c.Rafts > 0 {
		view.Said = append(view.Said, v.say("page.recipe.cost.rafts", "rafts", c.Rafts))
	} else if c.Rafts < 0 {
		view.Said = append(view.Said, v.say("page.recipe.cost.fewerrafts", "rafts", -c.Rafts))
	}
	return view
}
