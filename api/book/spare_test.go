package book

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/planner"
	demo "headtally/testdata/farm"
)

// What is called spare can be promised, and so many cases are held back of it.
func TestSparesAreSureAndLessWhatIsHeldBack(t *testing.T) {
	facts := demo.Facts()
	w := planner.PlanWeek(&facts, domain.MustDay(demo.AsOf))
	all := spares(w, &facts.Farm, 0)
	require.NotEmpty(t, all)
	for _, s := range all {
		answer, faults := w.Standing.Quote(planner.LineFor(&facts.Farm, domain.Line{Product: s.Product, Pickup: s.Pickup, Cases: s.Cases}, domain.Customer{}, domain.Carrier{}))
		require.Empty(t, faults)
		assert.EqualValues(t, s.Cases, answer.Sure, "%s on %s", s.Product, s.Pickup)
	}
	less := 0
	for _, s := range all {
		if s.Cases > 2 {
			assert.Contains(t, spares(w, &facts.Farm, 2), Spare{s.Pickup, s.Product, s.Name, s.Cases - 2})
		} else {
			less++
		}
	}
	assert.Len(t, spares(w, &facts.Farm, 2), len(all)-less)
}

// More butterhead is asked for Thursday than is ready; what lacks could go with
// the same truck on Monday, and not with the own round on Saturday.
func TestOtherDaysAreOnesOnWhichTheTruckComes(t *testing.T) {
	facts := demo.Facts()
	thursday, monday := domain.MustDay("2027-04-15"), domain.MustDay("2027-04-19")
	customer := facts.Customers[slices.IndexFunc(facts.Customers, func(c domain.Customer) bool { return c.Carrier == "HARBOUR-TRUCK" })]
	facts.Orders = append(facts.Orders, domain.Order{ID: "X1", Customer: customer.Code, Pickup: thursday, Mode: domain.Add,
		Lines: []domain.OrderLine{{Product: "BUTTERHEAD-TEN", Cases: 23}}})
	w := planner.PlanWeek(&facts, domain.MustDay(demo.AsOf))
	p := &PackingDay{Facts: &facts, Week: w, Pickups: []*Day{NewDay(&facts, w, thursday)}}
	others := p.OtherDays()
	require.Len(t, others, 1)
	for id, day := range others {
		assert.Contains(t, id, "BUTTERHEAD-TEN")
		assert.Equal(t, monday, day)
	}
}

// What can be promised is looked for no farther ahead than the tally looks,
// whatever else the plan takes in.
func TestSparesLookNoFartherThanTheTally(t *testing.T) {
	facts := demo.Facts()
	w := planner.PlanWeek(&facts, domain.MustDay(demo.AsOf))
	all := spares(w, &facts.Farm, 0)
	facts.Farm.TallyDays = 3
	near := spares(w, &facts.Farm, 0)
	require.NotEmpty(t, near)
	require.Less(t, len(near), len(all))
	for _, s := range near {
		require.LessOrEqual(t, s.Pickup, w.AsOf.Add(3))
	}
}
