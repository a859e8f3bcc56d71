package book

import (
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// TypeRecipe puts down what a product is packed from on a pickup day that the
// plan covers, in place of what the planner would choose. The day is planned with
// it from then on, and with nothing else, until it is cleared. Once the recipes
// of the day are printed the change needs a reason; orders being closed needs
// none, since what is ordered stays as it is.
func (b *Book) TypeRecipe(ctx context.Context, who Person, asOf domain.Day, r domain.Recipe, note Note) (Record[domain.Recipe], error) {
	r.ID = domain.RecipeID(r.Product, r.Pickup)
	return b.changeRecipe(ctx, who, &r, note, func(tx *store.Tx, was Record[domain.Recipe]) (Record[domain.Recipe], error) {
		w, err := b.week(tx, asOf)
		if err != nil {
			return was, err
		}
		if !slices.Contains(w.Problem.PickupDays, r.Pickup) {
			return was, domain.Refuse(domain.ErrNotFound, "pickup day", r.Pickup.String(), "days", w.Problem.PickupDays)
		}
		if err := checkRecipe(tx, &r); err != nil {
			return was, err
		}
		if was.Rev == 0 {
			return store.Recipes.Create(tx, r)
		}
		return store.Recipes.Replace(tx, r, was.Rev)
	})
}

// ClearRecipe gives a day's product back to the planner. Cases packed to the
// recipe stay with their lines.
func (b *Book) ClearRecipe(ctx context.Context, who Person, product string, pickup domain.Day, note Note) (Record[domain.Recipe], error) {
	r := domain.Recipe{ID: domain.RecipeID(product, pickup), Product: product, Pickup: pickup}
	return b.changeRecipe(ctx, who, &r, note, func(tx *store.Tx, was Record[domain.Recipe]) (Record[domain.Recipe], error) {
		switch {
		case was.Rev == 0:
			return was, domain.Refuse(domain.ErrNotFound, store.Recipes.Name, r.ID)
		case was.Ended:
			return was, nil
		}
		return store.Recipes.End(tx, r.ID, was.Rev)
	})
}

// changeRecipe opens the change of a recipe as it stands now.
func (b *Book) changeRecipe(ctx context.Context, who Person, r *domain.Recipe, note Note,
	settle func(*store.Tx, Record[domain.Recipe]) (Record[domain.Recipe], error)) (Record[domain.Recipe], error) {
	if err := who.ask(MayOrder); err != nil {
		return Record[domain.Recipe]{}, err
	}
	if note.Base == NoBase {
		return Record[domain.Recipe]{}, domain.Refuse(domain.ErrNoMatch, store.Recipes.Name, r.ID)
	}
	return change(ctx, b, who, note, func(tx *store.Tx) (Record[domain.Recipe], error) {
		was, err := recipe(tx, r.Product, r.Pickup)
		if err != nil {
			return was, err
		}
		if was.Rev != note.Base {
			return was, domain.Refuse(domain.ErrStale, store.Recipes.Name, r.ID, "revision", was.Rev)
		}
		if err := unprinted(tx, r, note); err != nil {
			return was, err
		}
		return settle(tx, was)
	})
}

// Recipe is the recipe typed over for a product and pickup day; at revision 0
// none ever was, and one that was cleared has ended.
func (b *Book) Recipe(ctx context.Context, who Person, product string, pickup domain.Day) (Record[domain.Recipe], error) {
	if err := who.ask(MayRead); err != nil {
		return Record[domain.Recipe]{}, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (Record[domain.Recipe], error) { return recipe(tx, product, pickup) })
}

func recipe(tx *store.Tx, product string, pickup domain.Day) (Record[domain.Recipe], error) {
	of, err := store.Products.Get(tx, product)
	if err != nil {
		return Record[domain.Recipe]{}, err
	}
	id := domain.RecipeID(product, pickup)
	switch there, err := store.Recipes.Exists(tx, id); {
	case err != nil:
		return Record[domain.Recipe]{}, err
	case there:
		return store.Recipes.Get(tx, id)
	case of.Ended:
		return Record[domain.Recipe]{}, domain.Refuse(domain.ErrNotFound, store.Products.Name, product)
	}
	return Record[domain.Recipe]{Value: domain.Recipe{ID: id, Product: product, Pickup: pickup, Contents: []domain.VarietyHeads{}}}, nil
}

// checkRecipe holds a recipe against its product and the farm's varieties.
func checkRecipe(tx *store.Tx, r *domain.Recipe) error {
	of, err := store.Products.Get(tx, r.Product)
	if err != nil {
		return err
	}
	if of.Ended {
		return domain.Refuse(domain.ErrNotFound, store.Products.Name, r.Product)
	}
	faults := r.Check(&of.Value)
	for i, c := range r.Contents {
		if err := known(tx, store.Varieties, &faults, place("contents", i)+".variety", c.Variety); err != nil {
			return err
		}
	}
	return faults.Err()
}

// printedReach is how many days before its pickup a case may be packed.
const printedReach = 7

// unprinted refuses to change a recipe that was printed for the packing table,
// unless the change says why it comes late.
func unprinted(tx *store.Tx, r *domain.Recipe, note Note) error {
	if note.Late != "" {
		return nil
	}
	issues, err := store.Issues.Values(tx, Query{From: map[string]string{"day": r.Pickup.Add(-printedReach).String()}})
	if err != nil {
		return err
	}
	if x := printed(issues, r.Product, r.Pickup); x != nil {
		return domain.Refuse(domain.ErrConflict, "packing day", x.Day.String(), "reason", "printed", "number", x.Number, "day", x.Day)
	}
	return nil
}

// printed is the newest issue that packs a product for a pickup, or nil.
func printed(issues []domain.Issue, product string, pickup domain.Day) (found *domain.Issue) {
	for i := range issues {
		x := &issues[i]
		packs := func(r domain.PackedRun) bool { return r.Product == product && r.Pickup == pickup }
		if slices.ContainsFunc(x.Runs, packs) && (found == nil || x.Number > found.Number) {
			found = x
		}
	}
	return found
}

// noRecipe refuses to end a variety or product that a recipe of a day to come
// still names.
func noRecipe(tx *store.Tx, what, code string, names func(*domain.Recipe) bool) error {
	recipes, err := store.Recipes.Values(tx, Query{From: map[string]string{"day": domain.DayOf(tx.Now).Add(-1).String()}})
	if err != nil {
		return err
	}
	for i := range recipes {
		if names(&recipes[i]) {
			return domain.Refuse(domain.ErrConflict, what, code, "reason", "still_named", "by", store.Recipes.Name, "other", recipes[i].ID)
		}
	}
	return nil
}
