package v1

import (
	"headtally/api/internal/edge"
	"headtally/domain"
)

func (f *Face) products() []edge.Route {
	return routes(f, noun[domain.Product]{path: "/v1/products", member: "code", shelf: f.Book.Products,
		code: func(v *domain.Product) *string { return &v.Code }, filter: byName})
}
