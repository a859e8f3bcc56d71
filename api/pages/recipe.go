package pages

import (
	"net/http"

	"github.com/labstack/echo/v4"

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

// RecipeProduct is one product with its recipes.
type RecipeProduct struct {
	Code, Name string
	Cases      int
	Recipes    []RecipeRun
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

func (o *Office) registerRecipe(e *echo.Echo) {
	e.GET("/recipe", o.page(func(v *visit) error { return v.toNext("/recipe/") }))
	e.GET("/recipe/:day", o.page((*visit).recipe))
}

func (v *visit) recipe() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	board, err := v.office.Book.Board(v.ctx, v.who, v.today, day)
	if err != nil {
		return err
	}
	view := RecipeView{Frame: v.frame("more", v.say("page.recipe.title", "day", v.writer().long(day))), Pickup: day}
	view.Days = v.strip(board.Week.Problem.PickupDays, board.States, day, "/recipe/")
	who := map[string]string{}
	for _, l := range board.Lines {
		who[l.ID] = l.Customer.Name
	}
	name := func(code string) string { return varietyName(board.Week, code) }
	heads := map[string]int{}
	for _, p := range board.Week.Problem.Products {
		product := RecipeProduct{Code: p.Code, Name: p.Name}
		for _, r := range board.Runs {
			if r.Product != p.Code {
				continue
			}
			product.Cases += r.Cases
			product.Recipes = append(product.Recipes, v.recipeRun(r, name, who))
			for _, c := range r.Contents {
				heads[c.Variety] += c.Heads * r.Cases
			}
		}
		if product.Recipes != nil {
			view.Products = append(view.Products, product)
		}
	}
	for _, x := range board.Week.Problem.Varieties {
		if n := heads[x.Code]; n > 0 {
			view.Totals = append(view.Totals, RecipeTotal{x.Name, n, (n + x.HeadsPerTray - 1) / x.HeadsPerTray})
		}
	}
	return v.show(http.StatusOK, "recipe", view)
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
		run.Drop = append(run.Drop, who[line])
	}
	return run
}
