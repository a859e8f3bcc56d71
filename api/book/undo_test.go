package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

func TestUndoTakesBackTheLastChangeAndIsOneItself(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	o := h.order("INN", "OAK-CASE", 4, friday)
	changed := o.Value
	changed.Lines = []domain.OrderLine{{Product: "OAK-CASE", Cases: 6}}
	_, err := h.book.Orders.Replace(ctx, owner, o.Value.ID, changed, Note{Base: o.Rev})
	require.NoError(t, err)
	asked := func() domain.Cases {
		rec, err := h.book.Orders.Get(ctx, owner, o.Value.ID)
		require.NoError(t, err)
		if rec.Ended {
			return 0
		}
		return rec.Value.Lines[0].Cases
	}
	require.NoError(t, h.book.Undo(ctx, owner, "order", o.Value.ID, Note{}))
	require.Equal(t, domain.Cases(4), asked())
	require.NoError(t, h.book.Undo(ctx, owner, "order", o.Value.ID, Note{}))
	require.Equal(t, domain.Cases(6), asked(), "undoing is a change, and can be undone")
	history, err := h.book.History(ctx, owner, "order", o.Value.ID, 9)
	require.NoError(t, err)
	require.Len(t, history, 4)

	ben := Person{Name: "Ben", Rights: []Right{MayRead, MayOrder}}
	require.Equal(t, "changed_by_another", reason(t, h.book.Undo(ctx, ben, "order", o.Value.ID, Note{})))
	require.ErrorIs(t, h.book.Undo(ctx, owner, "order", "O999", Note{}), domain.ErrNotFound)
	require.Equal(t, "one_of", faultsOf(t, h.book.Undo(ctx, owner, "variety", "OAK", Note{}))[0].Code)

	made := h.order("GRILL", "BLEND", 1, friday)
	require.NoError(t, h.book.Undo(ctx, owner, "order", made.Value.ID, Note{}))
	rec, err := h.book.Orders.Get(ctx, owner, made.Value.ID)
	require.NoError(t, err)
	require.True(t, rec.Ended)
	require.NoError(t, h.book.Undo(ctx, owner, "order", made.Value.ID, Note{}))
	require.Len(t, h.day(monday, friday).Lines, 2)
}

func TestUndoKeepsClosedDays(t *testing.T) {
	h, o := closingHouse(t)
	_, err := h.book.Close(t.Context(), owner, "VAN", tuesday, false, "")
	require.NoError(t, err)
	require.Equal(t, "closed", reason(t, h.book.Undo(t.Context(), owner, "order", o.Value.ID, Note{})))
}
