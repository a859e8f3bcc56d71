package book

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
)

func (h *house) tell(events ...domain.BatchEvent) []Record[domain.BatchEvent] {
	h.t.Helper()
	told, err := h.book.RecordBatches(h.t.Context(), owner, events, "")
	require.NoError(h.t, err)
	return told
}

// sown is a batch of Oak that was sown 36 days before the house's Monday and set
// into ten rafts, so that it is ready.
func (h *house) sown() string {
	h.t.Helper()
	batch := h.tell(domain.BatchEvent{Step: domain.Sown, Variety: "OAK", Day: monday.Add(-36), Trays: 3})[0].Value.Batch
	h.tell(domain.BatchEvent{Step: domain.SetOut, Batch: batch, Day: monday.Add(-25), Rafts: 20, Bed: "B1"})
	return batch
}

func (h *house) lots(asOf domain.Day) map[string]planning.Lot {
	h.t.Helper()
	w, err := h.book.Week(h.t.Context(), owner, asOf)
	require.NoError(h.t, err)
	return byCode(w.Problem.Lots, func(l planning.Lot) string { return l.Code })
}

func TestABatchInThreeSteps(t *testing.T) {
	h := newHouse(t)
	batch := h.sown()
	require.Equal(t, "OAK-0124", batch, "a code for the labels: variety and day")
	require.Equal(t, 342, h.lots(monday)[batch+"/B1"].Heads, "ten rafts of 36, 95 in 100 good")

	h.tell(domain.BatchEvent{Step: domain.Lifted, Batch: batch, Day: monday, Rafts: 8, Heads: 138, Culls: 6})
	lots := h.lots(monday)
	require.Equal(t, domain.HalfRafts(12), *lots[batch+"/B1"].Rafts, "six rafts are left")
	require.Equal(t, 138, lots[batch+"/B1@"+monday.String()].Heads, "and the heads lie in the cooler, entered once")

	view, err := h.book.Batch(t.Context(), owner, monday, batch)
	require.NoError(t, err)
	require.Len(t, view.Told, 3)
	require.NotNil(t, view.Projection)

	h.tell(domain.BatchEvent{Step: domain.Finished, Batch: batch, Day: monday})
	require.Zero(t, h.lots(monday)[batch+"/B1"].Heads)
	open, err := h.book.Batches(t.Context(), owner, monday)
	require.NoError(t, err)
	require.Empty(t, open)
}

func TestAWrongBatchEventIsCorrectedAndKept(t *testing.T) {
	h := newHouse(t)
	batch := h.sown()
	wrong := h.tell(domain.BatchEvent{Step: domain.Lifted, Batch: batch, Day: monday, Rafts: 8, Heads: 183})[0].Value
	h.tell(domain.BatchEvent{Step: domain.Lifted, Corrects: wrong.ID, Rafts: 8, Heads: 138})
	require.Equal(t, 138, h.lots(monday)[batch+"/B1@"+monday.String()].Heads, "138, not 183")
	view, err := h.book.Batch(t.Context(), owner, monday, batch)
	require.NoError(t, err)
	require.Len(t, view.Told, 4, "nothing is erased")
	require.Len(t, view.Batch.Lifts, 1)

	_, err = h.book.RecordBatches(t.Context(), owner, []domain.BatchEvent{{Step: domain.Lifted, Corrects: wrong.ID, Heads: 1}}, "")
	require.Equal(t, "already_corrected", faultsOf(t, err)[0].Code)
	h.tell(domain.BatchEvent{Step: domain.Struck, Corrects: view.Batch.Lifts[0].ID})
	require.Zero(t, h.lots(monday)[batch+"/B1@"+monday.String()].Heads)
	require.Equal(t, 342, h.lots(monday)[batch+"/B1"].Heads)
}

