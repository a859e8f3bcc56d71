package v1

import (
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/domain/planning"
)

// recipePath names a product's recipe of a pickup day.
const recipePath = "/v1/days/{pickup}/recipes/{product}"

// recipes are what a day's products are packed from, and the typing over of it.
func (f *Face) recipes() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/days/{pickup}/recipes", May: book.MayRead, Handle: f.dayRecipes},
		{Method: http.MethodGet, Path: recipePath, May: book.MayRead, Handle: f.recipe},
		{Method: http.MethodPut, Path: recipePath, May: book.MayOrder, Limit: edge.JSONLimit, Handle: f.typeRecipe},
		{Method: http.MethodDelete, Path: recipePath, May: book.MayOrder, Handle: f.clearRecipe},
		{Method: http.MethodPost, Path: recipePath + "/undo", May: book.MayOrder, Handle: f.undo("recipe", recipeID)},
	}
}

// recipeSaid is what a case is packed from.
type recipeSaid struct {
	Contents []domain.VarietyHeads `json:"contents"`
	Note     string                `json:"note,omitempty"`
}

// recipesDoc is what each product of a day is packed from.
type recipesDoc struct {
	Pickup   domain.Day         `json:"pickup"`
	AsOf     domain.Day         `json:"as_of"`
	Revision int64              `json:"revision"`
	Products []productRecipeDoc `json:"products"`
}

type productRecipeDoc struct {
	Product  string             `json:"product"`
	Name     string             `json:"name"`
	Heads    domain.Heads       `json:"heads"` // in a case
	Asked    domain.Cases       `json:"asked"`
	Short    domain.Cases       `json:"short"`
	Unknown  domain.Cases       `json:"not_counted"`
	ByHand   bool               `json:"by_hand"`
	Recipe   int64              `json:"recipe_revision"` // to change it from; 0: none was ever typed over
	Runs     []planning.Run     `json:"runs"`
	Printed  int                `json:"printed,omitempty"`
	Reprint  bool               `json:"print_again,omitempty"`
	Warnings []planning.Warning `json:"warnings"`
	Unlisted []string           `json:"unlisted,omitempty"`
	OverCap  []string           `json:"over_cap,omitempty"`
	Instead  *recipeCostDoc     `json:"instead,omitempty"`
}

// recipeCostDoc is what a recipe by hand changes against the plan without it.
type recipeCostDoc struct {
	Runs     []planning.Run   `json:"runs"`
	Cases    int              `json:"fewer_cases"`
	Broken   int              `json:"more_broken"`
	StandIns int              `json:"more_stand_ins"`
	Rafts    domain.HalfRafts `json:"more_rafts"`
	Hit      []recipeHitDoc   `json:"lines"`
}

type recipeHitDoc struct {
	ID       string     `json:"id"`
	Customer string     `json:"customer"`
	Product  string     `json:"product"`
	Pickup   domain.Day `json:"pickup"`
	Was      int        `json:"planned"`
	Is       int        `json:"filled"`
}

func (f *Face) dayRecipes(a *edge.Ask) (*edge.Answer, error) {
	asOf, pickup, err := f.dayNamed(a, a.ReadQuery(), "pickup")
	if err != nil {
		return nil, err
	}
	d, err := f.Book.RecipeDay(a.Context(), a.Person, asOf, pickup)
	if err != nil {
		return nil, err
	}
	doc := recipesDoc{Pickup: pickup, AsOf: d.Week.AsOf, Revision: d.Week.Revision}
	for i := range d.Products {
		doc.Products = append(doc.Products, productRecipeOf(&d.Products[i]))
	}
	return derived(a, doc.Revision, doc)
}

func productRecipeOf(p *book.ProductRecipe) productRecipeDoc {
	doc := productRecipeDoc{Product: p.Product.Code, Name: p.Product.Name, Heads: p.Product.HeadsPerCase(), Asked: p.Asked, Short: p.Short, Unknown: p.NotCounted,
		ByHand: p.Stands(), Recipe: p.Typed.Rev, Runs: p.Runs, Reprint: p.Differs, Warnings: p.Warnings, Unlisted: p.Unlisted, OverCap: p.OverCap}
	if p.Printed != nil {
		doc.Printed = p.Printed.Number
	}
	if c := p.Instead; c != nil {
		doc.Instead = &recipeCostDoc{Runs: c.Runs, Cases: c.Cases, Broken: c.Broken, StandIns: c.StandIns, Rafts: c.Rafts}
		for _, h := range c.Hit {
			doc.Instead.Hit = append(doc.Instead.Hit, recipeHitDoc{h.Line.ID, h.Line.Customer, h.Line.Product, h.Line.Pickup, h.Was, h.Is})
		}
	}
	return doc
}

// recipe answers with what was typed over; at revision 0 nothing ever was.
func (f *Face) recipe(a *edge.Ask) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	rec, err := f.recipeNow(a)
	if err != nil {
		return nil, err
	}
	return readRecord(a, rec)
}

func (f *Face) recipeNow(a *edge.Ask) (book.Record[domain.Recipe], error) {
	pickup, err := a.PathDay("pickup")
	if err != nil {
		return book.Record[domain.Recipe]{}, err
	}
	return f.Book.Recipe(a.Context(), a.Person, a.Path("product"), pickup)
}

func (f *Face) typeRecipe(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	reason := note(q)
	asOf, pickup, err := f.dayNamed(a, q, "pickup")
	if err != nil {
		return nil, err
	}
	var said recipeSaid
	if err := a.Decode(&said); err != nil {
		return nil, err
	}
	if reason.Base, err = a.Base(f.recipeRevision(a)); err != nil {
		return nil, err
	}
	rec, err := f.Book.TypeRecipe(a.Context(), a.Person, asOf, domain.Recipe{Product: a.Path("product"), Pickup: pickup,
		Contents: said.Contents, Note: said.Note}, reason)
	if err != nil {
		return nil, err
	}
	return record(http.StatusOK, rec)
}

func (f *Face) clearRecipe(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	reason := note(q)
	if err := q.Err(); err != nil {
		return nil, err
	}
	pickup, err := a.PathDay("pickup")
	if err != nil {
		return nil, err
	}
	if reason.Base, err = a.Base(f.recipeRevision(a)); err != nil {
		return nil, err
	}
	rec, err := f.Book.ClearRecipe(a.Context(), a.Person, a.Path("product"), pickup, reason)
	if err != nil {
		return nil, err
	}
	return record(http.StatusOK, rec)
}

// recipeRevision reads the revision of the recipe a request names.
func (f *Face) recipeRevision(a *edge.Ask) func() (int64, error) {
	return func() (int64, error) {
		rec, err := f.recipeNow(a)
		return rec.Rev, err
	}
}

// recipeID is the id of the recipe an address names.
func recipeID(a *edge.Ask) (string, error) {
	pickup, err := a.PathDay("pickup")
	return domain.RecipeID(a.Path("product"), pickup), err
}
