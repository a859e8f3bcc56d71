// Package sowing says what to sow: how many whole trays of each variety on each
// sowing day, so that every pickup of the weeks ahead is met in full as often as
// the farm wishes (say nine times in ten), with the spare seedlings that takes.
//
//	table := sowing.Plan(house)      // the weekly table, and what to sow on each day
//	house.Covers(today, trays)       // the other way round: what a sowing can cover
//	sowing.Extra(house, surge)       // what a surge asks for, and by when
//
// A variety's pickups are walked through in order. Heads on the way are used up
// oldest last day first; what a pickup lacks to be met as surely as asked is
// sown in whole trays on the last sowing day that can still serve it. Heads of
// several batches vary independently, so what must be held against bad luck
// grows as the square root of the sum of the squares of what each batch holds;
// what an earlier batch gave more or less than thought is made up by the next.
// (The safety stock of inventory theory: H. Scarf, A min-max solution of an
// inventory problem, 1958, and K. J. Arrow, T. Harris and J. Marschak, Optimal
// inventory policy, 1951, for the reasoning by the chance of falling short.)
package sowing

import "headtally/domain"

// House is what a sowing table is made from.
type House struct {
	AsOf    domain.Day
	SowDays []domain.Day // days of the table, from AsOf on, ascending
	Sure    float64      // how often a pickup is to be met in full, such as 0.9
	Crops   []Crop
	Trays   int              // trays the nursery holds; 0: not told
	Rafts   domain.HalfRafts // rafts the beds hold; 0: not told
	Nursery []Stay           // trays that stand in the nursery now, and until when
	Beds    []Stay           // half rafts that stand in the beds, or are to, and until when
	Lift    func(latest domain.Day) (domain.Day, bool)
}

// Stay is so many trays or half rafts in their place from First to Last.
type Stay struct {
	First, Last domain.Day
	Count       int
}

// Crop is one variety.
type Crop struct {
	Variety  string
	Keep     int                      // most days from pull to pickup
	Pickups  []Pickup                 // ascending
	OnTheWay []Batch                  // what stands, lies in the cooler, or was sown already
	Now      func(weekday string) int // trays of the farm's table
	Sown     int                      // trays sown today already; they are on the way
	Sowing   func(day domain.Day) Sowing
}

// Pickup is what is wanted of a variety on one pickup day, in heads.
type Pickup struct {
	Day    domain.Day
	Lead   int        // least days from pull to pickup
	Listed [3]float64 // on the book, for anchor, steady and casual customers
	Usual  float64    // one-offs that usually still come
	Spread float64    // and how much they vary
	Surge  float64    // more than usual that the grower expects
}

// Heads is all that is wanted.
func (p *Pickup) Heads() float64 {
	return max(0, p.Listed[0]+p.Listed[1]+p.Listed[2]+p.Usual+p.Surge)
}

// Batch is heads on the way. Ready is the day by which they are ready as surely
// as was asked. Pulled is set where they lie in the cooler.
type Batch struct {
	Code        string
	Ready, Last domain.Day
	Pulled      domain.Day
	Expected    int
	Cautious    int
}

// Sowing is what trays sown on a day would come to.
type Sowing struct {
	Set   domain.Day // into rafts
	Ready domain.Day // expected
	Late  domain.Day // ready by then, as surely as was asked
	Last  domain.Day // last good day
	Heads func(trays int) (expected, cautious int)
	Rafts func(trays int) domain.HalfRafts
}

// serves says whether heads that can be pulled from ready to last can go to a
// pickup.
func (h *House) serves(c *Crop, ready, last domain.Day, p *Pickup) bool {
	d, ok := h.Lift(min(last, p.Day.Add(-p.Lead)))
	return ok && d >= ready && p.Day.Sub(d) <= c.Keep
}

// has says whether a batch on the way can go to a pickup.
func (h *House) has(c *Crop, b *Batch, p *Pickup) bool {
	if b.Pulled != 0 {
		return p.Day.Sub(b.Pulled) <= c.Keep
	}
	return h.serves(c, max(b.Ready, h.AsOf), b.Last, p)
}

// tooLateAfter is the last day on which a sowing still serves a pickup for sure;
// no day where that has passed.
func (h *House) tooLateAfter(c *Crop, p *Pickup) (last domain.Day) {
	for d := p.Day.Add(-p.Lead); d >= h.AsOf; d-- {
		if s := c.Sowing(d); h.serves(c, s.Late, max(s.Last, s.Late), p) {
			return d
		}
	}
	return 0
}
