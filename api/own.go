package api

import (
	"net/http"
	"slices"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/openapi"
)

// ownRoutes are the addresses of the service itself: whether it is well, what
// it takes and answers, what its refusals mean, and its figures for Prometheus.
func ownRoutes(b *book.Book, m *meters) ([]edge.Route, error) {
	asJSON, err := openapi.JSON()
	if err != nil {
		return nil, err
	}
	return []edge.Route{
		{Method: http.MethodGet, Path: "/healthz", May: edge.Anybody, Handle: plain(func(*edge.Ask) (*edge.Answer, error) {
			return edge.JSON(http.StatusOK, struct {
				Status string `json:"status"`
			}{"ok"})
		})},
		{Method: http.MethodGet, Path: "/readyz", May: edge.Anybody, Handle: plain(func(a *edge.Ask) (*edge.Answer, error) {
			rev, err := ready(a.Context(), b)
			if err != nil {
				return nil, err
			}
			return edge.JSON(http.StatusOK, struct {
				Status   string `json:"status"`
				Revision int64  `json:"revision"`
			}{"ready", rev})
		})},
		{Method: http.MethodGet, Path: "/metrics", May: book.MayOrder, Handle: plain(m.text)},
		{Method: http.MethodGet, Path: "/openapi.yaml", May: edge.Anybody, Handle: file("application/yaml", openapi.YAML)},
		{Method: http.MethodGet, Path: "/openapi.json", May: edge.Anybody, Handle: file("application/json", asJSON)},
		{Method: http.MethodGet, Path: "/problems/{kind}", May: edge.Anybody, Handle: plain(aboutProblem)},
	}, nil
}

// plain is a handler of an address that takes no parameters.
func plain(h edge.Handler) edge.Handler {
	return func(a *edge.Ask) (*edge.Answer, error) {
		if err := a.ReadQuery().Err(); err != nil {
			return nil, err
		}
		return h(a)
	}
}

func file(kind string, body []byte) edge.Handler {
	return plain(func(*edge.Ask) (*edge.Answer, error) {
		return (&edge.Answer{Status: http.StatusOK, Body: body}).With("Content-Type", kind), nil
	})
}

// aboutProblem tells what a kind of refusal means.
func aboutProblem(a *edge.Ask) (*edge.Answer, error) {
	name := a.Path("kind")
	i := slices.IndexFunc(append(kinds, unexpected), func(k kind) bool { return k.name == name })
	if i < 0 {
		return nil, edge.ErrNoRoute
	}
	s := edge.Speech(a.Request)
	answer, err := edge.JSON(http.StatusOK, struct {
		Type   string `json:"type"`
		Title  string `json:"title"`
		Status int    `json:"status"`
		Detail string `json:"detail"`
	}{problemType(name), s.Say("problem." + name), append(kinds, unexpected)[i].status, s.Say("problem." + name + ".about")})
	if err != nil {
		return nil, err
	}
	return answer.With("Content-Language", s.Language), nil
}
