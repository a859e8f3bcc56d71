package pages

import (
	"net/http"

	"headtally/domain"
	"headtally/planner"
)

// WithoutView is who would be hit if the heads of a lot were not there.
type WithoutView struct {
	Frame
	Lot  LotView
	Hits []HitView
}

// HitView is one line that would get less.
type HitView struct {
	planner.Hit
	Name    string // the customer's
	Product string
}

// without asks what happens if a lot's rafts are thrown away. It changes nothing.
func (v *visit) without() error {
	week, err := v.office.Book.Week(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	code := v.QueryParam("lot")
	hits, faults := week.Without(code)
	if len(faults) > 0 {
		return domain.Refuse(domain.ErrNotFound, "lot", code)
	}
	l, err := v.lists()
	if err != nil {
		return err
	}
	view := WithoutView{Frame: v.frame("beds", v.say("page.without.title")), Lot: lotView(week, code)}
	for _, h := range hits {
		view.Hits = append(view.Hits, HitView{h, customerName(l, h.Customer), productName(l, h.Product)})
	}
	return v.show(http.StatusOK, "without", view)
}
