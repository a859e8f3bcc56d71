package planner

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/internal/judge"
)

// Wednesday and Thursday have a truck each; the plans are made on Tuesday.
var (
	handTuesday   = domain.MustDay("2027-03-02")
	handWednesday = domain.MustDay("2027-03-03")
	handThursday  = domain.MustDay("2027-03-04")
)

// twoLeaves is a farm with 20 heads of A and 30 of B in the cooler. The Inn asks
// for one case of 12 A and the Grill for six mixed cases on Wednesday: 2 heads
// that may be A or else B, and 2 B, at most two of one variety.
func twoLeaves() *domain.Facts {
	ten, two := 10, 2
	f := &domain.Facts{Farm: domain.NewFarm(), Growing: domain.NewGrowing()}
	f.Farm.ShareRule, f.Farm.MinShelfDays = "first_come", 0
	f.Varieties = []domain.Variety{{Code: "A", Name: "A", GoodInTen: &ten}, {Code: "B", Name: "B", GoodInTen: &ten}}
	f.Products = []domain.Product{
		{Code: "MIX", Name: "Mixed", MaxHeadsPerVariety: &two, Slots: []domain.Slot{{Heads: 2, Accept: []string{"A", "B"}}, {Heads: 2, Accept: []string{"B"}}}},
		{Code: "SA", Name: "Single A", Slots: []domain.Slot{{Heads: 12, Accept: []string{"A"}}}}}
	f.Carriers = []domain.Carrier{{Code: "TRUCK", Name: "Truck", Pickups: domain.WeekdaysOf(time.Wednesday, time.Thursday)}}
	for _, c := range []string{"GRILL", "INN"} {
		f.Customers = append(f.Customers, domain.Customer{Code: c, Name: c, Importance: domain.Steady, Substitutes: "yes", Carrier: "TRUCK"})
	}
	f.Counts = []domain.Count{{ID: "N1", Day: handTuesday, Whole: true, Cooler: true, At: handTuesday.Time().Add(6 * time.Hour),
		Loose: []domain.LooseHeads{{Variety: "A", Heads: 20, Pulled: handTuesday}, {Variety: "B", Heads: 30, Pulled: handTuesday}}}}
	f.Orders = []domain.Order{order("O1", "INN", "SA", handWednesday, 1), order("O2", "GRILL", "MIX", handWednesday, 6)}
	return f
}

func order(id, customer, product string, day domain.Day, cases domain.Cases) domain.Order {
	return domain.Order{ID: id, Customer: customer, Pickup: day, Mode: domain.Add, Received: handTuesday.Add(-1).Time().Add(time.Duration(id[1]) * time.Second),
		Lines: []domain.OrderLine{{Product: product, Cases: cases}}}
}

// recipe reads "A1 B3" as one head of A and three of B.
func recipe(product string, day domain.Day, contents ...domain.VarietyHeads) domain.Recipe {
	return domain.Recipe{ID: domain.RecipeID(product, day), Product: product, Pickup: day, Contents: contents}
}

func heads(variety string, n domain.Heads) domain.VarietyHeads {
	return domain.VarietyHeads{Variety: variety, Heads: n}
}

// lineOfOrder is what the line of an order gets.
func lineOfOrder(t *testing.T, w *Week, order string) planning.LinePlan {
	t.Helper()
	i := slices.IndexFunc(w.Lines, func(l domain.Line) bool { return l.Order == order })
	if i < 0 {
		t.Fatalf("no line of %s in %+v", order, w.Lines)
	}
	if w.Plan.Lines[i].ID != w.Lines[i].ID {
		t.Fatalf("line %s stands at the place of %s", w.Plan.Lines[i].ID, w.Lines[i].ID)
	}
	return w.Plan.Lines[i]
}

// planned is a week whose plan keeps the contract as the planner's document puts it.
func planned(t *testing.T, f *domain.Facts) *Week {
	t.Helper()
	w := PlanWeek(f, handTuesday)
	if faults := planning.Check(w.Standing.Problem); len(faults) > 0 {
		t.Fatal(faults)
	}
	if faults := judge.Check(w.Standing.Problem, w.Standing.Plan); len(faults) > 0 {
		t.Fatal(faults)
	}
	return w
}

