package book

import (
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/domain/store/storetest"
)

// cellFarm is a farm with one truck on every day, two customers and two
// products, on Monday 1 March 2027.
type cellFarm struct {
	t    testing.TB
	book *Book
	day  domain.Day
}

func newCellFarm(t testing.TB) *cellFarm {
	t.Helper()
	now := func() time.Time { return time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC) }
	s, err := store.Open(t.Context(), storetest.Place(t), now)
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	f := &cellFarm{t: t, book: New(s, now), day: domain.MustDay("2027-03-04")}
	_, err = f.book.Carriers.Create(f.t.Context(), Owner(), domain.Carrier{Code: "R", Name: "Round", Pickups: domain.EveryDay}, Note{})
	require.NoError(t, err)
	_, err = f.book.Varieties.Create(f.t.Context(), Owner(), domain.Variety{Code: "ROM", Name: "Romaine"}, Note{})
	require.NoError(t, err)
	for _, p := range []string{"P", "Q"} {
		_, err = f.book.Products.Create(f.t.Context(), Owner(), domain.Product{Code: p, Name: p, Slots: []domain.Slot{{Heads: 6, Accept: []string{"ROM"}}}}, Note{})
		require.NoError(t, err)
	}
	for _, c := range []string{"A", "B"} {
		_, err = f.book.Customers.Create(f.t.Context(), Owner(), domain.Customer{Code: c, Name: c}, Note{})
		require.NoError(t, err)
	}
	return f
}

func (f *cellFarm) standing(cases domain.Cases) string {
	rec, err := f.book.Standing.Create(f.t.Context(), Owner(), domain.Standing{Customer: "A", Product: "P",
		Terms: []domain.Term{{From: domain.MustDay("2027-03-01"), Every: 1, Cases: cases}}}, Note{})
	require.NoError(f.t, err)
	return rec.Value.ID
}

func (f *cellFarm) oneOff(mode domain.OrderMode, cases domain.Cases, received time.Time) string {
	rec, err := f.book.Orders.Create(f.t.Context(), Owner(), domain.Order{Customer: "A", Pickup: f.day, Mode: mode, Received: received, PO: "7",
		Lines: []domain.OrderLine{{Product: "P", Cases: cases}}}, Note{})
	require.NoError(f.t, err)
	return rec.Value.ID
}

func (f *cellFarm) set(was, cases domain.Cases) error {
	return f.book.SetCells(f.t.Context(), Owner(), []OrderCell{{"A", "P", f.day, was, cases}}, Note{})
}

// stands is what the cell holds on a day so many days after the farm's.
func (f *cellFarm) stands(after int) domain.Cases {
	day := f.day.Add(after)
	g, err := f.book.Grid(f.t.Context(), Owner(), domain.MustDay("2027-03-01"), day, day)
	require.NoError(f.t, err)
	return g.At("A", "P", day).Cases
}

