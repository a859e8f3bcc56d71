package v1

import (
	"net/http"

	"github.com/go-json-experiment/json/jsontext"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/domain/planning"
)

// problems are plans of problem documents that are not the book's.
func (f *Face) problems() []edge.Route {
	return []edge.Route{
		{Method: http.MethodPost, Path: "/v1/plans/what-if", May: book.MayRead, Limit: edge.ProblemLimit, Handle: f.whatIf},
	}
}

// whatIf plans a problem and stores nothing.
func (f *Face) whatIf(a *edge.Ask) (*edge.Answer, error) {
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
	p, err := readProblem(body)
	if err != nil {
		return nil, err
	}
	plan, err := f.Book.WhatIf(a.Context(), a.Person, p)
	if err != nil {
		return nil, err
	}
	return edge.JSON(http.StatusOK, plan)
}

// planPlace waits for one of the places of plansAtOnce.
func (f *Face) planPlace(a *edge.Ask) (release func(), err error) {
	select {
	case f.plans <- struct{}{}:
		return func() { <-f.plans }, nil
	case <-a.Context().Done():
		return nil, edge.ErrBusy
	}
}

// readProblem reads a text that is a problem document.
func readProblem(text []byte) (*planning.Problem, error) {
	p, faults := planning.ReadBytes(text)
	if len(faults) == 0 {
		return p, nil
	}
	bad := &edge.Bad{Kind: domain.ErrInvalid, In: edge.InBody}
	if !jsontext.Value(text).IsValid(jsontext.AllowDuplicateNames(true)) {
		bad.Kind = edge.ErrMalformed
	}
	for _, fault := range faults {
		if jsontext.Value(text).Kind() != '{' && fault.Place != "document" {
			continue // of a document that is no object, only that can be told
		}
		bad.Faults.Add(fault.Place, "problem", "text", fault.Text)
	}
	return nil, bad
}