// The week's plan gives the Grill 4 of 6 cases: the Inn leaves 8 heads of A, and
// the cap wants two in every case. Typed over to 1 A and 3 B, six cases take 6 of
// the 8 A and 18 of the 30 B: all six, each with one B where A is the first
// choice.
func TestRecipeTypedOverIsPlannedAsGiven(t *testing.T) {
	f := twoLeaves()
	before := planned(t, f)
	if l := lineOfOrder(t, before, "O2"); l.Filled != 4 || l.Short != 2 {
		t.Fatalf("before: %+v", l)
	}
	f.Recipes = []domain.Recipe{recipe("MIX", handWednesday, heads("A", 1), heads("B", 3))}
	w := planned(t, f)
	l := lineOfOrder(t, w, "O2")
	if l.Filled != 6 || l.Firm != 6 || l.Short != 0 || l.Reason != nil {
		t.Errorf("by hand: %+v", l)
	}
	// Both parts of the case as the farm's product lists them: 6 A and 6 B in the
	// first, 12 B in the second.
	inSlot := map[[2]any]int{}
	for _, h := range l.Heads {
		inSlot[[2]any{h.Slot, h.Variety}] += h.Heads
	}
	if want := map[[2]any]int{{0, "A"}: 6, {0, "B"}: 6, {1, "B"}: 12}; !reflect.DeepEqual(inSlot, want) {
		t.Errorf("heads by part: %v, want %v", inSlot, want)
	}
	if w.Plan.Totals.Substitution != 6 {
		t.Errorf("substitution %d, want one in each of six cases", w.Plan.Totals.Substitution)
	}
	var runs []planning.Run
	for _, r := range w.Plan.Runs {
		if r.Product == "MIX" {
			runs = append(runs, r)
		}
	}
	if len(runs) != 1 || !runs[0].ByHand || runs[0].Cases != 6 ||
		!reflect.DeepEqual(runs[0].Contents, []planning.VarietyHeads{{Variety: "A", Heads: 1}, {Variety: "B", Heads: 3}}) {
		t.Errorf("runs %+v", runs)
	}
	// Listed is what the day needs now: 12 + 6 of A, 18 of B.
	want := []planning.TallyRow{{Pickup: handWednesday, Variety: "A", Listed: 18, Assigned: 18}, {Pickup: handWednesday, Variety: "B", Listed: 18, Assigned: 18}}
	if !reflect.DeepEqual(w.Plan.Tally, want) {
		t.Errorf("tally %+v", w.Plan.Tally)
	}
	if len(w.Problem.Products) != 2 {
		t.Errorf("readers see the farm's products alone: %+v", w.Problem.Products)
	}
	for _, x := range w.Plan.Lines {
		if !slices.ContainsFunc(w.Lines, func(l domain.Line) bool { return l.ID == x.ID }) {
			t.Errorf("line %s is none of the farm's", x.ID)
		}
	}
	// Another day is as it was.
	f.Recipes[0] = recipe("MIX", handThursday, heads("A", 1), heads("B", 3))
	if l := lineOfOrder(t, planned(t, f), "O2"); l.Filled != 4 {
		t.Errorf("a recipe of Thursday changed Wednesday: %+v", l)
	}
}

// Without a recipe nothing is copied: the problem and the plan are the planner's
// own.
func TestWithoutRecipesThePlanIsTheDocuments(t *testing.T) {
	w := PlanWeek(twoLeaves(), handTuesday)
	if w.Problem != w.Standing.Problem || w.Plan != w.Standing.Plan {
		t.Error("a week without recipes was copied")
	}
}

// A recipe may hold what the product does not list. It is planned as given, and
// stands behind all that is listed.
func TestRecipeMayHoldWhatIsNotListed(t *testing.T) {
	f := twoLeaves()
	f.Varieties = append(f.Varieties, domain.Variety{Code: "C", Name: "C"})
	f.Counts[0].Loose = append(f.Counts[0].Loose, domain.LooseHeads{Variety: "C", Heads: 9, Pulled: handTuesday})
	f.Recipes = []domain.Recipe{recipe("MIX", handWednesday, heads("B", 2), heads("C", 2))}
	w := planned(t, f)
	l := lineOfOrder(t, w, "O2")
	if l.Filled != 4 || l.Short != 2 || l.Reason == nil || !slices.Equal(l.Reason.Varieties, []string{"C"}) || l.Reason.HeadsMissing != 1 {
		t.Errorf("9 heads of C make four cases of two: %+v %+v", l, l.Reason)
	}
	if w.Plan.Totals.Substitution != 4*2*2 {
		t.Errorf("substitution %d; each of two heads in four cases stands behind A and B", w.Plan.Totals.Substitution)
	}
}

