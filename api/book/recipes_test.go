package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/planning"
)

// recipeHouse has 60 heads of oak and 100 of cos in its beds, and 8 cases of the
// blend asked for Tuesday: 6 of oak, or else cos, and 6 of cos. By the planner
// they take 48 oak and 48 cos.
func recipeHouse(t *testing.T) *house {
	h := newHouse(t)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", HeadsNow: 60}, domain.BedCount{Bed: "2", Variety: "COS", HeadsNow: 100})
	h.order("GRILL", "BLEND", 5, tuesday)
	h.order("INN", "BLEND", 3, tuesday)
	return h
}

func blend(oak, cos domain.Heads) domain.Recipe {
	r := domain.Recipe{Product: "BLEND", Pickup: tuesday}
	for _, c := range []domain.VarietyHeads{{Variety: "OAK", Heads: oak}, {Variety: "COS", Heads: cos}} {
		if c.Heads > 0 {
			r.Contents = append(r.Contents, c)
		}
	}
	return r
}

func (h *house) recipes(pickup domain.Day) *RecipeDay {
	h.t.Helper()
	d, err := h.book.RecipeDay(h.t.Context(), owner, monday, pickup)
	require.NoError(h.t, err)
	return d
}

func (h *house) typed(r domain.Recipe, note Note) Record[domain.Recipe] {
	h.t.Helper()
	rec, err := h.book.TypeRecipe(h.t.Context(), owner, monday, r, note)
	require.NoError(h.t, err)
	return rec
}

// 10 cos a case and 8 cases are 80 of the cautious 90; 2 oak a case are 16. All
// are filled, and four heads of each case stand for oak: 32 places more.
func TestRecipeTypedOverIsPlannedAtOnceAndCleared(t *testing.T) {
	h := recipeHouse(t)
	before := h.recipes(tuesday)
	require.Len(t, before.Products, 1)
	require.False(t, before.Products[0].Stands())
	require.Equal(t, []planning.VarietyHeads{{Variety: "OAK", Heads: 6}, {Variety: "COS", Heads: 6}}, before.Products[0].Runs[0].Contents)

	rec := h.typed(blend(2, 10), Note{Why: "oak is small"})
	p := h.recipes(tuesday).Products[0]
	require.True(t, p.Stands())
	require.Len(t, p.Runs, 1)
	require.True(t, p.Runs[0].ByHand)
	require.Equal(t, 8, p.Runs[0].Cases)
	require.Equal(t, []planning.VarietyHeads{{Variety: "OAK", Heads: 2}, {Variety: "COS", Heads: 10}}, p.Runs[0].Contents)
	require.Zero(t, p.Short)
	require.Zero(t, p.Instead.Cases)
	require.Equal(t, 32, p.Instead.StandIns)
	require.Equal(t, before.Products[0].Runs[0].Contents, p.Instead.Runs[0].Contents, "the way back is shown")
	require.Equal(t, planning.RecipeSubstitutes, p.Warnings[0].Code, "the Inn wants to be asked")
	require.Equal(t, "INN", p.Warnings[0].Customer)
	require.Equal(t, "BLEND", h.day(monday, tuesday).Lines[0].Line.Product, "the line is still the product's")
	require.Equal(t, "Blend", h.day(monday, tuesday).Lines[0].Product.Name)

	_, err := h.book.TypeRecipe(t.Context(), owner, monday, blend(3, 9), Note{Base: 0})
	require.ErrorIs(t, err, domain.ErrStale, "two people at once are told")
	again := h.typed(blend(3, 9), Note{Base: rec.Rev})
	cleared, err := h.book.ClearRecipe(t.Context(), owner, "BLEND", tuesday, Note{Base: again.Rev})
	require.NoError(t, err)
	require.True(t, cleared.Ended)
	require.Equal(t, before.Products[0].Runs, h.recipes(tuesday).Products[0].Runs)
	taken := h.typed(blend(4, 8), Note{Base: cleared.Rev})
	require.False(t, taken.Ended, "a cleared recipe can be typed over again")

	history, err := h.book.History(t.Context(), owner, "recipe", "BLEND/2027-03-02", 9)
	require.NoError(t, err)
	require.Len(t, history, 4)
	require.Equal(t, "oak is small", history[3].Why)
	require.Equal(t, owner.Name, history[3].Who)
}

