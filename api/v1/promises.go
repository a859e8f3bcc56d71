package v1

import (
	"net/http"

	"github.com/go-json-experiment/json/jsontext"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// promises answer "how many could you send me". Nothing is stored: a word is
// given by a line's promise.
func (f *Face) promises() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/promises", May: book.MayRead, Handle: f.quote},
		{Method: http.MethodPost, Path: "/v1/promises/what-if", May: book.MayRead, Limit: edge.ProblemLimit, Handle: f.quoteWhatIf},
	}
}

// quoteDoc is the answer, in cases on top of everything ordered.
type quoteDoc struct {
	AsOf     domain.Day   `json:"as_of"`
	Product  string       `json:"product"`
	Customer string       `json:"customer,omitempty"`
	Pickup   domain.Day   `json:"pickup"`
	Cases    domain.Cases `json:"cases"`
	Covered  bool         `json:"covered"` // the plan covers the day; else nothing is known
	Sure     domain.Cases `json:"sure"`
	AllIn    domain.Cases `json:"all_in"` // if all comes in as expected
	FirstDay domain.Day   `json:"first_day,omitzero"`
}

func (f *Face) quote(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	doc := quoteDoc{Product: q.Text("product"), Customer: q.Text("customer"), Pickup: q.Day("pickup"),
		Cases: domain.Cases(q.Whole("cases", 1, domain.MaxCount, 1))}
	q.Needs("product", "pickup", "cases")
	var err error
	if doc.AsOf, err = f.asOf(a, q); err != nil {
		return nil, err
	}
	found, err := f.Book.Quote(a.Context(), a.Person, doc.AsOf, doc.Product, doc.Pickup, doc.Cases, doc.Customer)
	if err != nil {
		return nil, err
	}
	doc.Covered, doc.Sure, doc.AllIn, doc.FirstDay = found.Covered, found.Sure, found.All, found.First
	return edge.JSON(http.StatusOK, doc)
}

// questionDoc is a line of which a promise is asked; what is left out is as the
// promise of planning says.
type questionDoc struct {
	Product      string       `json:"product" validate:"required"`
	Pickup       domain.Day   `json:"pickup" validate:"required"`
	Cases        domain.Cases `json:"cases" validate:"min=1,max=1000000"`
	AllOrNone    bool         `json:"all_or_none"`
	Substitutes  string       `json:"substitutes" validate:"omitempty,oneof=yes ask never"`
	Refuse       []string     `json:"refuse" validate:"unique"`
	MinShelfDays int          `json:"min_shelf_days" validate:"min=0,max=1000000"`
	LeadDays     *int         `json:"lead_days" validate:"omitempty,min=0,max=7"`
}

// quoteWhatIf asks a promise of a problem that is not the book's.
func (f *Face) quoteWhatIf(a *edge.Ask) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	release, err := f.planPlace(a)
	if err != nil {
		return nil, err
	}
	defer release()
	body, err := a.Body("application/json")
	if err != nil {
		return nil, err
	}
	var said struct {
		Problem  jsontext.Value `json:"problem"`
		Question jsontext.Value `json:"question"`
	}
	if err := edge.Members(body, &said); err != nil {
		return nil, err
	}
	p, err := readProblem(said.Problem)
	if err != nil {
		return nil, edge.Under("problem", err)
	}
	var question questionDoc
	if err := edge.DecodeJSON(said.Question, &question); err != nil {
		return nil, edge.Under("question", err)
	}
	if err := domain.Check(question).Err(); err != nil {
		return nil, edge.Under("question", err)
	}
	answer, err := f.Book.WhatIfPromise(a.Context(), a.Person, p, book.Question(question))
	if err != nil {
		return nil, edge.Under("question", err)
	}
	return edge.JSON(http.StatusOK, struct {
		Sure     int        `json:"sure"`
		AllIn    int        `json:"all_in"`
		FirstDay domain.Day `json:"first_day,omitzero"`
	}{answer.Sure, answer.AllIn, answer.FirstDay})
}
