package v1

import (
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// holidays are public holidays that the farm's calendar may have to speak of.
func (f *Face) holidays() []edge.Route {
	return []edge.Route{{Method: http.MethodGet, Path: "/v1/holidays", May: book.MayRead, Handle: f.listHolidays}}
}

type holidayDoc struct {
	Day      domain.Day `json:"day"`
	Name     string     `json:"name"`
	Carriers []string   `json:"carriers"`
	Told     bool       `json:"told"`
}

func (f *Face) listHolidays(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	days := q.Whole("days", 1, 800, 365)
	from := q.Day("from")
	if err := q.Err(); err != nil {
		return nil, err
	}
	if from == 0 {
		today, err := f.Book.Today(a.Context())
		if err != nil {
			return nil, err
		}
		from = today
	}
	found, err := f.Book.Holidays(a.Context(), a.Person, from, from.Add(days-1))
	if err != nil {
		return nil, err
	}
	doc := struct {
		Items []holidayDoc `json:"items"`
	}{}
	for _, h := range found {
		doc.Items = append(doc.Items, holidayDoc(h))
	}
	return edge.JSON(http.StatusOK, doc)
}

// availability is what can still be promised.
func (f *Face) availability() []edge.Route {
	return []edge.Route{{Method: http.MethodGet, Path: "/v1/availability", May: book.MayRead, Handle: f.spares}}
}

type spareDoc struct {
	Pickup  domain.Day   `json:"pickup"`
	Product string       `json:"product"`
	Name    string       `json:"name"`
	Cases   domain.Cases `json:"cases"`
}

func (f *Face) spares(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	holdBack := q.Whole("hold_back", 0, domain.MaxCount, 0)
	asOf, err := f.asOf(a, q)
	if err != nil {
		return nil, err
	}
	found, err := f.Book.Spares(a.Context(), a.Person, asOf, domain.Cases(holdBack))
	if err != nil {
		return nil, err
	}
	doc := struct {
		AsOf  domain.Day `json:"as_of"`
		Items []spareDoc `json:"items"`
	}{AsOf: asOf}
	for _, s := range found {
		doc.Items = append(doc.Items, spareDoc(s))
	}
	return edge.JSON(http.StatusOK, doc)
}
