package planner

import (
	"math"
	"slices"

	"headtally/domain"
	"headtally/planner/orders"
	"headtally/planner/sowing"
)

// wanted fills each crop's pickups: what is listed by rank of customer, the
// one-offs that usually come beside those on the book, and surges.
func (b *sowingBench) wanted(h *sowing.House) {
	last := b.horizon(h)
	since := b.asOf.Add(-7 * UsualWeeks)
	lines, _ := orders.Lines(b.facts, since, last)
	for _, c := range b.facts.Customers {
		b.rank[c.Code] = slices.Index([]domain.Importance{domain.Anchor, domain.Steady, domain.Casual}, c.Importance)
	}
	after := b.nextSowing(h)
	for _, d := range b.calendar.PickupDays(b.asOf, last) {
		lead := b.lead(d)
		for i := range h.Crops {
			if c := &h.Crops[i]; after == 0 || d.Add(-lead) < c.Sowing(after).Late {
				c.Pickups = append(c.Pickups, sowing.Pickup{Day: d, Lead: lead})
			}
		}
	}
	past, booked := map[headsOn]float64{}, map[headsOn]float64{}
	b.eachHead(lines, func(l *domain.Line, variety int, heads float64) {
		key := headsOn{variety, l.Pickup}
		switch {
		case l.Pickup < b.asOf:
			if !l.Standing {
				past[key] += heads
			}
			return
		case !l.Standing:
			booked[key] += heads
		}
		if p := pickupOn(h.Crops[variety].Pickups, l.Pickup); p != nil {
			p.Listed[b.rank[l.Customer]] += heads
		}
	})
	usual := b.usual(past)
	for i := range h.Crops {
		for k := range h.Crops[i].Pickups {
			p := &h.Crops[i].Pickups[k]
			u := usual[headsIn{i, int(p.Day.Weekday())}]
			if p.Usual = max(0, u.mean-booked[headsOn{i, p.Day}]); p.Usual > 0 {
				p.Spread = u.spread
			}
		}
	}
	b.surges(h)
}

// lead is the most days before a pickup that any carrier of the day needs.
func (b *sowingBench) lead(d domain.Day) (most int) {
	for _, c := range b.calendar.Carriers(d) {
		lead := b.facts.Farm.LeadDays
		if c.LeadDays != nil {
			lead = *c.LeadDays
		}
		most = max(most, lead)
	}
	return most
}

type headsOn struct {
	crop int
	day  domain.Day
}

type headsIn struct{ crop, weekday int }

// usually is the mean and spread of one-offs.
type usually struct{ mean, spread float64 }

// horizon is the last day that anything sown within the table can serve.
func (b *sowingBench) horizon(h *sowing.House) domain.Day {
	last := b.asOf.Add(b.facts.Farm.TallyDays)
	if len(h.SowDays) == 0 {
		return last
	}
	for i := range h.Crops {
		last = max(last, h.Crops[i].Sowing(h.SowDays[len(h.SowDays)-1]).Last)
	}
	return last
}

// nextSowing is the first sowing day after the table's: what it can serve is
// none of the table's business. No day where the farm sows on no day.
func (b *sowingBench) nextSowing(h *sowing.House) domain.Day {
	for d := b.asOf.Add(7 * b.growing.TableWeeks); len(h.SowDays) > 0; d++ {
		if b.growing.SowingDays.Has(d.Weekday()) {
			return d
		}
	}
	return 0
}

// eachHead gives the heads of lines by the first choice of each slot.
func (b *sowingBench) eachHead(lines []domain.Line, use func(l *domain.Line, variety int, heads float64)) {
	products := map[string]*domain.Product{}
	for i := range b.facts.Products {
		products[b.facts.Products[i].Code] = &b.facts.Products[i]
	}
	for i := range lines {
		l := &lines[i]
		if p := products[l.Product]; p != nil {
			for _, s := range p.Slots {
				if v, known := b.crops[s.Accept[0]]; known {
					use(l, v, float64(s.Heads)*float64(l.Asked()))
				}
			}
		}
	}
}

