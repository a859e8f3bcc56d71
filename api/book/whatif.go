package book

import (
	"context"
	"slices"
	"strconv"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// WhatIf plans a problem that is not the book's. It stores nothing.
func (b *Book) WhatIf(_ context.Context, who Person, p *planning.Problem) (*planning.Plan, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return planner.Plan(p), nil
}

// Question is a line of which a promise is asked. What is left out is: it takes
// substitutes, no least shelf life, the problem's lead days.
type Question struct {
	Product      string
	Pickup       domain.Day
	Cases        domain.Cases
	AllOrNone    bool
	Substitutes  string
	Refuse       []string
	MinShelfDays int
	LeadDays     *int
}

// WhatIfPromise answers how many more cases a problem that is not the book's
// could give. Faults have places in the question. It stores nothing.
func (b *Book) WhatIfPromise(_ context.Context, who Person, p *planning.Problem, q Question) (planner.Promise, error) {
	if err := who.ask(MayRead); err != nil {
		return planner.Promise{}, err
	}
	var faults domain.Faults
	if !slices.ContainsFunc(p.Products, func(x planning.Product) bool { return x.Code == q.Product }) {
		faults.Add("product", "unknown", "what", "product", "value", q.Product)
	}
	if !slices.Contains(p.PickupDays, q.Pickup) {
		faults.Add("pickup", "unknown", "what", "pickup day", "value", q.Pickup.String())
	}
	for i, code := range q.Refuse {
		if !slices.ContainsFunc(p.Varieties, func(x planning.Variety) bool { return x.Code == code }) {
			faults.Add("refuse["+strconv.Itoa(i)+"]", "unknown", "what", "variety", "value", code)
		}
	}
	if faults != nil {
		return planner.Promise{}, faults
	}
	answer, wrong := planner.NewStanding(p).Quote(planning.Line{Product: q.Product, Pickup: q.Pickup, Cases: int(q.Cases),
		AllOrNone: q.AllOrNone, Substitutes: planning.Substitutes(q.Substitutes), Refuse: q.Refuse, MinShelfDays: q.MinShelfDays, LeadDays: q.LeadDays})
	return answer, asFaults(wrong)
}

// asFaults gives faults of the planner's own checks the form of the book's.
func asFaults(wrong planning.Faults) error {
	var faults domain.Faults
	for _, f := range wrong {
		faults.Add(f.Place, "problem", "text", f.Text)
	}
	return faults.Err()
}
