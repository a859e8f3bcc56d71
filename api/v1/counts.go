package v1

import (
	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

func (f *Face) counts() []edge.Route {
	return routes(f, noun[domain.Count]{path: "/v1/counts", member: "id", shelf: f.Book.Counts,
		code: func(v *domain.Count) *string { return &v.ID },
		filter: func(q *edge.Query, chosen *book.Query) {
			between(q, chosen, "day")
		}})
}
