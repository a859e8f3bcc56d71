package v1

import (
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/planner/sowing"
)

// sowing says what to sow, and how growing went.
func (f *Face) sowing() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/sowing-table", May: book.MayRead, Handle: f.sowingTable},
		{Method: http.MethodPost, Path: "/v1/sowing-table/what-if", May: book.MayRead, Limit: edge.JSONLimit, Handle: f.sowingCovers},
		{Method: http.MethodGet, Path: "/v1/growing-days/{day}/papers/{paper}", May: book.MayRead, Handle: f.growingPaper},
		{Method: http.MethodGet, Path: "/v1/how-it-went", May: book.MayRead, Handle: f.howItWent},
	}
}

// sowingDoc is the weekly table with its proposed changes, what to sow on each
// day, what had to give for want of space, and how each pickup fares.
type sowingDoc struct {
	AsOf    domain.Day  `json:"as_of"`
	Rows    []sowRow    `json:"rows"`
	Sowings []sowDated  `json:"sowings"`
	Gives   []sowGive   `json:"gives"`
	Pickups []sowServed `json:"pickups"`
}

type sowRow struct {
	Variety string        `json:"variety"`
	Weekday string        `json:"weekday"`
	Now     int           `json:"now"`
	Trays   int           `json:"trays"`
	Reason  sowing.Reason `json:"reason"`
	Heads   float64       `json:"heads"`
	Listed  float64       `json:"listed"`
	Usual   float64       `json:"usual"`
	Gives   int           `json:"gives"`
	Sure    int           `json:"sure"`
}

type sowDated struct {
	Day      domain.Day    `json:"day"`
	Variety  string        `json:"variety"`
	Trays    int           `json:"trays"`
	Steady   int           `json:"steady"`
	Reason   sowing.Reason `json:"reason"`
	TooLate  domain.Day    `json:"too_late_after,omitzero"`
	For      domain.Day    `json:"for,omitzero"`
	Set      domain.Day    `json:"set,omitzero"`
	Ready    domain.Day    `json:"ready,omitzero"`
	Expected int           `json:"expected"`
	Cautious int           `json:"cautious"`
	Spare    int           `json:"spare"`
}

type sowGive struct {
	Variety string       `json:"variety"`
	Day     domain.Day   `json:"day"`
	Trays   int          `json:"trays"`
	Place   sowing.Place `json:"place"`
	Full    domain.Day   `json:"full,omitzero"`
	Needed  int          `json:"needed"`
	Had     int          `json:"had"`
	Lost    [3]float64   `json:"lost"`
}

type sowServed struct {
	Variety  string     `json:"variety"`
	Day      domain.Day `json:"day"`
	Wanted   float64    `json:"wanted"`
	Expected float64    `json:"expected"`
	Sure     float64    `json:"sure"`
	Met      bool       `json:"met"`
	Short    float64    `json:"short"`
	TooLate  domain.Day `json:"too_late_after,omitzero"`
}

func (f *Face) sowingTable(a *edge.Ask) (*edge.Answer, error) {
	asOf, err := f.asOf(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	t, err := f.Book.SowingTable(a.Context(), a.Person, asOf)
	if err != nil {
		return nil, err
	}
	doc := sowingDoc{AsOf: asOf}
	for _, r := range t.Rows {
		doc.Rows = append(doc.Rows, sowRow(r))
	}
	for _, s := range t.Sowings {
		doc.Sowings = append(doc.Sowings, sowDated(s))
	}
	for _, g := range t.Gives {
		doc.Gives = append(doc.Gives, sowGive(g))
	}
	for _, p := range t.Pickups {
		doc.Pickups = append(doc.Pickups, sowServed(p))
	}
	return edge.JSON(http.StatusOK, doc)
}

// wentDoc is a variety's finished batches of one month against what was told.
type wentDoc struct {
	Variety string      `json:"variety"`
	Year    int         `json:"year"`
	Month   int         `json:"month"`
	Batches int         `json:"batches"`
	Nursery stepWentDoc `json:"nursery"`
	Rafts   stepWentDoc `json:"rafts"`
}

type stepWentDoc struct {
	Days        float64 `json:"days"`
	PlannedDays float64 `json:"planned_days"`
	Good        float64 `json:"good"`
	PlannedGood float64 `json:"planned_good"`
}

// trustDoc is how projections of past batches held.
type trustDoc struct {
	Variety   string  `json:"variety"`
	Weeks     int     `json:"weeks"`
	Method    string  `json:"method"`
	Batches   int     `json:"batches"`
	DaysOff   float64 `json:"days_off"`
	DaysLate  float64 `json:"days_late"`
	HeadsOff  float64 `json:"heads_off"`
	HeadsMore float64 `json:"heads_more"`
	Sure      float64 `json:"sure"`
	InTime    float64 `json:"in_time"`
}

func (f *Face) howItWent(a *edge.Ask) (*edge.Answer, error) {
	asOf, err := f.asOf(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	g, err := f.Book.HowItWent(a.Context(), a.Person, asOf)
	if err != nil {
		return nil, err
	}
	doc := struct {
		AsOf   domain.Day `json:"as_of"`
		Months []wentDoc  `json:"months"`
		Trust  []trustDoc `json:"trust"`
	}{AsOf: asOf}
	for _, w := range g.Went {
		doc.Months = append(doc.Months, wentDoc{w.Variety, w.Year, w.Month, w.Batches, stepWentDoc(w.Nursery), stepWentDoc(w.Rafts)})
	}
	for _, t := range g.Sure {
		doc.Trust = append(doc.Trust, trustDoc{t.Variety, t.Weeks, string(t.Method), t.Batches, t.DaysOff, t.DaysLate, t.HeadsOff, t.HeadsMore, t.Sure, t.InTime})
	}
	return edge.JSON(http.StatusOK, doc)
}