func TestTypingIntoACell(t *testing.T) {
	yesterday := time.Date(2027, 2, 28, 9, 0, 0, 0, time.UTC)
	t.Run("an empty cell makes a one-off, and typing nothing ends it", func(t *testing.T) {
		f := newCellFarm(t)
		require.NoError(t, f.set(0, 5))
		require.EqualValues(t, 5, f.stands(0))
		require.NoError(t, f.set(5, 0))
		orders, err := f.book.Orders.List(f.t.Context(), Owner(), Query{})
		require.NoError(t, err)
		require.Empty(t, orders)
	})
	t.Run("a standing order keeps its terms, its other days and the word given", func(t *testing.T) {
		f := newCellFarm(t)
		id := f.standing(4)
		line := domain.LineID(id, "P", "R", f.day)
		_, err := f.book.Promise(f.t.Context(), Owner(), domain.MustDay("2027-03-01"), line, 3, Note{})
		require.NoError(t, err)
		require.NoError(t, f.set(4, 6))
		require.EqualValues(t, 6, f.stands(0))
		require.EqualValues(t, 4, f.stands(1))
		g, err := f.book.Grid(f.t.Context(), Owner(), domain.MustDay("2027-03-01"), f.day, f.day)
		require.NoError(t, err)
		require.EqualValues(t, 3, g.At("A", "P", f.day).Promised)
	})
	t.Run("typing the usual figure again takes the exception away", func(t *testing.T) {
		f := newCellFarm(t)
		id := f.standing(4)
		require.NoError(t, f.set(4, 0))
		require.NoError(t, f.set(0, 4))
		rec, err := f.book.Standing.Get(f.t.Context(), Owner(), id)
		require.NoError(t, err)
		require.Empty(t, rec.Value.Changes)
	})
	t.Run("a held week is opened on one day only", func(t *testing.T) {
		f := newCellFarm(t)
		id := f.standing(4)
		rec, err := f.book.Standing.Get(f.t.Context(), Owner(), id)
		require.NoError(t, err)
		rec.Value.Changes = []domain.Change{{From: f.day.Add(-1), Hold: true}}
		_, err = f.book.Standing.Replace(f.t.Context(), Owner(), id, rec.Value, Note{Base: rec.Rev})
		require.NoError(t, err)
		require.NoError(t, f.set(0, 2))
		require.EqualValues(t, []domain.Cases{0, 2, 0}, []domain.Cases{f.stands(-1), f.stands(0), f.stands(30)})
	})
	t.Run("a one-off that stands instead is changed itself", func(t *testing.T) {
		f := newCellFarm(t)
		f.standing(4)
		id := f.oneOff(domain.Replace, 0, yesterday)
		require.NoError(t, f.set(0, 7))
		rec, err := f.book.Orders.Get(f.t.Context(), Owner(), id)
		require.NoError(t, err)
		require.EqualValues(t, 7, rec.Value.Lines[0].Cases)
	})
	t.Run("fewer are taken from what was asked for last, then from the standing order", func(t *testing.T) {
		f := newCellFarm(t)
		id := f.standing(4)
		f.oneOff(domain.Add, 2, yesterday)
		require.NoError(t, f.set(6, 3))
		require.EqualValues(t, 3, f.stands(0))
		orders, err := f.book.Orders.List(f.t.Context(), Owner(), Query{})
		require.NoError(t, err)
		require.Empty(t, orders)
		rec, err := f.book.Standing.Get(f.t.Context(), Owner(), id)
		require.NoError(t, err)
		require.EqualValues(t, 3, *rec.Value.Changes[0].Cases)
	})
	t.Run("more beside an older one-off ranks from today", func(t *testing.T) {
		f := newCellFarm(t)
		old := f.oneOff(domain.Add, 2, yesterday)
		require.NoError(t, f.set(2, 5))
		rec, err := f.book.Orders.Get(f.t.Context(), Owner(), old)
		require.NoError(t, err)
		require.EqualValues(t, 2, rec.Value.Lines[0].Cases)
		require.EqualValues(t, 5, f.stands(0))
	})
}

func TestACellChangedMeanwhileIsStale(t *testing.T) {
	f := newCellFarm(t)
	f.standing(4)
	require.NoError(t, f.set(4, 6))
	err := f.set(4, 9)
	require.ErrorIs(t, err, domain.ErrStale)
	require.EqualValues(t, 6, f.stands(0), "nothing was written")
	require.NoError(t, f.set(4, 6), "the same figure sent twice is no change")
}

func TestCellsAreWrittenTogetherOrNotAtAll(t *testing.T) {
	f := newCellFarm(t)
	err := f.book.SetCells(f.t.Context(), Owner(), []OrderCell{{"A", "P", f.day, 0, 3}, {"A", "NONE", f.day, 0, 1}}, Note{})
	var faults domain.Faults
	require.True(t, errors.As(err, &faults))
	require.Equal(t, "cells[1].product", faults[0].Place)
	require.EqualValues(t, 0, f.stands(0))
}

func TestACellHoldsWhatWasTypedWhateverItIsMadeOf(t *testing.T) {
	f := newCellFarm(t)
	f.standing(4)
	f.oneOff(domain.Add, 2, time.Date(2027, 2, 27, 9, 0, 0, 0, time.UTC))
	was := domain.Cases(6)
	rapid.Check(t, func(r *rapid.T) {
		next := domain.Cases(rapid.IntRange(0, 12).Draw(r, "cases"))
		require.NoError(r, f.set(was, next))
		require.Equal(r, next, f.stands(0))
		require.EqualValues(r, 4, f.stands(1), "the day after keeps its usual")
		was = next
	})
}
