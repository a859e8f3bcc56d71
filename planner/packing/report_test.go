package packing_test

import (
	"fmt"
	"slices"
	"testing"

	"headtally/domain/planning"
	"headtally/planner/internal/judge"
)

// recipesByDay counts the recipes of each product and pickup day.
func recipesByDay(plan *planning.Plan) map[string]int {
	seen := map[string][]string{}
	for _, r := range plan.Runs {
		day, mix := r.Pickup.String()+" "+r.Product, fmt.Sprint(r.Contents)
		if !slices.Contains(seen[day], mix) {
			seen[day] = append(seen[day], mix)
		}
	}
	counts := map[string]int{}
	for day, recipes := range seen {
		counts[day] = len(recipes)
	}
	return counts
}

// TestWhatTheLimitCostsAFarm tells how many recipes a product and day take on
// the farm-size cases, without a limit and with one, and what the limit costs
// in substitution. The least substitution without a limit is a lower bound.
func TestWhatTheLimitCostsAFarm(t *testing.T) {
	for _, c := range judge.Cases(t, "../../testdata/planning", "farm-*") {
		for _, limit := range []int{0, 3, 2, 1} {
			p := *c.Problem
			p.MaxRecipes = limit
			plan := allocate(&p).pack()
			count, over, recipes := map[int]int{}, 0, 0
			for _, n := range recipesByDay(plan) {
				count[n]++
				recipes += n
				if limit > 0 && n > limit {
					over++
				}
			}
			t.Logf("%s, limit %d: %d recipes on %d products and days %v, over the limit %d, substitution %d, expiring heads used %d, runs %d",
				c.Name, limit, recipes, len(recipesByDay(plan)), count, over, plan.Totals.Substitution, plan.Totals.ExpiringUsed, len(plan.Runs))
			if got := len(overLimit(plan)); got != over {
				t.Errorf("%s, limit %d: %d products and days over it, %d warnings", c.Name, limit, over, got)
			}
		}
	}
}

func overLimit(plan *planning.Plan) (list []planning.Warning) {
	for _, w := range plan.Warnings {
		if w.Code == planning.RecipesOver {
			list = append(list, w)
		}
	}
	return list
}
