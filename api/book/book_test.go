package book

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/domain/store/storetest"
)

// house is a small farm on Monday 1 March 2027: a van on Tuesdays and Fridays,
// two varieties, a blend and a single, two customers.
type house struct {
	t     testing.TB
	book  *Book
	clock time.Time
}

var (
	monday  = domain.MustDay("2027-03-01")
	tuesday = domain.MustDay("2027-03-02")
	friday  = domain.MustDay("2027-03-05")
	owner   = Owner()
)

// aHouse is the book of newHouse, and the clock after it was filled.
var aHouse struct {
	storetest.Prepared
	clock time.Time
}

func newHouse(t testing.TB) *house {
	t.Helper()
	place := aHouse.Place(t, store.Restore, func(file string) {
		h := houseOf(t, storetest.Place(t), time.Date(2027, 3, 1, 6, 0, 0, 0, time.UTC))
		h.fill()
		require.NoError(t, h.book.store.Backup(t.Context(), file))
		aHouse.clock = h.clock
	})
	return houseOf(t, place, aHouse.clock)
}

// houseOf is the house of the book in a place; its clock goes on by a minute each
// time it is read.
func houseOf(t testing.TB, place string, clock time.Time) *house {
	t.Helper()
	h := &house{t: t, clock: clock}
	now := func() time.Time { h.clock = h.clock.Add(time.Minute); return h.clock }
	s, err := store.Open(t.Context(), place, now)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	h.book = New(s, now)
	return h
}

func (h *house) fill() {
	h.t.Helper()
	farm := domain.NewFarm()
	farm.HeadsPerRaft = 20
	_, err := h.book.SetFarm(h.t.Context(), owner, farm, Note{Base: 0})
	require.NoError(h.t, err)
	add(h, h.book.Varieties, domain.Variety{Name: "Oak"})
	add(h, h.book.Varieties, domain.Variety{Name: "Cos"})
	add(h, h.book.Products, domain.Product{Name: "Blend", Slots: []domain.Slot{{Heads: 6, Accept: []string{"OAK", "COS"}}, {Heads: 6, Accept: []string{"COS"}}}})
	add(h, h.book.Products, domain.Product{Name: "Oak case", Slots: []domain.Slot{{Heads: 10, Accept: []string{"OAK"}}}})
	add(h, h.book.Carriers, domain.Carrier{Name: "Van", Pickups: domain.WeekdaysOf(time.Tuesday, time.Friday), Hour: 420})
	add(h, h.book.Customers, domain.Customer{Name: "Inn", Substitutes: "ask"})
	add(h, h.book.Customers, domain.Customer{Name: "Grill", Importance: domain.Anchor})
}

func add[T any](h *house, shelf Shelf[T], v T) Record[T] {
	h.t.Helper()
	rec, err := shelf.Create(h.t.Context(), owner, v, Note{})
	require.NoError(h.t, err)
	return rec
}

func (h *house) order(customer, product string, cases domain.Cases, pickup domain.Day) Record[domain.Order] {
	return add(h, h.book.Orders, domain.Order{Customer: customer, Pickup: pickup, Lines: []domain.OrderLine{{Product: product, Cases: cases}}})
}

func (h *house) count(rows ...domain.BedCount) {
	add(h, h.book.Counts, domain.Count{Day: monday, Whole: true, Cooler: true, Beds: rows, SpeaksTo: friday})
}

func (h *house) day(asOf, pickup domain.Day) *Day {
	h.t.Helper()
	d, err := h.book.Day(h.t.Context(), owner, asOf, pickup)
	require.NoError(h.t, err)
	return d
}

func faultsOf(t testing.TB, err error) domain.Faults {
	t.Helper()
	var faults domain.Faults
	require.ErrorAs(t, err, &faults)
	return faults
}

func reason(t testing.TB, err error) any {
	t.Helper()
	var refusal *domain.Refusal
	require.ErrorAs(t, err, &refusal)
	return refusal.Args["reason"]
}

