package store

import "headtally/domain"

// Recipes are the recipes typed over by a person, a record for each product and
// pickup day.
var Recipes = Kind[domain.Recipe]{"recipe", "recipes", func(v *domain.Recipe) *string { return &v.ID },
	func(v *domain.Recipe) map[string]any { return map[string]any{"product": v.Product, "day": v.Pickup} }}
