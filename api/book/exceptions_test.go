package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

func TestTwoDaysOfTheCalendarCannotContradict(t *testing.T) {
	h := newHouse(t)
	first := add(h, h.book.Exceptions, domain.Exception{Day: friday, Kind: domain.Closed})
	_, err := h.book.Exceptions.Create(t.Context(), owner, domain.Exception{ID: "SECOND", Day: friday, Kind: domain.Extra, Carrier: "VAN"}, Note{})
	var refusal *domain.Refusal
	require.ErrorAs(t, err, &refusal)
	require.Equal(t, []any{"SECOND", first.Value.ID, "days_contradict"}, []any{refusal.Code, refusal.Args["other"], refusal.Args["reason"]}, "both are named")
	_, err = h.book.Exceptions.End(t.Context(), owner, first.Value.ID, Note{Base: first.Rev})
	require.NoError(t, err)
	_, err = h.book.Exceptions.Create(t.Context(), owner, domain.Exception{ID: "SECOND", Day: friday, Kind: domain.Extra, Carrier: "VAN"}, Note{})
	require.NoError(t, err, "the other has ended")
}
