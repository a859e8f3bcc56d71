package v1

import (
	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

func (f *Face) customers() []edge.Route {
	return routes(f, noun[domain.Customer]{path: "/v1/customers", member: "code", shelf: f.Book.Customers,
		code: func(v *domain.Customer) *string { return &v.Code },
		filter: func(q *edge.Query, chosen *book.Query) {
			byName(q, chosen)
			equal(q, chosen, "carrier")
		}})
}
