package prints

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/planning"
)

// byHand is an ordinary day whose mixed case was typed over: all fourteen to one
// recipe.
func byHand() *story {
	s := ordinary()
	s.Runs = s.Runs[:1]
	r := &s.Runs[0]
	r.ByHand, r.Cases, r.StandIns = true, 14, []planning.StandIn{{Variety: redOak}, {Variety: butter}}
	r.Contents = []planning.VarietyHeads{{Variety: redOak, Heads: 2}, {Variety: butter, Heads: 10}}
	return s
}

// before is what was printed of the ordinary day.
func printedRuns(s *story) (runs []domain.PackedRun) {
	for _, r := range s.Runs {
		run := domain.PackedRun{Pickup: r.Pickup, Product: r.Product, Cases: domain.Cases(r.Cases)}
		for _, c := range r.Contents {
			run.Contents = append(run.Contents, domain.VarietyHeads{Variety: c.Variety, Heads: domain.Heads(c.Heads)})
		}
		runs = append(runs, run)
	}
	return runs
}

func TestPapersSayThatARecipeIsByHand(t *testing.T) {
	s := byHand()
	sheet, err := Recipes(s.Day, s.Runs[0].Pack, issued)
	require.NoError(t, err)
	text := wholeText(t, sheet)
	assert.Contains(t, text, "Mixed living case · by hand")
	assert.Contains(t, text, "Typed by hand: pack just this.")
	assert.NotContains(t, text, "nothing stands in")
	list, err := PackList(s.Day, issued)
	require.NoError(t, err)
	assert.Contains(t, wholeText(t, list), "Mixed living case · by hand")
	plain, err := PackList(ordinary().Day, issued)
	require.NoError(t, err)
	assert.NotContains(t, wholeText(t, plain), "by hand")
}

func TestRecipeSlipsTellWhatIsPackedOtherwise(t *testing.T) {
	was, now := printedRuns(ordinary()), byHand()
	require.Empty(t, repacks(was, ordinary().Day, now.Runs[0].Pack), "as printed")
	require.Empty(t, repacks(nil, now.Day, now.Runs[0].Pack), "nothing was printed before")
	slips, err := RecipeSlips(now.Day, now.Runs[0].Pack, was, issued)
	require.NoError(t, err)
	text := wholeText(t, slips)
	for _, said := range []string{"Recipes that changed", "12 cases: 6 Red oakleaf and 6", "14 cases: 2 Red oakleaf and 10", "by hand"} {
		assert.Contains(t, text, said)
	}
	same, err := RecipeSlips(ordinary().Day, now.Runs[0].Pack, was, issued)
	require.NoError(t, err)
	assert.Contains(t, wholeText(t, same), "Nothing changed.")
}
