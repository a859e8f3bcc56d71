package growth

import "headtally/domain"

// told is the farm's own figures for a part that begins on a day: of each
// figure the narrowest profile that tells it.
func (x *Figures) told(variety string, p part, begins domain.Day) Leg {
	return x.keep(variety, p, begins, Told, 0, func() Leg {
		now := x.profile(variety, begins)
		cautious := float64(x.goodInTen(variety)) / 10
		leg := func(days, good int) Leg {
			share := float64(good) / 100
			return Leg{Method: Told, Days: float64(days), Late: days + *now.LateDays, Good: share, Worst: share * cautious, sure: x.sure}
		}
		switch p {
		case nursery:
			return leg(now.NurseryDays, now.GoodSeedlings)
		case onRafts:
			return leg(now.BedDays, now.GoodHeads)
		}
		then := x.profile(variety, begins.Add(now.NurseryDays))
		l := leg(now.NurseryDays+then.BedDays, now.GoodSeedlings)
		l.Good *= float64(then.GoodHeads) / 100
		l.Worst = l.Good * cautious
		return l
	})
}

// profile puts together the figures that hold for a variety on a day.
func (x *Figures) profile(variety string, d domain.Day) domain.Profile {
	all := x.growing.Figures
	for _, p := range x.profiles {
		if p.Covers(variety, d) {
			over(&all, p)
		}
	}
	return all
}

// over lays a narrower profile's figures over a wider one's.
func over(all *domain.Profile, p domain.Profile) {
	for _, f := range []struct {
		to   *int
		told int
	}{{&all.NurseryDays, p.NurseryDays}, {&all.BedDays, p.BedDays}, {&all.GoodSeedlings, p.GoodSeedlings}, {&all.GoodHeads, p.GoodHeads}} {
		if f.told != 0 {
			*f.to = f.told
		}
	}
	if p.LateDays != nil {
		all.LateDays = p.LateDays
	}
	if p.ReadyDays != nil {
		all.ReadyDays = p.ReadyDays
	}
}

func (x *Figures) goodInTen(variety string) int {
	if v := x.varieties[variety]; v != nil && v.GoodInTen != nil {
		return *v.GoodInTen
	}
	return max(x.farm.GoodInTen, 1)
}

// readyDays is how many days a variety's batch stands ready.
func (x *Figures) readyDays(variety string, d domain.Day) int {
	if p := x.profile(variety, d); p.ReadyDays != nil {
		return *p.ReadyDays
	}
	if v := x.varieties[variety]; v != nil && v.ReadyDays != nil {
		return *v.ReadyDays
	}
	return max(x.farm.ReadyDays, 1)
}
