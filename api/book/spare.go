package book

import (
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner"
)

// Spare is cases of a product that can still be promised for a pickup day.
type Spare struct {
	Pickup  domain.Day
	Product string
	Name    string
	Cases   domain.Cases
}

// mostSpare is the most cases a list of spare ones speaks of.
const mostSpare = 200

// HoldBackOfFarm is the farm's own figure of what is held back.
const HoldBackOfFarm domain.Cases = -1

// Spares lists what can still be promised as of a day, by the cautious counts
// and less so many cases held back of each: by pickup day, then product. Each
// figure is by itself: what is promised of one may be lacking to another.
func (b *Book) Spares(ctx context.Context, who Person, asOf domain.Day, holdBack domain.Cases) ([]Spare, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	if holdBack != HoldBackOfFarm && holdBack < 0 || holdBack > domain.MaxCount {
		return nil, domain.Faults{{Place: "hold_back", Code: "between", Args: map[string]any{"min": 0, "max": domain.MaxCount}}}
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]Spare, error) {
		w, err := b.week(tx, asOf)
		if err != nil {
			return nil, err
		}
		f, err := farm(tx)
		if err != nil {
			return nil, err
		}
		if holdBack == HoldBackOfFarm {
			holdBack = f.Value.HoldBack
		}
		return spares(w, &f.Value, holdBack), nil
	})
}

// spares looks as far ahead as the tally does: a single word given for a day
// years on makes all the days before it part of the plan.
func spares(w *planner.Week, farm *domain.Farm, holdBack domain.Cases) (list []Spare) {
	sight := w.AsOf.Add(farm.TallyDays)
	for _, day := range w.Problem.PickupDays {
		if day > sight {
			break
		}
		for _, p := range w.Problem.Products {
			line := domain.Line{Product: p.Code, Pickup: day, Cases: mostSpare + holdBack}
			answer, faults := w.QuoteDay(planner.LineFor(farm, line, domain.Customer{}, domain.Carrier{}))
			if cases := domain.Cases(answer.Sure) - holdBack; len(faults) == 0 && cases > 0 {
				list = append(list, Spare{Pickup: day, Product: p.Code, Name: p.Name, Cases: cases})
			}
		}
	}
	return list
}

// OtherDays tells of the lines of that packing day's pickups that are short, by
// their id, the first later pickup of their truck on which all they lack could
// be had if all comes in, each line by itself; one for which there is none is
// left out.
func (p *PackingDay) OtherDays() map[string]domain.Day {
	others := map[string]domain.Day{}
	cal := p.Facts.Calendar()
	for i, l := range p.Week.Lines {
		short := p.Week.Plan.Lines[i].Short
		if short == 0 || !slices.ContainsFunc(p.Pickups, func(d *Day) bool { return d.Pickup == l.Pickup }) {
			continue
		}
		comes := func(d domain.Day) bool { return d > l.Pickup && cal.PicksUp(l.Carrier, d) }
		if day, there := otherDay(p.Week, p.Week.Problem.Lines[i], short, comes); there {
			others[l.ID] = day
		}
	}
	return others
}

// otherDay is the first planned pickup day that will do on which so many cases
// more of a line could be had.
func otherDay(w *planner.Week, line planning.Line, cases int, comes func(domain.Day) bool) (domain.Day, bool) {
	line.Cases, line.Promised, line.AtMost = cases, 0, nil
	for _, day := range w.Problem.PickupDays {
		if !comes(day) {
			continue
		}
		line.Pickup = day
		if answer, faults := w.QuoteDay(line); len(faults) == 0 && answer.AllIn == cases {
			return day, true
		}
	}
	return 0, false
}
