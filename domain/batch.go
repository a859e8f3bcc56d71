package domain

import (
	"slices"
	"strings"
	"time"
)

// BatchStep is what happened to a batch.
type BatchStep string

// Sown, set into rafts and lifted are enough to run a batch; the others may be
// recorded and are never asked for. Brought moves the day on which every batch
// of a variety that now grows is thought to be ready. Struck says that an
// earlier event never happened.
const (
	Sown       BatchStep = "sown"        // Trays of Variety were sown; the batch begins
	Germinated BatchStep = "germinated"  // the trays came out of the dark
	UnderLight BatchStep = "under_light" // the trays went under lights
	SetOut     BatchStep = "set"         // Rafts of it were set into Bed
	Counted    BatchStep = "counted"     // Heads good ones were seen in it, ready on Ready
	Lost       BatchStep = "lost"        // Trays or Heads of it were thrown away, and Why
	Lifted     BatchStep = "lifted"      // Heads good ones and Culls were lifted, off Rafts where told
	Finished   BatchStep = "finished"    // nothing of it stands any more
	Brought    BatchStep = "brought"     // Variety is ready Days later than thought; below 0 earlier
	Struck     BatchStep = "struck"
)

// BatchEvent is one thing that happened in the house. Events are added and
// never changed: a wrong one is corrected by another that names it.
type BatchEvent struct {
	ID       string    `json:"id,omitempty" validate:"omitempty,code"`
	Batch    string    `json:"batch,omitempty" validate:"omitempty,code"` // none for brought
	Step     BatchStep `json:"step" validate:"oneof=sown germinated under_light set counted lost lifted finished brought struck"`
	Day      Day       `json:"day" validate:"required"`
	Variety  string    `json:"variety,omitempty"`
	Trays    int       `json:"trays,omitempty" validate:"min=0,max=100000"`
	Cells    int       `json:"cells_per_tray,omitempty" validate:"min=0,max=2000"` // sown; none: the farm's
	SeedLot  string    `json:"seed_lot,omitempty" validate:"max=60,line"`
	Rafts    HalfRafts `json:"rafts,omitempty" validate:"min=0,max=2000000"`
	Bed      string    `json:"bed,omitempty" validate:"max=40,line"`
	Heads    Heads     `json:"heads,omitempty" validate:"min=0,max=1000000"` // set: plants set, where not whole rafts
	Culls    Heads     `json:"culls,omitempty" validate:"min=0,max=1000000"`
	Ready    Day       `json:"ready,omitzero"`
	Days     int       `json:"days,omitempty" validate:"min=-60,max=60"`
	Why      string    `json:"why,omitempty" validate:"max=200,line"`
	Corrects string    `json:"corrects,omitempty" validate:"omitempty,code"` // the event this one stands instead of
	Lift     string    `json:"lift,omitempty" validate:"omitempty,code"`     // lifted: the lift it is part of
	At       time.Time `json:"at,omitzero"`                                  // when it was told
}

// needs says of each step which figures it cannot do without and which it has
// no use for.
var needs = map[BatchStep]struct{ must, may string }{
	Sown:       {"batch variety trays", "cells_per_tray seed_lot"},
	Germinated: {"batch", ""},
	UnderLight: {"batch", ""},
	SetOut:     {"batch rafts bed", "heads"},
	Counted:    {"batch", "heads ready"},
	Lost:       {"batch", "heads trays"},
	Lifted:     {"batch", "heads culls rafts bed lift"},
	Finished:   {"batch", ""},
	Brought:    {"variety days", ""},
	Struck:     {"corrects", "batch"},
}

// Check holds an event against what the tags cannot say.
func (e *BatchEvent) Check() Faults {
	faults := Check(e)
	need, known := needs[e.Step]
	if !known {
		return faults
	}
	for _, f := range []struct {
		name string
		told bool
	}{{"batch", e.Batch != ""}, {"variety", e.Variety != ""}, {"trays", e.Trays != 0}, {"cells_per_tray", e.Cells != 0},
		{"seed_lot", e.SeedLot != ""}, {"rafts", e.Rafts != 0}, {"bed", e.Bed != ""}, {"heads", e.Heads != 0},
		{"culls", e.Culls != 0}, {"ready", e.Ready != 0}, {"days", e.Days != 0}, {"corrects", e.Corrects != ""}} {
		switch {
		case !f.told && hasWord(need.must, f.name):
			faults.Add(f.name, "required")
		case f.told && f.name != "corrects" && !hasWord(need.must, f.name) && !hasWord(need.may, f.name):
			faults.Add(f.name, "not_for_step", "step", string(e.Step))
		}
	}
	switch {
	case e.Step == Counted && e.Heads == 0 && e.Ready == 0,
		e.Step == Lost && e.Heads == 0 && e.Trays == 0,
		e.Step == Lifted && e.Heads == 0 && e.Culls == 0:
		faults.Add("heads", "required")
	}
	return faults
}

func hasWord(words, word string) bool { return slices.Contains(strings.Fields(words), word) }
