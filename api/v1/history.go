package v1

import (
	"net/http"
	"time"

	"headtally/api/book"
	"headtally/api/internal/edge"
)

func (f *Face) history() []edge.Route {
	return []edge.Route{{Method: http.MethodGet, Path: "/v1/history", May: book.MayRead, Handle: f.getHistory}}
}

// changeDoc is one change. Before and After are the record's document as text,
// in whatever form it had then; left out before it was made and after it ended.
type changeDoc struct {
	Seq      int64     `json:"seq"`
	Revision int64     `json:"revision"`
	At       time.Time `json:"at"`
	Who      string    `json:"who"`
	Why      string    `json:"why"`
	Kind     string    `json:"kind"`
	Code     string    `json:"code"`
	Before   string    `json:"before,omitempty"`
	After    string    `json:"after,omitempty"`
}

func (f *Face) getHistory(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	limit := q.Whole("limit", 1, pageMost, pageUsual)
	kind, code := q.Text("kind"), q.Text("code")
	if err := q.Err(); err != nil {
		return nil, err
	}
	entries, err := f.Book.History(a.Context(), a.Person, kind, code, limit)
	if err != nil {
		return nil, err
	}
	doc := struct {
		Items []changeDoc `json:"items"`
	}{}
	for _, e := range entries {
		doc.Items = append(doc.Items, changeDoc(e))
	}
	return edge.JSON(http.StatusOK, doc)
}
