package book

import (
	"cmp"
	"slices"

	"headtally/domain"
)

// Given is what the day's plan gives, by truck, customer and product.
func (d *Day) Given() (all []domain.Given) {
	for _, l := range d.Lines {
		g := domain.Given{Pickup: d.Pickup, Carrier: l.Carrier, Customer: l.Line.Customer,
			Name: cmp.Or(l.Customer.Name, l.Line.Customer), Product: l.Line.Product, Cases: domain.Cases(l.Plan.Filled), Lacked: domain.Cases(l.Plan.Cut)}
		if l.Counted { // what nobody counted is not short
			g.Lacked += domain.Cases(l.Plan.Short)
		}
		if k := slices.IndexFunc(all, g.Same); k >= 0 {
			all[k].Cases += g.Cases
			all[k].Lacked += g.Lacked
		} else {
			all = append(all, g)
		}
	}
	return all
}

// Given is what the pickups packed that day are given.
func (p *PackingDay) Given() (all []domain.Given) {
	for _, d := range p.Pickups {
		all = append(all, d.Given()...)
	}
	return all
}
