package pages

import (
	"slices"

	"headtally/domain"
)

// MoreStep is one thing more that a farm could tell. The catalogue says what it
// is and what telling it buys: page.more.<Code> and page.more.<Code>.buys.
type MoreStep struct {
	Code    string
	Address string // where it is told
	told    func(f *domain.Facts) bool
}

// moreSteps are in the order of what they buy a farm that has just begun.
var moreSteps = []MoreStep{
	{"standins", "/products", func(f *domain.Facts) bool {
		return slices.ContainsFunc(f.Products, func(p domain.Product) bool {
			return slices.ContainsFunc(p.Slots, func(s domain.Slot) bool { return len(s.Accept) > 1 })
		})
	}},
	{"importance", "/customers", func(f *domain.Facts) bool {
		return slices.ContainsFunc(f.Customers, func(c domain.Customer) bool { return c.Importance != domain.Steady })
	}},
	{"standing", "/standing/new", func(f *domain.Facts) bool { return len(f.Standing) > 0 }},
	{"cooler", "/farm", func(f *domain.Facts) bool {
		usual := domain.NewFarm()
		return f.Farm.CaseSpaces != usual.CaseSpaces || f.Farm.TraySpaces != usual.TraySpaces
	}},
	{"crew", "/farm", func(f *domain.Facts) bool { return f.Farm.Crew != domain.Crew{} }},
	{"keeping", "/varieties", func(f *domain.Facts) bool {
		return slices.ContainsFunc(f.Varieties, func(x domain.Variety) bool { return x.ShelfDays != nil || x.ReadyDays != nil || x.HoldDays != nil })
	}},
	{"batches", "/batches", func(f *domain.Facts) bool { return len(f.BatchEvents) > 0 }},
	{"lifts", "/morning", func(f *domain.Facts) bool { return len(f.Lifts) > 0 }},
}

// more puts into a view the one thing to tell next, and what else there is. The
// address can name another one.
func (v *visit) more(view *FirstView, f *domain.Facts) error {
	var open []MoreStep
	for _, m := range moreSteps {
		if !m.told(f) {
			open = append(open, m)
		}
	}
	people, err := v.office.Book.HasPeople(v.ctx)
	if err != nil {
		return err
	}
	view.Told = len(moreSteps) - len(open)
	if people {
		view.Told++
	} else {
		open = append(open, MoreStep{Code: "people", Address: "/people"})
	}
	if len(open) == 0 {
		return nil
	}
	at := max(0, slices.IndexFunc(open, func(m MoreStep) bool { return m.Code == v.QueryParam("more") }))
	view.More, view.Others = &open[at], slices.Delete(slices.Clone(open), at, at+1)
	return nil
}
