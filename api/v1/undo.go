package v1

import (
	"context"
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
)

// undos take back the last change to an order, a standing order or what was
// decided about a line, by the person who made it. Undoing again brings the
// change back.
func (f *Face) undos() []edge.Route {
	byID := func(a *edge.Ask) (string, error) { return a.Path("id"), nil }
	return []edge.Route{
		{Method: http.MethodPost, Path: "/v1/orders/{id}/undo", May: book.MayOrder, Handle: f.undo("order", byID)},
		{Method: http.MethodPost, Path: "/v1/standing-orders/{id}/undo", May: book.MayOrder, Handle: f.undo("standing order", byID)},
		{Method: http.MethodPost, Path: linePath + "/undo", May: book.MayOrder, Handle: f.undo("decision", lineID)},
	}
}

func (f *Face) undo(kind string, code func(*edge.Ask) (string, error)) edge.Handler {
	return func(a *edge.Ask) (*edge.Answer, error) {
		q := a.ReadQuery()
		reason := note(q)
		if err := q.Err(); err != nil {
			return nil, err
		}
		of, err := code(a)
		if err != nil {
			return nil, err
		}
		return once(f, a, nil, func(ctx context.Context) (bool, error) {
			return true, f.Book.Undo(ctx, a.Person, kind, of, reason)
		}, func(undone bool) (*edge.Answer, error) {
			return edge.JSON(http.StatusOK, struct {
				Undone bool `json:"undone"`
			}{undone})
		})
	}
}