func TestWrongBatchEventsAreRefusedByName(t *testing.T) {
	h := newHouse(t)
	batch := h.sown()
	for name, c := range map[string]struct {
		event       domain.BatchEvent
		place, code string
	}{
		"no such variety":        {domain.BatchEvent{Step: domain.Sown, Variety: "KALE", Day: monday, Trays: 1}, "events[0].variety", "unknown"},
		"no trays":               {domain.BatchEvent{Step: domain.Sown, Variety: "OAK", Day: monday}, "events[0].trays", "required"},
		"no such batch":          {domain.BatchEvent{Step: domain.SetOut, Batch: "NONE", Day: monday, Rafts: 2, Bed: "B1"}, "events[0].batch", "unknown"},
		"set before it was sown": {domain.BatchEvent{Step: domain.SetOut, Batch: batch, Day: monday.Add(-50), Rafts: 2, Bed: "B1"}, "events[0].day", "before_from"},
		"tomorrow":               {domain.BatchEvent{Step: domain.Finished, Batch: batch, Day: monday.Add(1)}, "events[0].day", "not_yet"},
		"a bed on a sowing":      {domain.BatchEvent{Step: domain.Sown, Variety: "OAK", Day: monday, Trays: 1, Bed: "B1"}, "events[0].bed", "not_for_step"},
		"a step that is none":    {domain.BatchEvent{Step: "watered", Batch: batch, Day: monday}, "events[0].step", "one_of"},
		"a code that is taken":   {domain.BatchEvent{Step: domain.Sown, Batch: batch, Variety: "OAK", Day: monday, Trays: 1}, "events[0].batch", "taken"},
		"corrects another step":  {domain.BatchEvent{Step: domain.Lost, Corrects: "E9", Heads: 4}, "events[0].corrects", "another_step"},
	} {
		if c.event.Corrects != "" {
			view, err := h.book.Batch(t.Context(), owner, monday, batch)
			require.NoError(t, err)
			c.event.Corrects = view.Told[0].ID
		}
		_, err := h.book.RecordBatches(t.Context(), owner, []domain.BatchEvent{c.event}, "")
		faults := faultsOf(t, err)
		require.Equal(t, c.place, faults[0].Place, name)
		require.Equal(t, c.code, faults[0].Code, name)
	}
	packer := Person{Name: "packer", Rights: []Right{MayRead, MayPack}}
	_, err := h.book.RecordBatches(t.Context(), packer, []domain.BatchEvent{{Step: domain.Finished, Batch: batch, Day: monday}}, "")
	require.ErrorIs(t, err, domain.ErrDenied)
}

// What a morning's lift took is told to the batches by itself.
func TestALiftTellsItsBatches(t *testing.T) {
	h := newHouse(t)
	batch := h.sown()
	h.count(domain.BedCount{Bed: "B1", Variety: "OAK", RaftsNow: 12})
	_, err := h.book.RecordLift(t.Context(), owner, LiftTold{Day: monday, Counts: []LiftCount{{Variety: "OAK", Rafts: 6, Heads: 100, Culls: 8}}, Done: true}, "")
	require.NoError(t, err)
	view, err := h.book.Batch(t.Context(), owner, monday, batch)
	require.NoError(t, err)
	require.Len(t, view.Batch.Lifts, 1)
	require.Equal(t, domain.Heads(100), view.Batch.Lifts[0].Heads)
	require.Equal(t, domain.HalfRafts(6), view.Batch.Lifts[0].Rafts)
	require.Equal(t, domain.HalfRafts(14), domain.HalfRafts(20)-view.Batch.Lifts[0].Rafts)
}

// A change that fails leaves no event behind, neither in the book nor in what is
// kept of it.
func TestAFailedChangeTellsNoBatch(t *testing.T) {
	h := newHouse(t)
	batch := h.sown()
	failed := store.OnWrite(t.Context(), func(tx *store.Tx, _ any) error {
		facts, err := tx.Facts(monday)
		require.NoError(t, err)
		require.Len(t, facts.BatchEvents, 3, "within its own change the event is seen")
		return context.Canceled
	})
	_, err := h.book.RecordBatches(failed, owner, []domain.BatchEvent{{Step: domain.Finished, Batch: batch, Day: monday}}, "")
	require.ErrorIs(t, err, context.Canceled)
	view, err := h.book.Batch(t.Context(), owner, monday, batch)
	require.NoError(t, err)
	require.Len(t, view.Told, 2)
	h.tell(domain.BatchEvent{Step: domain.Finished, Batch: batch, Day: monday})
	view, err = h.book.Batch(t.Context(), owner, monday, batch)
	require.NoError(t, err)
	require.Len(t, view.Told, 3)
}

