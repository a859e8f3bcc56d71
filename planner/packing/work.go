package packing

import (
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// printWork writes the days on which the crew pulls or packs, as far as the
// problem tells what the crew can do.
func (w *bench) printWork() {
	type day struct {
		rafts        domain.HalfRafts
		heads, cases int
	}
	days := map[domain.Day]day{}
	for _, p := range w.plan.Pulls {
		d := days[p.Day]
		d.rafts += p.Rafts
		d.heads += p.HeadsLifted
		days[p.Day] = d
	}
	for _, r := range w.plan.Runs {
		d := days[r.Pack]
		d.cases += r.Cases
		days[r.Pack] = d
	}
	for on, d := range days {
		w.plan.Work = append(w.plan.Work, planning.WorkDay{Day: on, Rafts: d.rafts, RaftsPerDay: w.Work.RaftsPerDay,
			HarvestHours: hours(d.heads, w.Work.HarvestHeadsPerHour), HarvestHoursHad: w.Work.HarvestHours,
			PackHours: hours(d.cases, w.Work.PackCasesPerHour), PackHoursHad: w.Work.PackHours})
	}
	slices.SortFunc(w.plan.Work, func(x, y planning.WorkDay) int { return x.Day.Sub(y.Day) })
}

// hours is how long so much work takes; 0 where the pace is not told.
func hours(count int, perHour float64) float64 {
	if perHour == 0 {
		return 0
	}
	return float64(count) / perHour
}