// The Grill never gets A: its cases cannot be made, and the plan says for whom.
// A customer that takes the first choices alone is told of too, and gets them.
func TestRecipeThatACustomerRefuses(t *testing.T) {
	f := twoLeaves()
	f.Customers[0].Refuse = []string{"A"}
	f.Orders = append(f.Orders, order("O3", "INN", "MIX", handWednesday, 1))
	f.Customers[1].Substitutes = "never"
	f.Recipes = []domain.Recipe{recipe("MIX", handWednesday, heads("A", 1), heads("B", 3))}
	w := planned(t, f)
	if l := lineOfOrder(t, w, "O2"); l.Filled != 0 || l.Reason == nil || l.Reason.Code != planning.CannotBeMade {
		t.Errorf("the Grill: %+v", l)
	}
	if l := lineOfOrder(t, w, "O3"); l.Filled != 1 {
		t.Errorf("the Inn: %+v", l)
	}
	var told []planning.Warning
	for _, x := range w.Plan.Warnings {
		if x.Code == planning.RecipeRefused || x.Code == planning.RecipeSubstitutes {
			x.Line, x.Text = "", ""
			told = append(told, x)
		}
	}
	want := []planning.Warning{
		{Code: planning.RecipeRefused, Pickup: handWednesday, Customer: "GRILL", Product: "MIX", Variety: "A", Needed: 6},
		{Code: planning.RecipeSubstitutes, Pickup: handWednesday, Customer: "INN", Product: "MIX", Variety: "B", Needed: 1}}
	if !reflect.DeepEqual(told, want) {
		t.Errorf("warnings %+v\nwant %+v", told, want)
	}
}

// packedCases are cases of the mixed product, two A and two B each, packed on
// Tuesday out of the cooler for a line or spare.
func packedCases(line string, cases domain.Cases, contents ...domain.VarietyHeads) domain.Packing {
	run := domain.PackedRun{Pickup: handWednesday, Product: "MIX", Cases: cases, Contents: contents}
	for _, c := range contents {
		run.Lots = append(run.Lots, domain.LotTaken{Lot: c.Variety, Variety: c.Variety, Pulled: handTuesday, Heads: c.Heads * domain.Heads(cases)})
	}
	if line != "" {
		run.Lines = []domain.LineCases{{Line: line, Cases: cases}}
	}
	return domain.Packing{ID: "P1", Day: handTuesday, At: handTuesday.Time().Add(8 * time.Hour), Runs: []domain.PackedRun{run}}
}

// Two of the Grill's six cases were packed before the recipe was typed over: they
// stay the Grill's. The 8 A less 4 and 30 B less 4 make the other four.
func TestCasesPackedBeforeStayTheirLines(t *testing.T) {
	f := twoLeaves()
	grill := lineOfOrder(t, planned(t, f), "O2").ID
	f.Packings = []domain.Packing{packedCases(grill, 2, heads("A", 2), heads("B", 2))}
	f.Decisions = []domain.Decision{{Line: domain.BaseOf(grill), Promised: 5, PromisedAt: handTuesday.Time()}}
	f.Recipes = []domain.Recipe{recipe("MIX", handWednesday, heads("A", 1), heads("B", 3))}
	w := planned(t, f)
	l := lineOfOrder(t, w, "O2")
	if l.Cases != 6 || l.Filled != 6 || l.Broken != 0 || len(l.Packed) != 1 || l.Packed[0].Cases != 2 {
		t.Errorf("the Grill: %+v", l)
	}
	if len(w.Plan.Lines) != len(w.Lines) || w.Plan.Totals.Asked != 7 {
		t.Errorf("%d lines for %d; totals %+v", len(w.Plan.Lines), len(w.Lines), w.Plan.Totals)
	}
	for _, r := range w.Plan.Runs {
		if r.Product == "MIX" && (r.Cases != 4 || r.Lines[0].ID != grill) {
			t.Errorf("run %+v", r)
		}
	}
	// Cleared again, and without the word: the Inn's 12 A leave 4 of 16 for two
	// more cases.
	f.Recipes, f.Decisions = nil, nil
	if l := lineOfOrder(t, planned(t, f), "O2"); l.Filled != 4 || l.Packed[0].Cases != 2 {
		t.Errorf("cleared: %+v", l)
	}
}

