package v1

import (
	"context"
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/api/words"
	"headtally/domain"
)

// parked are rows of order sheets that could not be read and wait for a person.
func (f *Face) parked() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/imports/parked", May: book.MayRead, Handle: f.listParked},
		{Method: http.MethodPost, Path: "/v1/imports/parked/{id}/settle", May: book.MayOrder, Limit: edge.JSONLimit, Handle: f.settleParked},
	}
}

type parkedDoc struct {
	ID       string     `json:"id"`
	Sheet    string     `json:"sheet"`
	Row      int        `json:"row"`
	Day      domain.Day `json:"day"`
	Cells    []string   `json:"cells"`
	Fault    edge.Wrong `json:"fault"`
	Done     string     `json:"done,omitempty"`
	Revision int64      `json:"revision"`
	Ended    bool       `json:"ended"`
}

func parkedOf(r book.Record[domain.ParkedRow], s *words.Speech) parkedDoc {
	v := r.Value
	return parkedDoc{ID: v.ID, Sheet: v.Sheet, Row: v.Row, Day: v.Day, Cells: v.Cells, Done: v.Done, Revision: r.Rev, Ended: r.Ended,
		Fault: edge.Wrongs(domain.Faults{v.Fault}, edge.InSheet, s)[0]}
}

// listParked lists what waits, from a day on: today where none is named.
func (f *Face) listParked(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
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
	rows, err := f.Book.Parked(a.Context(), a.Person, from)
	if err != nil {
		return nil, err
	}
	doc := struct {
		Items []parkedDoc `json:"items"`
	}{}
	for _, r := range rows {
		doc.Items = append(doc.Items, parkedOf(r, edge.Speech(a.Request)))
	}
	return edge.JSON(http.StatusOK, doc)
}

// settleParked takes a row off the list.
func (f *Face) settleParked(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	note := book.Note{Why: q.Text("why")}
	if err := q.Err(); err != nil {
		return nil, err
	}
	var said struct {
		Done string `json:"done" validate:"required,max=100,line"`
	}
	if err := a.Decode(&said); err != nil {
		return nil, err
	}
	if err := domain.Check(said).Err(); err != nil {
		return nil, err
	}
	var err error
	if note.Base, err = a.Base(f.present(a)); err != nil {
		return nil, err
	}
	return once(f, a, said, func(ctx context.Context) (book.Record[domain.ParkedRow], error) {
		return f.Book.SettleParked(ctx, a.Person, a.Path("id"), said.Done, note)
	}, func(r book.Record[domain.ParkedRow]) (*edge.Answer, error) {
		answer, err := edge.JSON(http.StatusOK, parkedOf(r, edge.Speech(a.Request)))
		if err != nil {
			return nil, err
		}
		return answer.With("ETag", edge.Tag(r.Rev)), nil
	})
}

// present reads the revision of the parked row a request names.
func (f *Face) present(a *edge.Ask) func() (int64, error) {
	return func() (int64, error) {
		rows, err := f.Book.Parked(a.Context(), a.Person, 0)
		for _, r := range rows {
			if r.Value.ID == a.Path("id") {
				return r.Rev, nil
			}
		}
		return book.NoBase, err
	}
}