// 12 oak a case and 60 oak are 5 cases of 8: the cost is named line by line. The
// Grill is an anchor and comes first; the Inn's three go.
func TestRecipeCostIsToldLineByLine(t *testing.T) {
	h := recipeHouse(t)
	h.typed(blend(12, 0), Note{})
	p := h.recipes(tuesday).Products[0]
	require.Equal(t, domain.Cases(3), p.Short)
	require.Equal(t, 3, p.Instead.Cases)
	require.Len(t, p.Instead.Hit, 1)
	hit := p.Instead.Hit[0]
	require.Equal(t, []any{"Inn", "Blend", 3, 0}, []any{hit.Customer, hit.Product, hit.Was, hit.Is})
}

func TestRecipeIsRefusedByName(t *testing.T) {
	h := recipeHouse(t)
	ctx := t.Context()
	for name, c := range map[string]struct {
		contents []domain.VarietyHeads
		place    string
		code     string
	}{
		"too few heads":      {[]domain.VarietyHeads{{Variety: "OAK", Heads: 5}, {Variety: "COS", Heads: 6}}, "contents", "recipe_heads"},
		"too many heads":     {[]domain.VarietyHeads{{Variety: "OAK", Heads: 13}}, "contents", "recipe_heads"},
		"no heads":           {nil, "contents", "too_few"},
		"heads below one":    {[]domain.VarietyHeads{{Variety: "OAK", Heads: -1}, {Variety: "COS", Heads: 13}}, "contents[0].heads", "at_least"},
		"no such variety":    {[]domain.VarietyHeads{{Variety: "KALE", Heads: 12}}, "contents[0].variety", "unknown"},
		"a variety twice":    {[]domain.VarietyHeads{{Variety: "OAK", Heads: 6}, {Variety: "OAK", Heads: 6}}, "contents[1].variety", "twice"},
		"no variety's heads": {[]domain.VarietyHeads{{Heads: 12}}, "contents[0].variety", "required"},
	} {
		_, err := h.book.TypeRecipe(ctx, owner, monday, domain.Recipe{Product: "BLEND", Pickup: tuesday, Contents: c.contents}, Note{})
		f := faultsOf(t, err)
		require.Equal(t, []string{c.place, c.code}, []string{f[0].Place, f[0].Code}, name)
	}
	r := blend(6, 6)
	r.Pickup = monday
	_, err := h.book.TypeRecipe(ctx, owner, monday, r, Note{})
	require.ErrorIs(t, err, domain.ErrNotFound, "no truck comes on a Monday")
	r = blend(6, 6)
	r.Product = "NOPE"
	_, err = h.book.TypeRecipe(ctx, owner, monday, r, Note{})
	require.ErrorIs(t, err, domain.ErrNotFound)
	_, err = h.book.TypeRecipe(ctx, owner, monday, blend(6, 6), Note{Base: NoBase})
	require.ErrorIs(t, err, domain.ErrNoMatch)
	_, err = h.book.TypeRecipe(ctx, Person{Name: "Pia", Rights: []Right{MayRead, MayPack}}, monday, blend(6, 6), Note{})
	require.ErrorIs(t, err, domain.ErrDenied)
	_, err = h.book.ClearRecipe(ctx, owner, "BLEND", tuesday, Note{})
	require.ErrorIs(t, err, domain.ErrNotFound, "there is none to clear")
	rec, err := h.book.Recipe(ctx, owner, "BLEND", tuesday)
	require.NoError(t, err)
	require.Zero(t, rec.Rev)
}

