package v1

import (
	"headtally/api/internal/edge"
	"headtally/domain"
)

func (f *Face) carriers() []edge.Route {
	return routes(f, noun[domain.Carrier]{path: "/v1/carriers", member: "code", shelf: f.Book.Carriers,
		code: func(v *domain.Carrier) *string { return &v.Code }, filter: byName})
}
