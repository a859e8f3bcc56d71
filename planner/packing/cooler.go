package packing

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// daily counts something on every day from the first to the last: entries are
// put in as spans, and added up once.
type daily struct {
	first domain.Day
	steps []int // day -> how much more than on the day before
}

func newDaily(first, last domain.Day) *daily {
	return &daily{first: first, steps: make([]int, max(0, last.Sub(first)+2))}
}

// add counts n on every day from one to another, both counted.
func (d *daily) add(from, until domain.Day, n int) {
	end := d.first.Add(len(d.steps) - 2)
	from, until = max(from, d.first), min(until, end)
	if from <= until {
		d.steps[from.Sub(d.first)] += n
		d.steps[until.Sub(d.first)+1] -= n
	}
}

// sums is the count day by day.
func (d *daily) sums() []int {
	if len(d.steps) == 0 {
		return nil
	}
	sums := make([]int, len(d.steps)-1)
	at := 0
	for i := range sums {
		at += d.steps[i]
		sums[i] = at
	}
	return sums
}

// printCooler writes the cooler's days, from as_of to the last pickup.
func (h *harvest) printCooler() {
	if len(h.PickupDays) == 0 {
		return
	}
	last := h.PickupDays[len(h.PickupDays)-1]
	cases, trays := h.casesStanding(last), h.traysOf(h.stays, last)
	for i := range cases {
		c := planning.CoolerDay{Day: h.AsOf.Add(i), Cases: cases[i], CaseSpaces: h.Cooler.CaseSpaces,
			Trays: trays[i], TraySpaces: h.Cooler.TraySpaces}
		c.CasesOver = max(0, c.Cases-c.CaseSpaces)
		c.TraysOver = max(0, c.Trays-c.TraySpaces)
		h.plan.Cooler = append(h.plan.Cooler, c)
	}
}

// casesStanding is the cases at the end of each day: packed by then and not
// picked up, those packed on their own pickup day, and the packed cases on hand
// until they leave.
func (w *bench) casesStanding(last domain.Day) []int {
	d := newDaily(w.AsOf, last)
	for _, r := range w.plan.Runs {
		d.add(r.Pack, max(r.Pack, r.Pickup.Add(-1)), r.Cases)
	}
	for _, left := range w.packedLeft() {
		d.add(w.AsOf, last, left)
	}
	for i := range w.plan.Lines {
		for _, p := range w.plan.Lines[i].Packed {
			d.add(w.AsOf, w.Lines[i].Pickup.Add(-1), p.Cases)
		}
	}
	return d.sums()
}

// traysOf is the trays of loose heads after each morning's pull and before
// packing starts, when so many heads of bed lots lie there beside those of
// cooler lots; a tray holds one variety of one pull day.
func (w *bench) traysOf(ofBeds []stay, last domain.Day) []int {
	type change struct {
		variety     int
		pulled, day domain.Day
		heads       int
	}
	stays := append(w.chilledStays(), ofBeds...)
	changes := make([]change, 0, 2*len(stays))
	for _, s := range stays {
		changes = append(changes, change{s.variety, s.pulled, s.from, s.heads},
			change{s.variety, s.pulled, s.until.Add(1), -s.heads})
	}
	slices.SortFunc(changes, func(x, y change) int {
		return cmp.Or(cmp.Compare(x.variety, y.variety), cmp.Compare(x.pulled, y.pulled), cmp.Compare(x.day, y.day))
	})
	d := newDaily(w.AsOf, last)
	heads := 0
	for i, c := range changes {
		heads += c.heads
		// The heads of one variety and pull day come and go within these changes,
		// so they are none when the next variety or pull day begins.
		if heads > 0 && changes[i+1].day > c.day {
			d.add(c.day, changes[i+1].day.Add(-1), traysFor(heads, w.Varieties[c.variety].HeadsPerTray))
		}
	}
	return d.sums()
}

func traysFor(heads, perTray int) int { return (heads + perTray - 1) / perTray }

// chilledStays is how long the heads of cooler lots lie there: until they are
// packed, or those left over until their life has ended.
func (w *bench) chilledStays() (stays []stay) {
	for i, parts := range w.heads {
		line := &w.Lines[i]
		for _, p := range parts {
			if l := &w.Lots[p.lot]; l.Place == planning.Chilled {
				stays = append(stays, stay{w.Of[p.lot], l.Pulled, w.AsOf, w.PackDay(line.Pickup, w.Lead(line)), p.heads})
			}
		}
	}
	left := w.lotsLeft()
	for i := range w.Lots {
		l := &w.Lots[i]
		if over := w.lifeOver(w.Of[i], l.Pulled); l.Place == planning.Chilled && left[i] > 0 && over >= w.AsOf {
			stays = append(stays, stay{w.Of[i], l.Pulled, w.AsOf, over, left[i]})
		}
	}
	return stays
}