func TestCodesAreMadeFromNames(t *testing.T) {
	h := newHouse(t)
	require.Equal(t, "OAK-2", add(h, h.book.Varieties, domain.Variety{Name: "Oak"}).Value.Code)
	rec, err := h.book.Customers.Get(t.Context(), owner, "INN")
	require.NoError(t, err)
	require.Equal(t, domain.Customer{Code: "INN", Name: "Inn", Importance: domain.Steady, Substitutes: "ask", Carrier: "VAN"}, rec.Value)
}

func TestWhatNamesMissingThingsIsRefusedWithThePlace(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	_, err := h.book.Products.Create(ctx, owner, domain.Product{Name: "X", Slots: []domain.Slot{{Heads: 6, Accept: []string{"OAK", "KALE"}}}}, Note{})
	require.Equal(t, domain.Faults{{Place: "slots[0].accept[1]", Code: "unknown", Args: map[string]any{"what": "variety", "value": "KALE"}}}, faultsOf(t, err))
	_, err = h.book.Orders.Create(ctx, owner, domain.Order{Customer: "INN", Pickup: monday, Lines: []domain.OrderLine{{Product: "BLEND", Cases: 1}}}, Note{})
	faults := faultsOf(t, err)
	require.Equal(t, "pickup", faults[0].Place)
	require.Equal(t, tuesday, faults[0].Args["next"])
	_, err = h.book.Orders.Create(ctx, owner, domain.Order{Customer: "INN", Pickup: tuesday, Lines: []domain.OrderLine{{Product: "BLEND", Cases: -1}}}, Note{})
	require.Equal(t, "lines[0].cases", faultsOf(t, err)[0].Place)
}

func TestWhatIsStillNamedCannotEnd(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 2, friday)
	for _, end := range []func() error{
		func() error {
			_, err := h.book.Varieties.End(t.Context(), owner, "COS", Note{Base: 3})
			return err
		},
		func() error {
			_, err := h.book.Products.End(t.Context(), owner, "OAK-CASE", Note{Base: 5})
			return err
		},
		func() error { _, err := h.book.Carriers.End(t.Context(), owner, "VAN", Note{Base: 6}); return err },
	} {
		require.Equal(t, "still_named", reason(t, end()))
	}
}

func TestTwoOneOffsCannotStandInsteadOfTheSameOrder(t *testing.T) {
	h := newHouse(t)
	o := domain.Order{Customer: "INN", Pickup: friday, Mode: domain.Replace, Lines: []domain.OrderLine{{Product: "BLEND", Cases: 1}}}
	first := add(h, h.book.Orders, o)
	_, err := h.book.Orders.Create(t.Context(), owner, o, Note{})
	require.ErrorIs(t, err, domain.ErrConflict)
	var refusal *domain.Refusal
	require.ErrorAs(t, err, &refusal)
	require.Equal(t, first.Value.ID, refusal.Args["other"])
}

func TestAChangeNeedsTheRevisionItWasMadeFrom(t *testing.T) {
	h := newHouse(t)
	v := domain.Variety{Name: "Oakleaf"}
	_, err := h.book.Varieties.Replace(t.Context(), owner, "OAK", v, Note{Base: NoBase})
	require.ErrorIs(t, err, domain.ErrNoMatch)
	_, err = h.book.Varieties.Replace(t.Context(), owner, "OAK", v, Note{Base: 1})
	require.ErrorIs(t, err, domain.ErrStale)
	_, err = h.book.Varieties.Replace(t.Context(), Person{Name: "visitor"}, "OAK", v, Note{Base: 2})
	require.ErrorIs(t, err, domain.ErrDenied)
	rec, err := h.book.Varieties.Replace(t.Context(), owner, "OAK", v, Note{Base: 2})
	require.NoError(t, err)
	require.Equal(t, "OAK", rec.Value.Code)
}

