package book

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// closingHouse closes the van's Tuesday on Monday at noon.
func closingHouse(t *testing.T) (*house, Record[domain.Order]) {
	h := newHouse(t)
	van, err := h.book.Carriers.Get(t.Context(), owner, "VAN")
	require.NoError(t, err)
	v := van.Value
	v.CutoffDays, v.CutoffHour = 1, 12*60
	_, err = h.book.Carriers.Replace(t.Context(), owner, "VAN", v, Note{Base: van.Rev})
	require.NoError(t, err)
	return h, h.order("INN", "OAK-CASE", 4, tuesday)
}

func TestTheClockClosesAndALateChangeNeedsAReason(t *testing.T) {
	h, o := closingHouse(t)
	ctx := t.Context()
	h.clock = time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC)
	changed := o.Value
	changed.Lines[0].Cases = 6
	_, err := h.book.Orders.Replace(ctx, owner, o.Value.ID, changed, Note{Base: o.Rev})
	require.Equal(t, "closed", reason(t, err))
	_, err = h.book.Orders.Create(ctx, owner, domain.Order{Customer: "GRILL", Pickup: tuesday, Lines: []domain.OrderLine{{Product: "BLEND", Cases: 1}}}, Note{})
	require.Equal(t, "closed", reason(t, err))
	_, err = h.book.Orders.Replace(ctx, owner, o.Value.ID, changed, Note{Base: o.Rev, Late: "because"})
	require.Equal(t, "one_of", faultsOf(t, err)[0].Code)

	h.order("GRILL", "BLEND", 1, friday) // another pickup is open
	late, err := h.book.Orders.Replace(ctx, owner, o.Value.ID, changed, Note{Base: o.Rev, Late: LateCustomer, Why: "a banquet"})
	require.NoError(t, err)
	history, err := h.book.History(ctx, owner, "order", o.Value.ID, 1)
	require.NoError(t, err)
	require.Equal(t, "late (customer): a banquet", history[0].Why)

	_, err = h.book.Orders.End(ctx, owner, o.Value.ID, Note{Base: late.Rev})
	require.Equal(t, "closed", reason(t, err), "nor is an order taken away")
	line := domain.LineID(o.Value.ID, "OAK-CASE", "VAN", tuesday)
	_, err = h.book.Move(ctx, owner, monday, line, friday, Note{})
	require.Equal(t, "closed", reason(t, err))
	_, err = h.book.Promise(ctx, owner, monday, line, 2, Note{})
	require.NoError(t, err, "a word may be given until the truck goes")
}

func TestAPersonClosesEarlierAndOpensAgain(t *testing.T) {
	h, o := closingHouse(t)
	ctx := t.Context()
	_, err := h.book.Close(ctx, owner, "VAN", tuesday, false, "full")
	require.NoError(t, err)
	changed := o.Value
	changed.Lines[0].Cases = 6
	_, err = h.book.Orders.Replace(ctx, owner, o.Value.ID, changed, Note{Base: o.Rev})
	require.Equal(t, "closed", reason(t, err))
	h.clock = time.Date(2027, 3, 1, 15, 0, 0, 0, time.UTC)
	_, err = h.book.Close(ctx, owner, "VAN", tuesday, true, "there is room after all")
	require.NoError(t, err)
	_, err = h.book.Orders.Replace(ctx, owner, o.Value.ID, changed, Note{Base: o.Rev})
	require.NoError(t, err)
	_, err = h.book.Close(ctx, owner, "VAN", monday, false, "")
	require.ErrorIs(t, err, domain.ErrNotFound)
}

func TestAStandingOrderChangesFromTheFirstOpenDay(t *testing.T) {
	h, _ := closingHouse(t)
	ctx := t.Context()
	s := add(h, h.book.Standing, domain.Standing{Customer: "GRILL", Product: "BLEND", Terms: []domain.Term{{From: tuesday, Cases: 3}}})
	h.clock = time.Date(2027, 3, 1, 13, 0, 0, 0, time.UTC)
	raised := s.Value
	raised.Terms = append(raised.Terms, domain.Term{From: friday, Cases: 5})
	rec, err := h.book.Standing.Replace(ctx, owner, s.Value.ID, raised, Note{Base: s.Rev})
	require.NoError(t, err)
	raised = rec.Value
	raised.Terms[0].Cases = 9
	_, err = h.book.Standing.Replace(ctx, owner, s.Value.ID, raised, Note{Base: rec.Rev})
	require.Equal(t, "closed", reason(t, err))
}

func TestWhatCameLateStandsOut(t *testing.T) {
	h, _ := closingHouse(t)
	h.clock = time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC)
	_, err := h.book.Orders.Create(t.Context(), owner, domain.Order{Customer: "GRILL", Pickup: tuesday,
		Lines: []domain.OrderLine{{Product: "BLEND", Cases: 1}}}, Note{Late: LateCustomer})
	require.NoError(t, err)
	late := map[string]bool{}
	for _, l := range h.day(monday, tuesday).Lines {
		late[l.Line.Customer] = l.CameLate
	}
	require.Equal(t, map[string]bool{"INN": false, "GRILL": true}, late)
}
