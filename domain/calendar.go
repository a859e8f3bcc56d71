package domain

import (
	"slices"
	"time"
)

// Exception is one day on which the calendar differs from the week.
type Exception struct {
	ID      string        `json:"id,omitempty" validate:"omitempty,code"`
	Day     Day           `json:"day" validate:"required"`
	Kind    ExceptionKind `json:"kind" validate:"oneof=closed extra moved no_harvest extra_harvest"`
	Carrier string        `json:"carrier,omitempty"` // "": every carrier
	To      Day           `json:"to,omitzero"`       // moved: the day taken instead
	Note    string        `json:"note,omitempty" validate:"max=200,line"`
}

// ExceptionKind is how a day differs.
type ExceptionKind string

// A closed day has no pickup and its standing orders are dropped with a
// notice; a moved one hands them to another day; an extra day has a pickup
// that the week has not. The crew's harvest days differ likewise.
const (
	Closed       ExceptionKind = "closed"
	Extra        ExceptionKind = "extra"
	Moved        ExceptionKind = "moved"
	NoHarvest    ExceptionKind = "no_harvest"
	ExtraHarvest ExceptionKind = "extra_harvest"
)

// Check holds an exception against what the tags cannot say.
func (e *Exception) Check() Faults {
	faults := Check(e)
	switch {
	case e.Kind == Moved && e.To == 0:
		faults.Add("to", "required")
	case e.Kind == Moved && e.To == e.Day:
		faults.Add("to", "same_day")
	case e.Kind != Moved && e.To != 0:
		faults.Add("to", "only_when_moved")
	}
	if e.Carrier != "" && (e.Kind == NoHarvest || e.Kind == ExtraHarvest) {
		faults.Add("carrier", "not_for_harvest")
	}
	return faults
}

// Contradicts says whether two exceptions cannot both hold: they say different
// things of one day and one carrier, or one hands its pickup to a day that the
// other closes.
func (e *Exception) Contradicts(o *Exception) bool {
	if e.Carrier != "" && o.Carrier != "" && e.Carrier != o.Carrier {
		return false
	}
	into := func(a, b *Exception) bool {
		return a.Kind == Moved && a.To == b.Day && (b.Kind == Closed || b.Kind == Moved)
	}
	if into(e, o) || into(o, e) {
		return true
	}
	return e.Day == o.Day && e.ofHarvest() == o.ofHarvest() && (e.Kind != o.Kind || e.To != o.To)
}

// ofHarvest says whether an exception is of the crew's days, not of pickups.
func (e *Exception) ofHarvest() bool { return e.Kind == NoHarvest || e.Kind == ExtraHarvest }

// MoveReach is how many days a pickup may lie from the day it was ordered for.
const MoveReach = 31

// Calendar answers which days have a pickup or a harvest. It is made of the
// carriers' weeks and the exceptions, and holds no clock: instants become days
// in Zone and nowhere else.
type Calendar struct {
	Zone       *time.Location
	Harvest    Weekdays
	carriers   map[string]Carrier
	exceptions map[Day][]Exception
}

// NewCalendar makes the calendar of a farm.
func NewCalendar(farm Farm, carriers []Carrier, exceptions []Exception) *Calendar {
	zone, err := time.LoadLocation(farm.Zone)
	if err != nil {
		zone = time.UTC
	}
	c := &Calendar{Zone: zone, Harvest: farm.Harvest, carriers: map[string]Carrier{}, exceptions: map[Day][]Exception{}}
	for _, x := range carriers {
		c.carriers[x.Code] = x
	}
	for _, x := range exceptions {
		c.exceptions[x.Day] = append(c.exceptions[x.Day], x)
		if x.Kind == Moved {
			c.exceptions[x.To] = append(c.exceptions[x.To], Exception{Day: x.To, Kind: Extra, Carrier: x.Carrier})
		}
	}
	return c
}

// Today is the farm's day at an instant.
func (c *Calendar) Today(now time.Time) Day { return DayOf(now.In(c.Zone)) }

// At is the instant of a clock time on a day, by the farm's zone. Where the
// clocks skip that hour it is the same length of time after midnight.
func (c *Calendar) At(d Day, at Clock) time.Time {
	y, m, dd := d.Date()
	return time.Date(y, m, dd, int(at)/60, int(at)%60, 0, 0, c.Zone)
}

// PicksUp says whether a carrier comes on a day.
func (c *Calendar) PicksUp(carrier string, d Day) bool {
	x, known := c.carriers[carrier]
	if !known {
		return false
	}
	comes := x.Pickups.Has(d.Weekday())
	for _, e := range c.exceptions[d] {
		if e.Carrier != "" && e.Carrier != carrier {
			continue
		}
		switch e.Kind {
		case Closed, Moved:
			return false
		case Extra:
			comes = true
		}
	}
	return comes
}

// MovedTo is the day to which a carrier's pickup of d was moved, if it was.
func (c *Calendar) MovedTo(carrier string, d Day) (Day, bool) {
	for _, e := range c.exceptions[d] {
		if e.Kind == Moved && (e.Carrier == "" || e.Carrier == carrier) {
			return e.To, true
		}
	}
	return 0, false
}

// Lifts says whether the crew harvests on a day.
func (c *Calendar) Lifts(d Day) bool {
	lifts := c.Harvest.Has(d.Weekday())
	for _, e := range c.exceptions[d] {
		switch e.Kind {
		case NoHarvest:
			return false
		case ExtraHarvest:
			lifts = true
		}
	}
	return lifts
}

// NextLift is the first harvest day on or after d, looking a year ahead.
func (c *Calendar) NextLift(d Day) (Day, bool) {
	for i := range 366 {
		if c.Lifts(d.Add(i)) {
			return d.Add(i), true
		}
	}
	return 0, false
}

// NextPickup is a carrier's first pickup on or after d, looking a year ahead.
func (c *Calendar) NextPickup(carrier string, d Day) (Day, bool) {
	for i := range 366 {
		if c.PicksUp(carrier, d.Add(i)) {
			return d.Add(i), true
		}
	}
	return 0, false
}

// PickupDays lists the days from first to last on which any carrier comes.
func (c *Calendar) PickupDays(first, last Day) []Day {
	var days []Day
	for d := first; d <= last; d++ {
		for code := range c.carriers {
			if c.PicksUp(code, d) {
				days = append(days, d)
				break
			}
		}
	}
	return days
}

// Carriers lists who comes on a day, by hour and then code.
func (c *Calendar) Carriers(d Day) (list []Carrier) {
	for code, x := range c.carriers {
		if c.PicksUp(code, d) {
			list = append(list, x)
		}
	}
	slices.SortFunc(list, func(a, b Carrier) int {
		if a.Hour != b.Hour {
			return int(a.Hour - b.Hour)
		}
		if a.Code < b.Code {
			return -1
		}
		return 1
	})
	return list
}

// Cutoff is the instant at which a carrier's pickup of day d closes. One that
// has told no cut-off closes when it comes, or where it has told no hour either,
// at the end of that day.
func (c *Calendar) Cutoff(carrier string, d Day) time.Time {
	x := c.carriers[carrier]
	switch {
	case x.CutoffDays != 0 || x.CutoffHour != 0:
		return c.At(d.Add(-x.CutoffDays), x.CutoffHour)
	case x.Hour != 0:
		return c.At(d, x.Hour)
	}
	return c.At(d.Add(1), 0)
}
