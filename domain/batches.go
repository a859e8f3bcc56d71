package domain

import (
	"cmp"
	"slices"
)

// Batch is one sowing, as far as its events up to a day tell.
type Batch struct {
	Code    string
	Variety string
	SeedLot string
	Sown    Day
	Trays   int
	Cells   int // per tray; 0: the farm's
	Sets    []*BatchEvent
	Lifts   []*BatchEvent
	Losses  []*BatchEvent
	Counted *BatchEvent // the last count of the batch itself
	Brought []*BatchEvent
	Ended   Day           // the day it was said to be finished
	Events  []*BatchEvent // all of its own that hold, by day
}

// Holding is the events that hold: those that no other event corrects or
// strikes, by day and then in the order in which they were told.
func Holding(events []BatchEvent) []*BatchEvent {
	corrected := map[string]bool{}
	for i := range events {
		if events[i].Corrects != "" {
			corrected[events[i].Corrects] = true
		}
	}
	holding := make([]*BatchEvent, 0, len(events))
	for i := range events {
		if e := &events[i]; e.Step != Struck && !corrected[e.ID] {
			holding = append(holding, e)
		}
	}
	byDay := func(a, b *BatchEvent) int {
		if a.Day != b.Day {
			return cmp.Compare(a.Day, b.Day)
		}
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID))
	}
	if !slices.IsSortedFunc(holding, byDay) {
		slices.SortStableFunc(holding, byDay)
	}
	return holding
}

// Batches are the batches sown up to and on a day, by the day they were sown and
// their code, told by the holding events up to that day. An event of a batch
// whose sowing is not on record says nothing.
func Batches(holding []*BatchEvent, asOf Day) []*Batch {
	byCode, list := map[string]*Batch{}, []*Batch{}
	for _, e := range holding {
		if e.Step == Sown && e.Day <= asOf && byCode[e.Batch] == nil {
			b := &Batch{Code: e.Batch, Variety: e.Variety, SeedLot: e.SeedLot, Sown: e.Day, Trays: e.Trays, Cells: e.Cells}
			byCode[e.Batch], list = b, append(list, b)
		}
	}
	for _, e := range holding {
		switch b := byCode[e.Batch]; {
		case e.Day > asOf:
		case b != nil:
			b.take(e)
		case e.Step == Brought:
			for _, b := range list {
				if b.Variety == e.Variety && b.Sown < e.Day && b.Ended == 0 {
					b.Brought = append(b.Brought, e)
				}
			}
		}
	}
	slices.SortStableFunc(list, func(a, b *Batch) int { return cmp.Or(cmp.Compare(a.Sown, b.Sown), cmp.Compare(a.Code, b.Code)) })
	return list
}

func (b *Batch) take(e *BatchEvent) {
	b.Events = append(b.Events, e)
	switch e.Step {
	case SetOut:
		b.Sets = append(b.Sets, e)
	case Lifted:
		b.Lifts = append(b.Lifts, e)
	case Lost:
		b.Losses = append(b.Losses, e)
	case Counted:
		b.Counted = e
	case Finished:
		b.Ended = e.Day
	}
}

// FirstSet is the day it was first set into rafts; no day before that.
func (b *Batch) FirstSet() Day {
	if len(b.Sets) == 0 {
		return 0
	}
	return b.Sets[0].Day
}

// Rafts is the rafts it was set into, and those of them lifted as far as told.
func (b *Batch) Rafts() (set, lifted HalfRafts) {
	for _, e := range b.Sets {
		set += e.Rafts
	}
	for _, e := range b.Lifts {
		lifted += e.Rafts
	}
	return set, lifted
}

// LiftedHeads is the good heads and the culls lifted so far.
func (b *Batch) LiftedHeads() (good, culls Heads) {
	for _, e := range b.Lifts {
		good, culls = good+e.Heads, culls+e.Culls
	}
	return good, culls
}

// LostBeforeSet and LostAfterSet are what was thrown away of it: trays count by
// their cells.
func (b *Batch) LostBeforeSet(cells int) (n Heads) { return b.lost(cells, false) }

// LostAfterSet is LostBeforeSet for what already stood on rafts.
func (b *Batch) LostAfterSet(cells int) (n Heads) { return b.lost(cells, true) }

func (b *Batch) lost(cells int, after bool) (n Heads) {
	first := b.FirstSet()
	for _, e := range b.Losses {
		if (first != 0 && e.Day >= first && e.Trays == 0) == after {
			n += e.Heads + Heads(e.Trays*cells)
		}
	}
	return n
}
