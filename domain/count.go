package domain

import (
	"strconv"
	"time"
)

// at is the place of a field of the i-th entry of a list.
func at(list string, i int, field string) string {
	place := list + "[" + strconv.Itoa(i) + "]"
	if field != "" {
		place += "." + field
	}
	return place
}

// Count is one walk through the house: what stands in the beds and lies in the
// cooler. It replaces what was known before of every bed it names; with Whole,
// of all of them.
type Count struct {
	ID       string        `json:"id,omitempty" validate:"omitempty,code"`
	Day      Day           `json:"day" validate:"required"` // the day of the walk
	SpeaksTo Day           `json:"speaks_to,omitzero"`      // the last harvest day it speaks of; none: the second after Day
	Whole    bool          `json:"whole,omitempty"`         // every bed was walked
	Cooler   bool          `json:"cooler,omitempty"`        // the cooler was counted too
	Beds     []BedCount    `json:"beds" validate:"max=5000,dive"`
	Loose    []LooseHeads  `json:"loose,omitempty" validate:"max=5000,dive"`
	Packed   []PackedCount `json:"packed,omitempty" validate:"max=5000,dive"`
	Note     string        `json:"note,omitempty" validate:"max=400"`
	At       time.Time     `json:"at,omitzero"` // when it was told
}

// BedCount is what one bed holds of one variety: rafts or heads that can be
// lifted now, by the next harvest day after the walk, and by the one after it.
// Rafts become heads by HeadsPerRaft, else by the variety's figure.
type BedCount struct {
	Bed          string    `json:"bed" validate:"required,max=40,line"`
	Place        *int      `json:"place,omitempty" validate:"omitempty,min=0,max=1000000"` // lower is nearer the harvest end
	Variety      string    `json:"variety" validate:"required"`
	RaftsNow     HalfRafts `json:"rafts_now,omitempty" validate:"min=0,max=2000000"`
	RaftsNext    HalfRafts `json:"rafts_next,omitempty" validate:"min=0,max=2000000"`
	RaftsAfter   HalfRafts `json:"rafts_after,omitempty" validate:"min=0,max=2000000"`
	HeadsNow     Heads     `json:"heads_now,omitempty" validate:"min=0,max=1000000"`
	HeadsNext    Heads     `json:"heads_next,omitempty" validate:"min=0,max=1000000"`
	HeadsAfter   Heads     `json:"heads_after,omitempty" validate:"min=0,max=1000000"`
	Poor         HalfRafts `json:"rafts_poor,omitempty" validate:"min=0,max=2000000"` // of those above, not fit to sell
	HeadsPerRaft *Heads    `json:"heads_per_raft,omitempty" validate:"omitempty,min=1,max=1000"`
	LastDay      Day       `json:"last_day,omitzero"` // the last good day; none: by the variety's ready days
}

// LooseHeads is heads of one variety and one pull in the cooler.
type LooseHeads struct {
	Variety string `json:"variety" validate:"required"`
	Heads   Heads  `json:"heads" validate:"min=0,max=1000000"`
	Pulled  Day    `json:"pulled" validate:"required"`
}

// PackedCount is packed cases in the cooler.
type PackedCount struct {
	Product  string         `json:"product" validate:"required"`
	Cases    Cases          `json:"cases" validate:"min=0,max=1000000"`
	Trace    string         `json:"trace,omitempty" validate:"max=60,line"`     // their traceability lot code, where it could be read
	Pulled   Day            `json:"pulled" validate:"required"`                 // of their oldest head
	Contents []VarietyHeads `json:"contents,omitempty" validate:"max=100,dive"` // per case; none: the product's first choices
	Line     string         `json:"line,omitempty" validate:"max=200"`
}

// PackedCode is the code under which the i-th of the packed cases is held.
func (c *Count) PackedCode(i int) string {
	return "cooler/" + c.Packed[i].Product + "/" + c.ID + "." + strconv.Itoa(i+1)
}

// VarietyHeads is so many heads of a variety.
type VarietyHeads struct {
	Variety string `json:"variety" validate:"required"`
	Heads   Heads  `json:"heads" validate:"min=1,max=1000000"`
}

// Check holds a count against what the tags cannot say.
func (c *Count) Check() Faults {
	faults := Check(c)
	if c.SpeaksTo != 0 && c.SpeaksTo < c.Day {
		faults.Add("speaks_to", "before_from", "from", c.Day)
	}
	seen := map[[2]string]int{}
	for i, b := range c.Beds {
		if b.LastDay != 0 && b.LastDay < c.Day {
			faults.Add(at("beds", i, "last_day"), "before_from", "from", c.Day)
		}
		if rafts := b.RaftsNow + b.RaftsNext + b.RaftsAfter; b.Poor > rafts && rafts > 0 {
			faults.Add(at("beds", i, "rafts_poor"), "more_poor_than_rafts", "limit", rafts.String())
		}
		if b.Place == nil {
			key := [2]string{b.Bed, b.Variety}
			if first, twice := seen[key]; twice {
				faults.Add(at("beds", i, "place"), "same_bed_and_variety", "other", at("beds", first, ""))
			}
			seen[key] = i
		}
	}
	for i, l := range c.Loose {
		if l.Pulled > c.Day {
			faults.Add(at("loose", i, "pulled"), "after_count", "limit", c.Day)
		}
	}
	for i, p := range c.Packed {
		if p.Pulled > c.Day {
			faults.Add(at("packed", i, "pulled"), "after_count", "limit", c.Day)
		}
	}
	return faults
}
