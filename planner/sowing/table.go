package sowing

import (
	"maps"
	"slices"
	"strings"

	"headtally/domain"
)

// Table is what to sow.
type Table struct {
	Rows    []Row    // the weekly table, by variety and day of the week
	Sowings []Dated  // what to sow on each day, by day and variety
	Gives   []Give   // what had to give for want of space, least loss first
	Pickups []Served // how each pickup fares, by variety and day
}

// Row is one row of the weekly table, with the change it proposes and why.
type Row struct {
	Variety string
	Weekday string
	Now     int // trays of the farm's table
	Trays   int // proposed
	Reason  Reason
	Heads   float64 // wanted a week, on average
	Listed  float64 // of them on the book
	Usual   float64 // one-offs that usually still come
	Gives   int     // heads that so many trays are expected to give
	Sure    int     // and to count on
}

// Reason says why a number of trays is what it is.
type Reason string

// The reasons for a row of the weekly table, and for a day that differs from it.
const (
	Keeps         Reason = "keeps"          // the table as it is does
	MoreListed    Reason = "more_listed"    // even the expected heads do not cover what is wanted
	NotSure       Reason = "not_sure"       // they do, but not as often as the farm wishes
	FewerDo       Reason = "fewer_do"       // fewer trays are sure enough
	NothingListed Reason = "nothing_listed" // nobody wants any
	ForSurge      Reason = "surge"          // a surge is expected
	ShortOnTheWay Reason = "short"          // what is on the way falls short
	NoSpace       Reason = "no_space"       // the nursery or the beds are full
)

// Dated is what to sow of a variety on one day.
type Dated struct {
	Day      domain.Day
	Variety  string
	Trays    int // still to sow
	Steady   int // of them by the weekly table
	Reason   Reason
	TooLate  domain.Day // too late after this day for the first pickup that needs it
	For      domain.Day // that pickup
	Set      domain.Day
	Ready    domain.Day
	Expected int // heads
	Cautious int
	Spare    int // seedlings over what is wanted of it on average
}

// Served is how a pickup of a variety is expected to fare under the table.
type Served struct {
	Variety  string
	Day      domain.Day
	Wanted   float64
	Expected float64    // heads that could go to it
	Sure     float64    // and to count on
	Met      bool       // as surely as was asked
	Short    float64    // heads short on average
	TooLate  domain.Day // the last day on which sowing could still mend it; none: it has passed
}

// Plan makes the table.
func Plan(h *House) *Table {
	t := &Table{}
	walks := make([]*walk, len(h.Crops))
	steady := make([]map[string]int, len(h.Crops))
	for i := range h.Crops {
		c := &h.Crops[i]
		steady[i] = h.steady(c)
		walks[i] = h.walk(c, h.floor(c, steady[i]), true)
	}
	t.Gives = h.fit(walks)
	for i, w := range walks {
		t.Rows = append(t.Rows, h.rows(w, steady[i])...)
		t.Sowings = append(t.Sowings, h.dated(w, steady[i], t.Gives)...)
		t.Pickups = append(t.Pickups, h.served(w)...)
	}
	slices.SortStableFunc(t.Sowings, func(a, b Dated) int { return a.Day.Sub(b.Day) })
	return t
}

// steady is the trays of each day of the week: the farm's own number, unless at
// least two in three of the coming weeks want more, or fewer, of it; then the
// number most of them want. So the table changes by whole trays and seldom.
func (h *House) steady(c *Crop) map[string]int {
	calm := *c
	calm.Pickups = slices.Clone(c.Pickups)
	for i := range calm.Pickups {
		calm.Pickups[i].Surge = min(0, calm.Pickups[i].Surge)
	}
	need := h.walk(&calm, nil, true)
	weeks := map[string][]int{}
	for _, d := range h.SowDays {
		weeks[weekday(d)] = append(weeks[weekday(d)], need.trays[d]+h.sown(c, d))
	}
	rows := map[string]int{}
	for name, wants := range weeks {
		slices.Sort(wants)
		now, third := c.Now(name), len(wants)/3
		switch {
		case wants[third] > now, wants[len(wants)-1-third] < now:
			rows[name] = wants[len(wants)/2]
		default:
			rows[name] = now
		}
	}
	return rows
}

// floor is the table's trays on each sowing day, less what was sown already.
func (h *House) floor(c *Crop, steady map[string]int) map[domain.Day]int {
	trays := map[domain.Day]int{}
	for _, d := range h.SowDays {
		trays[d] = max(0, steady[weekday(d)]-h.sown(c, d))
	}
	return trays
}

// sown is the trays sown on a day already.
func (h *House) sown(c *Crop, d domain.Day) int {
	if d == h.AsOf {
		return c.Sown
	}
	return 0
}

func weekday(d domain.Day) string { return strings.ToLower(d.Weekday().String()[:3]) }

// rows are the weekly table's rows of one variety.
func (h *House) rows(w *walk, steady map[string]int) (rows []Row) {
	c := w.crop
	heads, listed, usual := h.perWeek(c)
	for _, name := range slices.SortedFunc(maps.Keys(steady), func(a, b string) int { return order(a) - order(b) }) {
		r := Row{Variety: c.Variety, Weekday: name, Now: c.Now(name), Trays: steady[name], Heads: heads, Listed: listed, Usual: usual}
		if r.Now == 0 && r.Trays == 0 {
			continue
		}
		for _, d := range h.SowDays {
			if weekday(d) == name {
				r.Gives, r.Sure = c.Sowing(d).Heads(r.Trays)
				break
			}
		}
		r.Reason = h.reason(c, r)
		rows = append(rows, r)
	}
	return rows
}

// reason says why a row's trays differ from the farm's table.
func (h *House) reason(c *Crop, r Row) Reason {
	switch {
	case r.Trays == r.Now:
		return Keeps
	case r.Trays == 0 && r.Heads == 0:
		return NothingListed
	case r.Trays < r.Now:
		return FewerDo
	}
	given := 0
	days := map[string]bool{}
	for _, d := range h.SowDays {
		if !days[weekday(d)] {
			days[weekday(d)] = true
			expected, _ := c.Sowing(d).Heads(c.Now(weekday(d)))
			given += expected
		}
	}
	if float64(given) < r.Heads {
		return MoreListed
	}
	return NotSure
}

func order(weekday string) int {
	return slices.Index([]string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"}, weekday)
}

// perWeek is the heads wanted a week, over all pickups looked at.
func (h *House) perWeek(c *Crop) (heads, listed, usual float64) {
	if len(c.Pickups) == 0 {
		return 0, 0, 0
	}
	weeks := float64(c.Pickups[len(c.Pickups)-1].Day.Sub(h.AsOf)+7) / 7
	for i := range c.Pickups {
		p := &c.Pickups[i]
		heads += p.Heads() / weeks
		listed += (p.Listed[0] + p.Listed[1] + p.Listed[2]) / weeks
		usual += p.Usual / weeks
	}
	return heads, listed, usual
}