// Cases packed to a recipe by hand are their line's, whether the recipe still
// stands or was cleared since, though the farm's product never holds them.
func TestCasesPackedByHandStayTheirLines(t *testing.T) {
	f := twoLeaves()
	grill := lineOfOrder(t, planned(t, f), "O2").ID
	f.Packings = []domain.Packing{packedCases(grill, 6, heads("A", 1), heads("B", 3))}
	f.Decisions = []domain.Decision{{Line: domain.BaseOf(grill), AtMost: ptrTo(domain.Cases(5))}}
	f.Recipes = []domain.Recipe{recipe("MIX", handWednesday, heads("A", 1), heads("B", 3))}
	for _, standing := range []string{"standing", "cleared"} {
		w := planned(t, f)
		if l := lineOfOrder(t, w, "O2"); l.Cases != 6 || l.Cut != 1 || l.Filled != 5 || len(l.Packed) != 1 || l.Packed[0].Cases != 5 {
			t.Errorf("%s: %+v", standing, l)
		}
		if slices.ContainsFunc(w.Plan.Runs, func(r planning.Run) bool { return r.Product == "MIX" }) {
			t.Errorf("%s: packed once more: %+v", standing, w.Plan.Runs)
		}
		f.Recipes = nil
	}
}

// Spare cases that hold just what the recipe says go to its day, as many as it
// asks for; others are for days without a recipe.
func TestSpareCasesOfARecipe(t *testing.T) {
	f := twoLeaves()
	f.Orders = append(f.Orders, order("O3", "INN", "MIX", handThursday, 1))
	f.Recipes = []domain.Recipe{recipe("MIX", handWednesday, heads("A", 1), heads("B", 3))}
	f.Packings = []domain.Packing{packedCases("", 2, heads("A", 1), heads("B", 3))}
	w := planned(t, f)
	if l := lineOfOrder(t, w, "O2"); l.Filled != 6 || len(l.Packed) != 1 || l.Packed[0].Cases != 2 {
		t.Errorf("by hand: %+v", l)
	}
	f.Packings = []domain.Packing{packedCases("", 2, heads("A", 2), heads("B", 2))}
	w = planned(t, f)
	if l := lineOfOrder(t, w, "O2"); len(l.Packed) != 0 {
		t.Errorf("other cases went to the recipe's day: %+v", l)
	}
	if l := lineOfOrder(t, w, "O3"); len(l.Packed) != 1 {
		t.Errorf("a day without a recipe takes them: %+v", l)
	}
}

// A promise on a day with a recipe is asked of the recipe, on another of the
// product as it is: of 8 A and 30 B left, less six cases, are 2 A and 12 B. The
// recipe makes two more; on Thursday, two A to a case, one.
func TestPromiseOnADayWithARecipe(t *testing.T) {
	f := twoLeaves()
	f.Recipes = []domain.Recipe{recipe("MIX", handWednesday, heads("A", 1), heads("B", 3))}
	w := planned(t, f)
	for day, want := range map[domain.Day]int{handWednesday: 2, handThursday: 1} {
		got, faults := w.Quote(planning.Line{Product: "MIX", Pickup: day, Cases: 9})
		if len(faults) > 0 || got.AllIn != want || got.Sure != want || got.FirstDay != 0 {
			t.Errorf("%s: %+v %v, want %d", day, got, faults, want)
		}
	}
	if got, _ := w.Quote(planning.Line{Product: "MIX", Pickup: handWednesday, Cases: 2}); got.FirstDay != handWednesday {
		t.Errorf("two cases: %+v", got)
	}
}

// Who is hit when heads are thrown away is told by the farm's own products.
func TestWithoutReadsTheFarmsProducts(t *testing.T) {
	f := twoLeaves()
	f.Recipes = []domain.Recipe{recipe("MIX", handWednesday, heads("A", 1), heads("B", 3))}
	w := planned(t, f)
	lot := w.Problem.Lots[slices.IndexFunc(w.Problem.Lots, func(l planning.Lot) bool { return l.Variety == "B" })].Code
	hits, faults := w.Without(lot)
	if len(faults) > 0 || len(hits) != 1 || hits[0].Product != "MIX" || hits[0].Filled != 6 || hits[0].FilledWithout != 0 {
		t.Errorf("%+v %v", hits, faults)
	}
}

// The outlook counts a day as its recipe says.
func TestOutlookCountsRecipes(t *testing.T) {
	f := twoLeaves()
	f.Recipes = []domain.Recipe{recipe("MIX", handWednesday, heads("B", 4))}
	for _, r := range LookAhead(f, handTuesday, 1).Rows {
		if want := map[string]int{"A": 12, "B": 24}[r.Variety]; r.Pickup == handWednesday && r.Listed != want {
			t.Errorf("%s: %d heads listed, want %d", r.Variety, r.Listed, want)
		}
	}
}

func ptrTo[T any](v T) *T { return &v }
