package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner"
)

// drawn is a house whose issues keep one paper each.
func drawn(t *testing.T) *house {
	h := newHouse(t)
	h.book.Draw(func(issue domain.Issue, p *PackingDay) ([]Paper, error) {
		return []Paper{{Issue: issue.ID, Name: "everything", Bytes: []byte("paper of " + issue.ID)}}, nil
	})
	h.count(domain.BedCount{Bed: "B1", Variety: "OAK", RaftsNow: 8})
	h.order("INN", "OAK-CASE", 2, friday)
	return h
}

// TestAPaperIsHeldToItsPlan: what is packed, given or lifted by an issue, and the
// paper kept with it, cannot be changed one without the other.
func TestAPaperIsHeldToItsPlan(t *testing.T) {
	spoilt := map[string]func(*domain.Issue){
		"packed":     func(x *domain.Issue) { x.Runs[0].Product = "BLEND" },
		"trace code": func(x *domain.Issue) { x.Runs[0].Trace += "X" },
		"lot":        func(x *domain.Issue) { x.Runs[0].Lots[0].Lot += "X" },
		"line":       func(x *domain.Issue) { x.Runs[0].Lines[0].Line += "X" },
		"given":      func(x *domain.Issue) { x.Given[0].Customer = "GRILL" },
		"lifted":     func(x *domain.Issue) { x.Pulls[0].Heads++ },
		"the paper":  func(x *domain.Issue) { x.Seals["everything"] = seal(*x, []byte("another paper")) },
	}
	for what, spoil := range spoilt {
		t.Run(what, func(t *testing.T) {
			h := drawn(t)
			day := h.packingDay(t)
			rec, err := h.book.Issue(t.Context(), owner, monday, day, "")
			require.NoError(t, err)
			found, err := h.book.Check(t.Context(), owner, monday)
			require.NoError(t, err)
			require.Empty(t, found)
			_, err = store.Write(t.Context(), h.book.store, store.Act{}, func(tx *store.Tx) (bool, error) {
				spoil(&rec.Value)
				_, err := store.Issues.Replace(tx, rec.Value, rec.Rev)
				return true, err
			})
			require.NoError(t, err)
			found, err = h.book.Check(t.Context(), owner, monday)
			require.NoError(t, err)
			require.Equal(t, []string{"issue 1, paper everything: it is not the one that was drawn from this plan"}, found)
		})
	}
}

// packingDay is the first day on which something is packed.
func (h *house) packingDay(t *testing.T) domain.Day {
	days, err := h.book.PackingDays(t.Context(), owner, monday)
	require.NoError(t, err)
	require.NotEmpty(t, days)
	return days[0]
}

// TestCheckSeesWhatDoesNotAddUp spoils what the book promises of lines, lots and
// issues, one at a time.
func TestCheckSeesWhatDoesNotAddUp(t *testing.T) {
	h := drawn(t)
	_, err := h.book.Issue(t.Context(), owner, monday, h.packingDay(t), "")
	require.NoError(t, err)
	var facts *domain.Facts
	var week *planner.Week
	again := func() {
		_, err := store.Read(t.Context(), h.book.store, func(tx *store.Tx) (bool, error) {
			facts, week, err = h.book.weekWithFacts(tx, monday)
			return true, err
		})
		require.NoError(t, err)
	}
	again()
	require.Empty(t, linesHaveOrders(facts, week))
	require.Empty(t, lotsAreNotOverdrawn(week))
	require.Empty(t, issuesAddUp(facts.Issues))
	orders := facts.Orders
	facts.Orders = nil
	require.Len(t, linesHaveOrders(facts, week), 1)
	facts.Orders = orders
	lots := week.Problem.Lots
	week.Problem.Lots = append([]planning.Lot(nil), lots...)
	week.Problem.Lots[0].Heads = 1
	require.Len(t, lotsAreNotOverdrawn(week), 1)
	week.Problem.Lots = lots
	facts.Issues[0].Runs[0].Lines[0].Cases++
	require.Len(t, issuesAddUp(facts.Issues), 1, "a case for nobody")
	facts.Issues[0].Runs[0].Lines[0].Cases--
	facts.Issues[0].Runs[0].Lots[0].Heads--
	require.Len(t, issuesAddUp(facts.Issues), 1, "a head from nowhere")
}
