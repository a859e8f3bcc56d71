package v1

import (
	"headtally/api/internal/edge"
	"headtally/domain"
)

func (f *Face) varieties() []edge.Route {
	return routes(f, noun[domain.Variety]{path: "/v1/varieties", member: "code", shelf: f.Book.Varieties,
		code: func(v *domain.Variety) *string { return &v.Code }, filter: byName})
}
