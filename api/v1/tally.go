package v1

import (
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

func (f *Face) tally() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/tally", May: book.MayRead, Handle: f.getTally},
		{Method: http.MethodGet, Path: "/v1/plan", May: book.MayRead, Handle: f.getPlan},
	}
}

// tallyDoc is the heads of every variety: of the days planned, and of those
// ahead, for which none are held.
type tallyDoc struct {
	AsOf     domain.Day  `json:"as_of"`
	Revision int64       `json:"revision"`
	Days     []tallyDay  `json:"days"`
	Ahead    []aheadHead `json:"ahead"`
}

type tallyDay struct {
	Pickup    domain.Day `json:"pickup"`
	Varieties []tallyRow `json:"varieties"`
}

// tallyRow keeps apart what is short and what nobody has counted yet.
type tallyRow struct {
	Variety    string `json:"variety"`
	Name       string `json:"name"`
	Listed     int    `json:"listed"`
	Assigned   int    `json:"assigned"`
	Short      int    `json:"short"`
	NotCounted int    `json:"not_counted"`
}

type aheadHead struct {
	Pickup  domain.Day   `json:"pickup"`
	Variety string       `json:"variety"`
	Heads   domain.Heads `json:"heads"`
}

func (f *Face) getTally(a *edge.Ask) (*edge.Answer, error) {
	asOf, err := f.asOf(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	t, err := f.Book.Tally(a.Context(), a.Person, asOf)
	if err != nil {
		return nil, err
	}
	doc := tallyDoc{AsOf: asOf, Revision: t.Week.Revision}
	for _, d := range t.Days {
		doc.Days = append(doc.Days, tallyDay{d.Pickup, tallyRows(d.Rows)})
	}
	for _, l := range t.Week.Ahead {
		doc.Ahead = append(doc.Ahead, aheadHead(l))
	}
	return derived(a, doc.Revision, doc)
}

func tallyRows(rows []book.TallyRow) []tallyRow {
	var list []tallyRow
	for _, r := range rows {
		row := tallyRow{Variety: r.TallyRow.Variety, Name: r.Variety.Name, Listed: r.Listed, Assigned: r.Assigned}
		if r.Counted {
			row.Short = r.Short
		} else {
			row.NotCounted = r.Short
		}
		list = append(list, row)
	}
	return list
}

// planDoc is the book's own plan with what was taken for granted on the way.
type planDoc struct {
	AsOf     domain.Day        `json:"as_of"`
	Revision int64             `json:"revision"`
	Pickups  []domain.Day      `json:"pickup_days"`
	Plan     *planning.Plan    `json:"plan"`
	Lines    []plannedLine     `json:"lines"` // what the plan's lines are, in their order
	Notices  []noticeDoc       `json:"notices"`
	Assumed  []assumptionDoc   `json:"assumed"`
	Problem  *planning.Problem `json:"problem,omitempty"` // on demand: the plan can be made again from it
}

// plannedLine says what a line of the plan is.
type plannedLine struct {
	ID       string       `json:"id"`
	Line     string       `json:"line"` // its address under /v1/lines
	Order    string       `json:"order"`
	Standing bool         `json:"standing"`
	Customer string       `json:"customer"`
	Product  string       `json:"product"`
	Carrier  string       `json:"carrier"`
	Pickup   domain.Day   `json:"pickup"`
	Cases    domain.Cases `json:"cases"`
}

// noticeDoc is something a reader should know of an order.
type noticeDoc struct {
	Code     string       `json:"code"`
	Day      domain.Day   `json:"day"`
	To       domain.Day   `json:"to,omitzero"`
	Order    string       `json:"order"`
	Customer string       `json:"customer"`
	Product  string       `json:"product"`
	Cases    domain.Cases `json:"cases"`
}

// assumptionDoc is a figure taken because the farm has not told its own.
type assumptionDoc struct {
	Code  string `json:"code"`
	What  string `json:"what"` // "" is the whole farm
	Value int    `json:"value"`
}

func (f *Face) getPlan(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	withProblem := q.Truth("problem")
	asOf, err := f.asOf(a, q)
	if err != nil {
		return nil, err
	}
	w, err := f.Book.Week(a.Context(), a.Person, asOf)
	if err != nil {
		return nil, err
	}
	doc := planDoc{AsOf: asOf, Revision: w.Revision, Pickups: w.Problem.PickupDays, Plan: w.Plan, Lines: plannedLines(w), Notices: notices(w.Notices)}
	for _, x := range w.Assumed {
		doc.Assumed = append(doc.Assumed, assumptionDoc(x))
	}
	if withProblem {
		doc.Problem, doc.Plan = w.Standing.Problem, w.Standing.Plan // recipes typed over are products of their own in both
	}
	return derived(a, w.Revision, doc)
}

func plannedLines(w *planner.Week) (list []plannedLine) {
	for _, l := range w.Lines {
		list = append(list, plannedLine{ID: l.ID, Line: lineAddress(l.Base), Order: l.Order, Standing: l.Standing,
			Customer: l.Customer, Product: l.Product, Carrier: l.Carrier, Pickup: l.Pickup, Cases: l.Cases})
	}
	return list
}

func notices(of []domain.Notice) (list []noticeDoc) {
	for _, n := range of {
		list = append(list, noticeDoc(n))
	}
	return list
}
