package planner

import (
	"headtally/domain"
	"headtally/planner/growth"
	"headtally/planner/sowing"
)

// UsualWeeks is how many past weeks show what one-offs usually come. The facts
// of a sowing table are read from that long before its day.
const UsualWeeks = 8

// SowingTable says what to sow as of a day. The facts must hold the orders of
// the UsualWeeks before it.
func SowingTable(f *domain.Facts, asOf domain.Day) *sowing.Table {
	return sowing.Plan(SowingHouse(f, asOf))
}

// SowingHouse is what a sowing table is made from.
func SowingHouse(f *domain.Facts, asOf domain.Day) *sowing.House {
	cal, growing := f.Calendar(), f.Growing
	if growing.CellsPerTray == 0 {
		growing = domain.NewGrowing()
	}
	b := &sowingBench{facts: f, asOf: asOf, calendar: cal, growing: growing,
		figures: growth.Read(f, asOf), rank: map[string]int{}, crops: map[string]int{}}
	h := &sowing.House{AsOf: asOf, Sure: float64(growing.Assurance) / 100, Trays: growing.NurseryTrays, Lift: b.lift()}
	for d := asOf; d < asOf.Add(7*growing.TableWeeks); d++ {
		if growing.SowingDays.Has(d.Weekday()) {
			h.SowDays = append(h.SowDays, d)
		}
	}
	for i, v := range f.Varieties {
		b.crops[v.Code] = i
		h.Crops = append(h.Crops, b.crop(v))
	}
	for _, p := range b.figures.Project() {
		if i, known := b.crops[p.Batch.Variety]; known && p.Batch.Sown == asOf {
			h.Crops[i].Sown += p.Batch.Trays
		}
	}
	b.wanted(h)
	b.onTheWay(h)
	b.places(h)
	return h
}

// sowingBench gathers what a sowing table needs.
type sowingBench struct {
	facts    *domain.Facts
	asOf     domain.Day
	calendar *domain.Calendar
	growing  domain.Growing
	figures  *growth.Figures
	rank     map[string]int // customer -> 0 anchor, 1 steady, 2 casual
	crops    map[string]int // variety -> its place
}

// liftSight is how many days ahead harvest days are worked out for a table.
const liftSight = 400

// lift is the last harvest day not after a day, worked out once for each.
func (b *sowingBench) lift() func(domain.Day) (domain.Day, bool) {
	first := b.asOf.Add(-31)
	days := make([]domain.Day, 31+liftSight)
	for i := range days {
		switch d := first.Add(i); {
		case b.calendar.Lifts(d):
			days[i] = d
		case i > 0:
			days[i] = days[i-1]
		}
	}
	return func(latest domain.Day) (domain.Day, bool) {
		i := min(latest.Sub(first), len(days)-1)
		if i < 0 || days[i] == 0 {
			return 0, false
		}
		return days[i], true
	}
}

func (b *sowingBench) crop(v domain.Variety) sowing.Crop {
	farm := &b.facts.Farm
	hold, shelf := farm.HoldDays, farm.ShelfDays
	if v.HoldDays != nil {
		hold = *v.HoldDays
	}
	if v.ShelfDays != nil {
		shelf = *v.ShelfDays
	}
	sown := map[domain.Day]sowing.Sowing{}
	return sowing.Crop{Variety: v.Code, Keep: max(0, min(hold, shelf-farm.MinShelfDays)),
		Now: func(weekday string) (trays int) {
			for _, r := range b.growing.Table {
				if r.Variety == v.Code && r.Weekday == weekday {
					trays += r.Trays
				}
			}
			return trays
		},
		Sowing: func(d domain.Day) sowing.Sowing {
			s, there := sown[d]
			if !there {
				s = kept(b.figures.Sow(v.Code, d))
				sown[d] = s
			}
			return s
		}}
}

// kept is a sowing that works the heads of each number of trays out once.
func kept(s growth.Sown) sowing.Sowing {
	type heads struct{ expected, cautious int }
	known := map[int]heads{}
	return sowing.Sowing{Set: s.Set, Ready: s.Ready, Late: s.Late, Last: s.Last, Rafts: s.Rafts,
		Heads: func(trays int) (int, int) {
			h, there := known[trays]
			if !there {
				h.expected, h.cautious = s.Heads(trays)
				known[trays] = h
			}
			return h.expected, h.cautious
		}}
}
