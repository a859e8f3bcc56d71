package domain

import "slices"

// Recipe is what a product's cases are packed from on one pickup day, typed
// over by a person: while it stands, the day is planned with exactly these heads.
type Recipe struct {
	ID       string         `json:"id,omitempty"` // product and day
	Product  string         `json:"product,omitempty"`
	Pickup   Day            `json:"pickup,omitzero"`
	Contents []VarietyHeads `json:"contents" validate:"min=1,max=100,dive"` // of one case
	Note     string         `json:"note,omitempty" validate:"max=200,line"`
}

// RecipeID is the identity of a product's recipe for a pickup day.
func RecipeID(product string, pickup Day) string { return product + "/" + pickup.String() }

// Check holds a recipe against its product: whole heads, every variety once,
// and as many heads as the product's case holds.
func (r *Recipe) Check(p *Product) Faults {
	faults := Check(r)
	seen := map[string]bool{}
	var heads Heads
	for i, c := range r.Contents {
		if c.Variety != "" && seen[c.Variety] {
			faults.Add(at("contents", i, "variety"), "twice", "value", c.Variety)
		}
		seen[c.Variety] = true
		heads += c.Heads
	}
	if want := p.HeadsPerCase(); faults == nil && heads != want {
		faults.Add("contents", "recipe_heads", "heads", int(heads), "case", int(want))
	}
	return faults
}

// Recipe is the recipe typed over for a product and pickup day, or nil.
func (f *Facts) Recipe(product string, pickup Day) *Recipe {
	i := slices.IndexFunc(f.Recipes, func(r Recipe) bool { return r.Product == product && r.Pickup == pickup })
	if i < 0 {
		return nil
	}
	return &f.Recipes[i]
}