func TestAWordStandsUntilAPersonReleasesIt(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 4, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8})
	line := h.day(monday, tuesday).Lines[0].Base

	word, err := h.book.Promise(ctx, owner, monday, line, 3, Note{})
	require.NoError(t, err)
	require.Equal(t, domain.Cases(3), word.Value.Promised)
	_, err = h.book.Promise(ctx, owner, monday, line, 5, Note{Base: word.Rev})
	require.Equal(t, "between", faultsOf(t, err)[0].Code)
	_, err = h.book.Promise(ctx, owner, monday, line, 1, Note{Base: word.Rev})
	require.Equal(t, "word_stands", reason(t, err))
	two := domain.Cases(2)
	_, err = h.book.Cut(ctx, owner, monday, line, &two, Note{Base: word.Rev})
	require.Equal(t, "word_stands", reason(t, err))

	h.order("GRILL", "OAK-CASE", 4, tuesday)
	lines := h.day(monday, tuesday).Lines
	require.Equal(t, "GRILL", lines[0].Line.Customer)
	require.Equal(t, 4, lines[0].Plan.Filled, "80 heads are eight cases")
	require.Equal(t, 4, lines[1].Plan.Filled)

	released, err := h.book.Release(ctx, owner, monday, line, 0, Note{Base: word.Rev, Why: "the chef rang off"})
	require.NoError(t, err)
	require.Zero(t, released.Value.Promised)
	history, err := h.book.History(ctx, owner, "decision", line, 5)
	require.NoError(t, err)
	require.Equal(t, "the chef rang off", history[0].Why)
	require.Len(t, history, 2)
}

func TestPromisedCasesComeBeforeAnAnchorCustomer(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 4, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 4}) // 40 heads: four cases
	line := h.day(monday, tuesday).Lines[0].Base
	_, err := h.book.Promise(t.Context(), owner, monday, line, 3, Note{})
	require.NoError(t, err)
	h.order("GRILL", "OAK-CASE", 4, tuesday)
	lines := h.day(monday, tuesday).Lines
	require.Equal(t, []int{1, 3}, []int{lines[0].Plan.Filled, lines[1].Plan.Filled})
	require.Equal(t, 3, lines[1].Plan.Firm, "36 heads are sure: the promise still holds")
}

func TestNothingCountedIsNotShort(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 4, friday)
	d := h.day(monday, friday)
	require.False(t, d.Lines[0].Counted)
	require.False(t, d.Tally[0].Counted)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 2})
	d = h.day(monday, friday)
	require.True(t, d.Lines[0].Counted, "the count speaks to Friday")
	require.Equal(t, 2, d.Lines[0].Plan.Short)
}

func TestAMovedLineGoesOnItsNewDayAndKeepsItsName(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 4, tuesday)
	line := h.day(monday, tuesday).Lines[0].Base
	_, err := h.book.Move(t.Context(), owner, monday, line, domain.MustDay("2027-03-03"), Note{})
	require.Equal(t, "no_pickup", faultsOf(t, err)[0].Code)
	_, err = h.book.Move(t.Context(), owner, monday, line, friday, Note{})
	require.NoError(t, err)
	require.Empty(t, h.day(monday, tuesday).Lines)
	require.Equal(t, line, h.day(monday, friday).Lines[0].ID)
}