// Orders being closed does not matter to the table; what was printed for it does.
func TestRecipeOfAPrintedDayNeedsAReason(t *testing.T) {
	h := recipeHouse(t)
	ctx := t.Context()
	_, err := h.book.Close(ctx, owner, "VAN", tuesday, false, "full")
	require.NoError(t, err)
	rec := h.typed(blend(2, 10), Note{})
	issue, err := h.book.Issue(ctx, owner, monday, monday, "")
	require.NoError(t, err)
	require.Equal(t, issue.Value.Number, h.recipes(tuesday).Products[0].Printed.Number)
	_, err = h.book.TypeRecipe(ctx, owner, monday, blend(3, 9), Note{Base: rec.Rev})
	require.Equal(t, "printed", reason(t, err))
	_, err = h.book.ClearRecipe(ctx, owner, "BLEND", tuesday, Note{Base: rec.Rev})
	require.Equal(t, "printed", reason(t, err))
	require.Contains(t, Undoable(), "recipe", "the list of changes offers it")
	require.Equal(t, "printed", reason(t, h.book.Undo(ctx, owner, "recipe", "BLEND/2027-03-02", Note{})))
	late := h.typed(blend(3, 9), Note{Base: rec.Rev, Late: LateShort})
	history, err := h.book.History(ctx, owner, "recipe", late.Value.ID, 1)
	require.NoError(t, err)
	require.Equal(t, "late (short)", history[0].Why)
	require.True(t, h.recipes(tuesday).Products[0].Differs, "the paper no longer says what to pack")
	second, err := h.book.Issue(ctx, owner, monday, monday, "")
	require.NoError(t, err)
	require.Equal(t, issue.Value.Number, second.Value.Replaces)
	require.Equal(t, []domain.VarietyHeads{{Variety: "OAK", Heads: 3}, {Variety: "COS", Heads: 9}}, second.Value.Runs[0].Contents)
	require.Equal(t, "BLEND", second.Value.Runs[0].Product)
	require.False(t, h.recipes(tuesday).Products[0].Differs)
}

func TestRecipeIsUndone(t *testing.T) {
	h := recipeHouse(t)
	ctx := t.Context()
	first := h.typed(blend(2, 10), Note{})
	h.typed(blend(3, 9), Note{Base: first.Rev})
	undo := func() Record[domain.Recipe] {
		require.NoError(t, h.book.Undo(ctx, owner, "recipe", first.Value.ID, Note{}))
		rec, err := h.book.Recipe(ctx, owner, "BLEND", tuesday)
		require.NoError(t, err)
		return rec
	}
	require.Equal(t, domain.Heads(2), undo().Value.Contents[0].Heads)
	require.Equal(t, domain.Heads(3), undo().Value.Contents[0].Heads, "undoing is a change, and can be undone")
	ben := Person{Name: "Ben", Rights: []Right{MayRead, MayOrder}}
	require.Equal(t, "changed_by_another", reason(t, h.book.Undo(ctx, ben, "recipe", first.Value.ID, Note{})))

	rec, err := h.book.Recipe(ctx, owner, "BLEND", tuesday)
	require.NoError(t, err)
	_, err = h.book.ClearRecipe(ctx, owner, "BLEND", tuesday, Note{Base: rec.Rev})
	require.NoError(t, err)
	require.False(t, undo().Ended, "a cleared one stands again")
	require.True(t, undo().Ended, "and is cleared again")
	require.False(t, h.recipes(tuesday).Products[0].Stands())
}

// What was packed to a recipe leaves as the product it is, and its trace too.
func TestCasesOfARecipeAreTheProductsEverywhere(t *testing.T) {
	h := recipeHouse(t)
	ctx := t.Context()
	h.typed(blend(2, 10), Note{})
	_, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday}, "")
	require.NoError(t, err)
	d := h.day(monday, tuesday)
	require.Empty(t, d.Runs, "all is packed")
	for _, l := range d.Lines {
		require.Equal(t, l.Plan.Cases, l.Plan.Packed[0].Cases, l.Line.Customer)
	}
	require.Equal(t, "BLEND", d.Given()[0].Product)
	sent, err := h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)
	cases := map[string]domain.Cases{}
	for _, x := range sent.Value.Took {
		require.NotEmpty(t, x.Trace)
		cases[x.Customer+" "+x.Product] += x.Cases
	}
	require.Equal(t, map[string]domain.Cases{"GRILL BLEND": 5, "INN BLEND": 3}, cases)
}

func TestAVarietyOfARecipeStays(t *testing.T) {
	h := recipeHouse(t)
	kale := add(h, h.book.Varieties, domain.Variety{Name: "Kale"})
	r := blend(6, 0)
	r.Contents = append(r.Contents, domain.VarietyHeads{Variety: "KALE", Heads: 6})
	h.typed(r, Note{})
	require.Equal(t, []string{"KALE"}, h.recipes(tuesday).Products[0].Unlisted)
	_, err := h.book.Varieties.End(t.Context(), owner, "KALE", Note{Base: kale.Rev})
	require.Equal(t, "still_named", reason(t, err))
}
