// Package api is the edge of the service: it assembles the faces into one
// handler, names every request, guards it, and tells every refusal in one place.
//
//	handler, err := api.New(api.Deps{Book: b, Now: time.Now, Log: log})
//	err = api.Server("127.0.0.1:8080", handler).ListenAndServe()
//
// The web framework is echo v4, whose support ends with 2026
// (https://github.com/labstack/echo, README). It is kept to routing: handlers of
// the JSON face take an edge.Ask and return an edge.Answer, everything around
// them is net/http, and the framework's types stand in server.go (route) and
// errors.go (echoErrors) only, beside the pages' own registration. For its
// successor, v5, those two change: Context becomes a struct that is pointed to,
// and the error handler takes its arguments the other way round.
package api

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/api/internal/edge"
	v1 "headtally/api/v1"
	"headtally/domain"
)

// Deps is what the service stands on.
type Deps struct {
	Book  *book.Book
	Now   func() time.Time
	Log   *slog.Logger
	Hosts []string // names, without port, it may be called by beside localhost and loopback addresses

	// PackList writes the pack list of a day as a PDF on letter or a4 paper.
	PackList func(w io.Writer, d *book.Day, paper string) error

	// ReadSheets reads a spreadsheet's tables, what should be known of how it was
	// read, and what is wrong with it as domain.Faults.
	ReadSheets func(name string, content []byte) ([]book.Table, domain.Faults, error)

	// Pages are the office's pages; nil: none. Pages that are a Refuser tell
	// refusals in their own form.
	Pages interface{ Register(e *echo.Echo) }
}

// New is the whole service.
func New(d Deps) (http.Handler, error) {
	t := &teller{log: d.Log}
	t.pages, _ = d.Pages.(Refuser)
	e := echo.New()
	e.HTTPErrorHandler = t.echoErrors
	own, err := ownRoutes(d.Book)
	if err != nil {
		return nil, err
	}
	for _, r := range append(own, v1.New(v1.Deps{Book: d.Book, PackList: d.PackList, ReadSheets: d.ReadSheets}).Routes()...) {
		route(e, r)
	}
	if d.Pages != nil {
		d.Pages.Register(e)
	}
	return chain(e, named, guarded, watched(t, d.Now), called(t, d.Hosts), sameOrigin(t), known, hurried, headed, packed), nil
}

// Server serves a handler on an address. No stage of a request may take for ever.
func Server(addr string, h http.Handler) *http.Server {
	return &http.Server{Addr: addr, Handler: h,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       answerTime,
		WriteTimeout:      2 * answerTime,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    32 << 10,
	}
}

// route hands one line of a table to the framework.
func route(e *echo.Echo, r edge.Route) {
	path := strings.NewReplacer("{", ":", "}", "").Replace(r.Path)
	e.Add(r.Method, path, func(c echo.Context) error {
		ask := &edge.Ask{Request: c.Request(), Person: edge.Person(c.Request().Context()), Limit: r.Limit,
			Path: func(name string) string { return pathPart(c, name) }}
		answer, err := r.Handle(ask)
		if err != nil {
			return err
		}
		return answer.Write(c.Response())
	})
}

// pathPart is a part of the address, decoded: the framework decodes it only
// where no part holds an escaped slash.
func pathPart(c echo.Context, name string) string {
	part := c.Param(name)
	if c.Request().URL.RawPath == "" {
		return part
	}
	decoded, err := url.PathUnescape(part)
	if err != nil {
		return part
	}
	return decoded
}

var errPanic = errors.New("panic")

// wantsPage says whether a person with a browser asked, rather than a program.
func wantsPage(r *http.Request) bool {
	return !strings.HasPrefix(r.URL.Path, "/v1/") && strings.Contains(r.Header.Get("Accept"), "text/html")
}

// ready says whether the book can be read.
func ready(ctx context.Context, b *book.Book) (int64, error) {
	rev, err := b.Revision(ctx)
	if err != nil {
		return 0, errors.Join(edge.ErrNotReady, err)
	}
	return rev, nil
}