// TestAMorning lifts, packs and sends: from then on the plan starts from what is
// true.
func TestAMorning(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 4, tuesday)
	h.order("GRILL", "OAK-CASE", 2, friday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8}) // 80 heads

	d := h.day(monday, tuesday)
	require.Equal(t, 4, d.Lines[0].Plan.Filled)
	require.Len(t, d.Week.Plan.Pulls, 2, "for Tuesday and for Friday")
	require.Equal(t, domain.HalfRafts(4), d.Week.Plan.Pulls[0].Rafts, "two rafts give forty heads")
	issue, err := h.book.Issue(ctx, owner, monday, monday, "")
	require.NoError(t, err)
	require.Equal(t, 1, issue.Value.Number)
	require.Equal(t, domain.Heads(40), issue.Value.Pulls[0].Heads)

	_, err = h.book.RecordLift(ctx, owner, LiftTold{Day: monday, Counts: []LiftCount{{Variety: "OAK", Heads: 35, Culls: 5}}, Done: true}, "")
	require.NoError(t, err)
	d = h.day(monday, tuesday)
	require.Equal(t, tuesday, d.Week.Problem.NextPull, "the beds are closed for the day")
	require.Equal(t, 3, d.Lines[0].Plan.Filled, "35 heads are three cases")

	packing, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday, Gone: []domain.HeadsGone{{Variety: "OAK", Heads: 5, Where: domain.Stall}}}, "")
	require.NoError(t, err)
	require.Len(t, packing.Value.Runs, 1)
	require.Equal(t, "27060-01", packing.Value.Runs[0].Trace)
	require.Equal(t, []domain.LotTaken{{Lot: "1/OAK/C11.1a@2027-03-01", Variety: "OAK", Pulled: monday, Heads: 30}}, packing.Value.Runs[0].Lots)

	d = h.day(tuesday, tuesday)
	require.Equal(t, 3, d.Lines[0].Plan.Filled)
	require.Len(t, d.Lines[0].Plan.Packed, 1)
	left, err := h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)
	require.Equal(t, []domain.Shipped{{Packed: d.Lines[0].Plan.Packed[0].Code, Trace: "27060-01", Line: d.Lines[0].ID,
		Customer: "INN", Product: "OAK-CASE", Cases: 3}}, left.Value.Took)
	d = h.day(tuesday, tuesday)
	require.Empty(t, d.Lines, "the van is gone")

	d = h.day(tuesday, friday)
	require.Equal(t, 2, d.Lines[0].Plan.Filled, "the other two rafts still stand")
	var oak int
	for _, l := range d.Week.Problem.Lots {
		oak += l.Heads
	}
	require.Equal(t, 40, oak, "nothing of the morning is left in the cooler")
}

func TestAPrintedDayOfWhichNothingWasToldCountsAsDone(t *testing.T) {
	h := newHouse(t)
	h.order("INN", "OAK-CASE", 4, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8})
	_, err := h.book.Issue(t.Context(), owner, monday, monday, "")
	require.NoError(t, err)
	d := h.day(tuesday, tuesday)
	require.Equal(t, 4, d.Lines[0].Plan.Filled)
	require.NotEmpty(t, d.Lines[0].Plan.Packed, "packed on Monday, as printed")
	require.Contains(t, d.Week.Assumed, domain.Assumption{Code: "done_as_printed", What: "2027-03-01", Value: 1})
}

func TestATruckThatDoesNotComeKeepsItsCases(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 4, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 8})
	_, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday}, "")
	require.NoError(t, err)
	n, err := h.book.NotCollected(ctx, owner, "VAN", tuesday, friday, "a flat tyre")
	require.NoError(t, err)
	require.Equal(t, 1, n)
	d := h.day(domain.MustDay("2027-03-03"), friday)
	require.Equal(t, 4, d.Lines[0].Plan.Filled)
	require.Equal(t, 4, d.Lines[0].Plan.Packed[0].Cases)
}

func TestCasesThatComeBackCanGoOutAgain(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	h.order("INN", "OAK-CASE", 4, tuesday)
	h.count(domain.BedCount{Bed: "1", Variety: "OAK", RaftsNow: 4})
	_, err := h.book.RecordPacked(ctx, owner, PackedTold{Day: monday}, "")
	require.NoError(t, err)
	_, err = h.book.Depart(ctx, owner, "VAN", tuesday, "")
	require.NoError(t, err)
	back := domain.Return{Day: tuesday, Customer: "INN", Product: "OAK-CASE", Cases: 1, Became: "stock"}
	_, err = h.book.CameBack(ctx, owner, back, "")
	require.Equal(t, "needed_for_stock", faultsOf(t, err)[0].Code)
	back.Trace = "27060-01"
	_, err = h.book.CameBack(ctx, owner, back, "the kitchen was closed")
	require.NoError(t, err)
	h.order("GRILL", "OAK-CASE", 1, friday)
	d := h.day(tuesday, friday)
	require.Equal(t, 1, d.Lines[0].Plan.Filled)
	require.Len(t, d.Lines[0].Plan.Packed, 1)
}