func pickupOn(list []sowing.Pickup, d domain.Day) *sowing.Pickup {
	i, found := slices.BinarySearchFunc(list, d, func(p sowing.Pickup, d domain.Day) int { return p.Day.Sub(d) })
	if !found {
		return nil
	}
	return &list[i]
}

// usual is the mean and spread of the heads of one-offs on each day of the week
// over the past weeks; days on which the carriers did not come say nothing.
func (b *sowingBench) usual(past map[headsOn]float64) map[headsIn]usually {
	n, sum, squares := map[int]float64{}, map[headsIn]float64{}, map[headsIn]float64{}
	for _, d := range b.calendar.PickupDays(b.asOf.Add(-7*UsualWeeks), b.asOf.Add(-1)) {
		n[int(d.Weekday())]++
		for i := range b.facts.Varieties {
			heads := past[headsOn{i, d}]
			sum[headsIn{i, int(d.Weekday())}] += heads
			squares[headsIn{i, int(d.Weekday())}] += heads * heads
		}
	}
	all := map[headsIn]usually{}
	for key, total := range sum {
		days := n[key.weekday]
		mean := total / days
		spread := 0.0
		if days > 1 {
			spread = math.Sqrt(max(0, (squares[key]-days*mean*mean)/(days-1)))
		}
		all[key] = usually{mean, spread}
	}
	return all
}

// surges adds what the grower expects beyond the usual.
func (b *sowingBench) surges(h *sowing.House) {
	for _, s := range b.facts.Surges {
		share := b.shares(s)
		for i := range h.Crops {
			for k := range h.Crops[i].Pickups {
				p := &h.Crops[i].Pickups[k]
				if !s.Covers(p.Day) || share[i] == 0 {
					continue
				}
				if s.Percent != 0 {
					p.Surge += share[i] * float64(s.Percent) / 100 * (p.Listed[0] + p.Listed[1] + p.Listed[2] + p.Usual)
				} else {
					p.Surge += share[i]
				}
			}
		}
	}
}

// shares is what a surge means for each crop: heads on a pickup day, or for a
// percentage the share of the crop that it speaks of.
func (b *sowingBench) shares(s domain.Surge) []float64 {
	share := make([]float64, len(b.facts.Varieties))
	times := 1.0
	switch {
	case s.Heads != 0:
		times = float64(s.Heads)
	case s.Cases != 0:
		times = float64(s.Cases)
	}
	for i, v := range b.facts.Varieties {
		if s.Variety == v.Code || s.Variety == "" && s.Product == "" {
			share[i] = times
		}
	}
	for _, p := range b.facts.Products {
		if s.Product != p.Code {
			continue
		}
		for _, slot := range p.Slots {
			if i, known := b.crops[slot.Accept[0]]; known && s.Percent == 0 {
				share[i] += times * float64(slot.Heads)
			} else if known {
				share[i] = 1
			}
		}
	}
	return share
}

// SurgeDays is what a surge means: heads of a variety on a pickup day, for each
// that it speaks of.
func SurgeDays(h *sowing.House, f *domain.Facts, s domain.Surge) (list []sowing.Surge) {
	b := &sowingBench{facts: f, crops: map[string]int{}}
	for i, v := range f.Varieties {
		b.crops[v.Code] = i
	}
	share := b.shares(s)
	for i := range h.Crops {
		for k := range h.Crops[i].Pickups {
			p := &h.Crops[i].Pickups[k]
			heads := share[i]
			if s.Percent != 0 {
				heads *= float64(s.Percent) / 100 * p.Heads()
			}
			if s.Covers(p.Day) && heads != 0 {
				list = append(list, sowing.Surge{Variety: h.Crops[i].Variety, Day: p.Day, Heads: heads})
			}
		}
	}
	return list
}