// What was not seen yet cannot be counted.
func TestAWalkOfTomorrowIsRefused(t *testing.T) {
	h := newHouse(t)
	walk := domain.Count{Day: monday.Add(1), Beds: []domain.BedCount{{Bed: "B1", Variety: "OAK", RaftsNow: 4}}}
	_, err := h.book.Counts.Create(t.Context(), owner, walk, Note{})
	require.Equal(t, domain.Faults{{Place: "day", Code: "not_yet", Args: map[string]any{"today": monday}}}, faultsOf(t, err))
	walk.Day = monday
	_, err = h.book.Counts.Create(t.Context(), owner, walk, Note{})
	require.NoError(t, err)
}

// A farm that records no sowings walks once a week for six weeks: every pickup of
// every week is planned from the walk alone.
func TestWalksAloneCarryAFarmForSixWeeks(t *testing.T) {
	h := newHouse(t)
	add(h, h.book.Standing, domain.Standing{Customer: "INN", Product: "OAK-CASE", Terms: []domain.Term{{From: monday, Cases: 3}}})
	planned := 0
	for week := range 6 {
		day := monday.Add(7 * week)
		h.clock = day.Time().Add(6 * time.Hour)
		_, err := h.book.Counts.Create(t.Context(), owner, domain.Count{Day: day, SpeaksTo: day.Add(6), Whole: true,
			Beds: []domain.BedCount{{Bed: "B1", Variety: "OAK", RaftsNow: 20, RaftsNext: 20}}}, Note{})
		require.NoError(t, err)
		w, err := h.book.Week(t.Context(), owner, day)
		require.NoError(t, err)
		for i, l := range w.Plan.Lines {
			if w.Lines[i].Pickup < day.Add(7) {
				require.Zero(t, l.Short, "week %d", week)
				planned++
			}
		}
	}
	require.GreaterOrEqual(t, planned, 6)
}

func TestBringForwardIsOneAction(t *testing.T) {
	h := newHouse(t)
	first := h.tell(domain.BatchEvent{Step: domain.Sown, Variety: "OAK", Day: monday.Add(-20), Trays: 3})[0].Value.Batch
	before := h.lots(monday)[first]
	_, err := h.book.BringForward(t.Context(), owner, "OAK", 2, monday, "warm week")
	require.NoError(t, err)
	open, err := h.book.Batches(t.Context(), owner, monday)
	require.NoError(t, err)
	require.Equal(t, before.Ready.Add(-2), open[0].Chosen.Ready)
}

func TestTheSowingTableIsAgreed(t *testing.T) {
	h := newHouse(t)
	add(h, h.book.Standing, domain.Standing{Customer: "INN", Product: "OAK-CASE", Terms: []domain.Term{{From: monday, Cases: 20}}})
	table, err := h.book.SowingTable(t.Context(), owner, monday)
	require.NoError(t, err)
	require.NotEmpty(t, table.Rows)
	var rows []domain.SowRow
	for _, r := range table.Rows {
		require.Equal(t, "OAK", r.Variety)
		rows = append(rows, domain.SowRow{Variety: r.Variety, Weekday: r.Weekday, Trays: r.Trays})
	}
	agreed, err := h.book.AgreeTable(t.Context(), owner, rows, Note{Base: 0})
	require.NoError(t, err)
	table, err = h.book.SowingTable(t.Context(), owner, monday)
	require.NoError(t, err)
	for _, r := range table.Rows {
		require.Equal(t, r.Now, r.Trays, "an agreed table keeps")
	}
	_, err = h.book.Trust(t.Context(), owner, "OAK", true, Note{Base: 0})
	require.ErrorIs(t, err, domain.ErrStale)
	for _, yes := range []bool{true, false} {
		_, err = h.book.Trust(t.Context(), owner, "NOPE", yes, Note{Base: agreed.Rev})
		require.ErrorIs(t, err, domain.ErrNotFound)
	}
	trusting, err := h.book.Trust(t.Context(), owner, "OAK", true, Note{Base: agreed.Rev})
	require.NoError(t, err)
	require.Equal(t, []string{"OAK"}, trusting.Value.Learned)
	require.Equal(t, rows, trusting.Value.Table)

	answers, err := h.book.SurgeAsks(t.Context(), owner, monday, domain.Surge{From: monday.Add(39), Variety: "OAK", Heads: 300}) // a Friday
	require.NoError(t, err)
	require.Len(t, answers, 1)
	require.GreaterOrEqual(t, answers[0].Trays, 2)
	require.NotZero(t, answers[0].By)

	covers, err := h.book.SowingCovers(t.Context(), owner, monday, monday, map[string]int{"OAK": 2})
	require.NoError(t, err)
	require.Equal(t, monday.Add(35), covers[0].Ready)
	require.NotEmpty(t, covers[0].Pickups)
	_, err = h.book.SowingCovers(t.Context(), owner, monday, monday.Add(-1), map[string]int{"KALE": 2})
	require.Len(t, faultsOf(t, err), 2)
}

