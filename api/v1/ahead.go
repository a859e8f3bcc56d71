package v1

import (
	"io"
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

// availability is what can still be promised: as figures, as a list to send and
// as lines to paste.
func (f *Face) availability() []edge.Route {
	return []edge.Route{{Method: http.MethodGet, Path: "/v1/availability", May: book.MayRead, Handle: f.spares},
		{Method: http.MethodGet, Path: "/v1/availability.pdf", May: book.MayRead, Handle: f.sparesPaper}}
}

type spareDoc struct {
	Pickup  domain.Day   `json:"pickup"`
	Product string       `json:"product"`
	Name    string       `json:"name"`
	Cases   domain.Cases `json:"cases"`
}

// sparesAsked reads what is spare as asked for: held back is what the farm holds
// back, unless the question says otherwise.
func (f *Face) sparesAsked(a *edge.Ask, q *edge.Query) (asOf domain.Day, found []book.Spare, err error) {
	holdBack := domain.Cases(q.Whole("hold_back", 0, domain.MaxCount, int(book.HoldBackOfFarm)))
	if asOf, err = f.asOf(a, q); err != nil {
		return asOf, nil, err
	}
	found, err = f.Book.Spares(a.Context(), a.Person, asOf, holdBack)
	return asOf, found, err
}

func (f *Face) spares(a *edge.Ask) (*edge.Answer, error) {
	asOf, found, err := f.sparesAsked(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	farm, err := f.Book.Farm(a.Context())
	if err != nil {
		return nil, err
	}
	doc := struct {
		AsOf  domain.Day `json:"as_of"`
		Items []spareDoc `json:"items"`
		Lines []string   `json:"lines"`
	}{AsOf: asOf, Lines: f.SpareLines(farm.Value, found)}
	for _, s := range found {
		doc.Items = append(doc.Items, spareDoc(s))
	}
	return edge.JSON(http.StatusOK, doc)
}

func (f *Face) sparesPaper(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	size := q.OneOf("paper", "letter", "a4")
	asOf, found, err := f.sparesAsked(a, q)
	if err != nil {
		return nil, err
	}
	farm, err := f.Book.Farm(a.Context())
	if err != nil {
		return nil, err
	}
	return pdf("availability-"+asOf.String(), func(w io.Writer) error { return f.DrawSpares(w, farm.Value, asOf, found, size) })
}
