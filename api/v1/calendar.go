package v1

import (
	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

func (f *Face) calendar() []edge.Route {
	return routes(f, noun[domain.Exception]{path: "/v1/calendar", member: "id", shelf: f.Book.Exceptions,
		code: func(v *domain.Exception) *string { return &v.ID },
		filter: func(q *edge.Query, chosen *book.Query) {
			between(q, chosen, "day")
		}})
}
