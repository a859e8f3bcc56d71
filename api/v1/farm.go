package v1

import (
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

func (f *Face) farm() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/farm", May: book.MayRead, Handle: f.getFarm},
		{Method: http.MethodPut, Path: "/v1/farm", May: book.MayManage, Limit: edge.JSONLimit, Handle: f.setFarm},
	}
}

func (f *Face) getFarm(a *edge.Ask) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	rec, err := f.Book.Farm(a.Context())
	if err != nil {
		return nil, err
	}
	return readRecord(a, rec)
}

func (f *Face) setFarm(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	reason := q.Text("why")
	if err := q.Err(); err != nil {
		return nil, err
	}
	var v domain.Farm
	if err := a.Decode(&v); err != nil {
		return nil, err
	}
	base, err := a.Base(func() (int64, error) {
		rec, err := f.Book.Farm(a.Context())
		return rec.Rev, err
	})
	if err != nil {
		return nil, err
	}
	rec, err := f.Book.SetFarm(a.Context(), a.Person, v, book.Note{Why: reason, Base: base})
	if err != nil {
		return nil, err
	}
	return record(http.StatusOK, rec)
}
