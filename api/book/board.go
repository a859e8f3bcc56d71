package book

import (
	"cmp"
	"context"
	"slices"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner"
)

// Board is one pickup day with what must be decided before it closes, all of
// one moment of the book.
type Board struct {
	*Day
	AsOf    domain.Day
	Cutoffs []Cutoff                           // of the day's carriers, the earliest first
	Settled map[string]Record[domain.Decision] // by the lines' base ids
	Parked  []Record[domain.ParkedRow]         // rows of sheets that wait for an answer
	MoveTo  map[string][]domain.Day            // carrier -> its other pickup days that the plan covers
	Sowed   struct{ Products, Customers int }  // what the book holds, for a farm that has just begun
	States  map[domain.Day]DayState            // every day the plan covers
}

// Cutoff is the instant at which a carrier's pickup closes.
type Cutoff struct {
	Carrier domain.Carrier
	At      time.Time
}

// DayState is the cases of one day.
type DayState struct {
	Asked, Filled, Firm, Short, Broken, Promised domain.Cases
	NotCounted                                   domain.Cases // of those short, cases for which nothing was counted
	Unpromised                                   domain.Cases // sure, and no word given for them
}

// Board is the pickup day as planned as of a day.
func (b *Book) Board(ctx context.Context, who Person, asOf, pickup domain.Day) (*Board, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*Board, error) {
		day, facts, err := b.pickupDay(tx, asOf, pickup)
		if err != nil {
			return nil, err
		}
		board := &Board{Day: day, AsOf: asOf}
		closings, err := closingsOf(tx, pickup)
		if err != nil {
			return nil, err
		}
		board.calendar(facts, closings)
		board.States = states(facts, day.Week)
		if board.Settled, err = settled(tx, board.Lines); err != nil {
			return nil, err
		}
		board.Parked, err = parked(tx, pickup)
		return board, err
	})
}

// calendar adds when the day closes and where its lines could go instead.
func (b *Board) calendar(f *domain.Facts, closings map[string]domain.Closing) {
	cal := f.Calendar()
	b.MoveTo = map[string][]domain.Day{}
	for _, c := range b.Carriers {
		b.Cutoffs = append(b.Cutoffs, Cutoff{c, closes(cal, closings, c.Code, b.Pickup)})
	}
	slices.SortStableFunc(b.Cutoffs, func(x, y Cutoff) int { return x.At.Compare(y.At) })
	for _, c := range f.Carriers {
		for _, d := range b.Week.Problem.PickupDays {
			if d != b.Pickup && cal.PicksUp(c.Code, d) {
				b.MoveTo[c.Code] = append(b.MoveTo[c.Code], d)
			}
		}
	}
}

// States is how every pickup day that the plan covers stands, and those days.
func (b *Book) States(ctx context.Context, who Person, asOf domain.Day) (map[domain.Day]DayState, []domain.Day, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, nil, err
	}
	var days []domain.Day
	all, err := store.Read(ctx, b.store, func(tx *store.Tx) (map[domain.Day]DayState, error) {
		facts, w, err := b.weekWithFacts(tx, asOf)
		if err != nil {
			return nil, err
		}
		days = w.Problem.PickupDays
		return states(facts, w), nil
	})
	return all, days, err
}

func states(f *domain.Facts, w *planner.Week) map[domain.Day]DayState {
	all := map[domain.Day]DayState{}
	for _, d := range w.Problem.PickupDays {
		var s DayState
		for _, l := range NewDay(f, w, d).Lines {
			s.add(l)
		}
		all[d] = s
	}
	return all
}

func (s *DayState) add(l DayLine) {
	s.Asked += domain.Cases(l.Plan.Cases - l.Plan.Cut)
	s.Filled += domain.Cases(l.Plan.Filled)
	s.Firm += domain.Cases(l.Plan.Firm)
	s.Short += domain.Cases(l.Plan.Short)
	s.Broken += domain.Cases(l.Plan.Broken)
	s.Promised += l.Promised
	s.Unpromised += max(0, domain.Cases(l.Plan.Firm)-l.Promised)
	if !l.Counted {
		s.NotCounted += domain.Cases(l.Plan.Short)
	}
}

// State is what the office would call a day: the worst that is true of it.
func (s DayState) State() LineState {
	switch {
	case s.Broken > 0:
		return StateBroken
	case s.Short > s.NotCounted:
		return StateShort
	case s.NotCounted > 0:
		return StateNotCounted
	case s.Filled > s.Firm:
		return StateAtRisk
	}
	return StateSure
}

// LineState is how a line, a cell or a day stands.
type LineState string

// The states from the worst; NotCounted is apart from Short, since nobody has
// looked yet.
const (
	StateBroken     LineState = "broken"     // a word given cannot be kept
	StateShort      LineState = "short"      // counted, and not enough
	StateNotCounted LineState = "notcounted" // nothing was counted for that day
	StateAtRisk     LineState = "risk"       // there if all comes in
	StateSure       LineState = "sure"
)

// State is how a line stands.
func (l *DayLine) State() LineState { return stateOf(l.Plan, l.Counted) }

func stateOf(p planning.LinePlan, counted bool) LineState {
	switch {
	case p.Broken > 0:
		return StateBroken
	case p.Short > 0 && !counted:
		return StateNotCounted
	case p.Short > 0:
		return StateShort
	case p.Filled > p.Firm:
		return StateAtRisk
	}
	return StateSure
}

// settled is what was decided about lines.
func settled(tx *store.Tx, lines []DayLine) (map[string]Record[domain.Decision], error) {
	all := map[string]Record[domain.Decision]{}
	if len(lines) == 0 {
		return all, nil
	}
	first := lines[0].Pickup
	for _, l := range lines {
		first = min(first, cmp.Or(l.MovedFrom, first))
	}
	records, err := store.Decisions.List(tx, Query{From: map[string]string{"day": first.String()}})
	for _, r := range records {
		all[r.Value.Line] = r
	}
	return all, err
}

// parked is the rows of a day that still wait for an answer.
func parked(tx *store.Tx, day domain.Day) (open []Record[domain.ParkedRow], err error) {
	rows, err := store.Parked.List(tx, Query{Equal: map[string]string{"day": day.String()}})
	for _, r := range rows {
		if r.Value.Done == "" {
			open = append(open, r)
		}
	}
	return open, err
}
