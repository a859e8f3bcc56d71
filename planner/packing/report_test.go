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

// TestWhatTheLimitCosts tells how many recipes a product and day take on the
// farm-size cases, and on a dozen small ones together, without a limit and with
// one, and what the limit costs in substitution. The least substitution without
// a limit is a lower bound; what is exact for small problems is held in
// limit_test.go.
func TestWhatTheLimitCosts(t *testing.T) {
	for _, size := range []string{"farm-01", "farm-02", "farm-03", "small-*"} {
		for _, limit := range []int{0, 3, 2, 1} {
			sum, days := planning.Totals{}, map[int]int{}
			over, runs := 0, 0
			for _, c := range judge.Cases(t, "../../testdata/planning", size) {
				p := *c.Problem
				p.MaxRecipes = limit
				plan := allocate(&p).pack()
				beyond := 0
				for _, n := range recipesByDay(plan) {
					days[n]++
					if limit > 0 && n > limit {
						beyond++
					}
				}
				if got := len(overLimit(plan)); got != beyond {
					t.Errorf("%s, limit %d: %d products and days over it, %d warnings", c.Name, limit, beyond, got)
				}
				over, runs = over+beyond, runs+len(plan.Runs)
				sum.Substitution += plan.Totals.Substitution
				sum.ExpiringUsed += plan.Totals.ExpiringUsed
			}
			t.Logf("%s, limit %d: recipes a product and day %v, over the limit %d, substitution %d, expiring heads used %d, runs %d",
				size, limit, days, over, sum.Substitution, sum.ExpiringUsed, runs)
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
