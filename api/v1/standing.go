package v1

import (
	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

func (f *Face) standing() []edge.Route {
	return routes(f, noun[domain.Standing]{path: "/v1/standing-orders", member: "id", shelf: f.Book.Standing,
		code: func(v *domain.Standing) *string { return &v.ID },
		filter: func(q *edge.Query, chosen *book.Query) {
			equal(q, chosen, "customer", "product")
		}})
}
