package v1

import (
	"headtally/api/internal/edge"
	"headtally/domain"
)

// layouts are how senders write their order sheets.
func (f *Face) layouts() []edge.Route {
	return routes(f, noun[domain.Layout]{path: "/v1/layouts", member: "code", shelf: f.Book.Layouts(),
		code: func(v *domain.Layout) *string { return &v.Code }, filter: byName})
}
