package v1

import (
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/planner"
)

// outlook looks weeks ahead. Nothing is promised from it.
func (f *Face) outlook() []edge.Route {
	return []edge.Route{{Method: http.MethodGet, Path: "/v1/outlook", May: book.MayRead, Handle: f.lookAhead}}
}

type outlookDoc struct {
	AsOf     domain.Day      `json:"as_of"`
	Revision int64           `json:"revision"`
	Last     domain.Day      `json:"last"`
	Rows     []outlookRow    `json:"rows"`
	Shorts   []outlookShort  `json:"shorts"`
	Assumed  []assumptionDoc `json:"assumed"`
}

type outlookRow struct {
	Pickup   domain.Day    `json:"pickup"`
	Variety  string        `json:"variety"`
	Listed   int           `json:"listed"`
	Expected int           `json:"expected"`
	Cautious int           `json:"cautious"`
	Spare    int           `json:"spare"`
	Short    int           `json:"short"`
	State    planner.State `json:"state"`
	Lots     []string      `json:"lots"`
}

type outlookShort struct {
	Pickup domain.Day    `json:"pickup"`
	Cases  int           `json:"cases"`
	Lines  []string      `json:"lines"`
	Mended bool          `json:"mended"`
	Mends  []outlookMend `json:"mends"`
}

type outlookMend struct {
	Variety string     `json:"variety"`
	Trays   int        `json:"trays"`
	By      domain.Day `json:"by"`
	Ready   domain.Day `json:"ready"`
	Heads   int        `json:"heads"`
}

// weeksUsual is how far an outlook looks where nothing was said.
const weeksUsual = 8

func (f *Face) lookAhead(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	weeks := q.Whole("weeks", 1, book.MostWeeks, weeksUsual)
	asOf, err := f.asOf(a, q)
	if err != nil {
		return nil, err
	}
	o, err := f.Book.LookAhead(a.Context(), a.Person, asOf, weeks)
	if err != nil {
		return nil, err
	}
	doc := outlookDoc{AsOf: o.AsOf, Revision: o.Revision, Last: o.Last}
	for _, r := range o.Rows {
		doc.Rows = append(doc.Rows, outlookRow(r))
	}
	for _, s := range o.Shorts {
		short := outlookShort{Pickup: s.Pickup, Cases: s.Cases, Lines: s.Lines, Mended: s.Mended}
		for _, m := range s.Mends {
			short.Mends = append(short.Mends, outlookMend(m))
		}
		doc.Shorts = append(doc.Shorts, short)
	}
	for _, x := range o.Assumed {
		doc.Assumed = append(doc.Assumed, assumptionDoc(x))
	}
	return derived(a, doc.Revision, doc)
}