func TestGrowingViews(t *testing.T) {
	h := newHouse(t)
	add(h, h.book.Beds, domain.Bed{Name: "B1", Rafts: 30})
	add(h, h.book.Profiles, domain.Profile{Variety: "OAK", BedDays: 26})
	add(h, h.book.Surges, domain.Surge{From: friday, Percent: 20})
	batch := h.sown()
	view, err := h.book.House(t.Context(), owner, monday)
	require.NoError(t, err)
	require.Equal(t, batch+"/B1", view.Beds[0].Rows[0].Lot.Code)
	require.Equal(t, domain.HalfRafts(40), view.Free)
	look, err := h.book.LookAhead(t.Context(), owner, monday, 6)
	require.NoError(t, err)
	require.NotEmpty(t, look.Rows)
	_, err = h.book.LookAhead(t.Context(), owner, monday, 60)
	require.Equal(t, "between", faultsOf(t, err)[0].Code)
	h.tell(domain.BatchEvent{Step: domain.Lifted, Batch: batch, Day: monday, Rafts: 20, Heads: 333})
	went, err := h.book.HowItWent(t.Context(), owner, monday)
	require.NoError(t, err)
	require.Equal(t, 26.0, went.Went[0].Rafts.PlannedDays)
	require.Equal(t, 25.0, went.Went[0].Rafts.Days)
}

// TestALiftToldAfterThePackingTellsTheBatchAnew: what was taken for lifted is
// struck from the batch, and what was told stands there.
func TestALiftToldAfterThePackingTellsTheBatchAnew(t *testing.T) {
	h := newHouse(t)
	batch := h.sown()
	h.order("INN", "OAK-CASE", 4, tuesday)
	h.packed()
	events := func() (list []domain.BatchEvent) {
		view, err := h.book.Batch(t.Context(), owner, monday, batch)
		require.NoError(t, err)
		for _, e := range domain.Holding(view.Told) {
			if e.Step == domain.Lifted {
				list = append(list, *e)
			}
		}
		return list
	}
	planned := events()
	require.Len(t, planned, 1, "what was packed was lifted")
	lift, err := h.lifted(43, 2, "")
	require.NoError(t, err)
	require.Equal(t, planned[0].Lift, lift.Instead)
	told := events()
	require.Len(t, told, 1, "one lift stands in the batch")
	require.Equal(t, [2]domain.Heads{43, 2}, [2]domain.Heads{told[0].Heads, told[0].Culls})
	require.Equal(t, lift.ID, told[0].Lift)
	view, err := h.book.Batch(t.Context(), owner, monday, batch)
	require.NoError(t, err)
	steps := []domain.BatchStep{}
	for _, e := range view.Told {
		steps = append(steps, e.Step)
	}
	require.Contains(t, steps, domain.Struck, "that it was taken for lifted stays on record")
	_, loose, cased := h.stands(monday)
	require.Equal(t, [2]int{3, 40}, [2]int{loose, cased})
}
