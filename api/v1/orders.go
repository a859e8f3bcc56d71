package v1

import (
	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

func (f *Face) orders() []edge.Route {
	return routes(f, noun[domain.Order]{path: "/v1/orders", member: "id", shelf: f.Book.Orders,
		code: func(v *domain.Order) *string { return &v.ID },
		filter: func(q *edge.Query, chosen *book.Query) {
			equal(q, chosen, "customer", "reference")
			between(q, chosen, "pickup")
		}})
}
