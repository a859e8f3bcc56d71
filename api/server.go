// Package api is the edge of the service: it assembles the faces into one
// handler, names every request, guards it, and tells every refusal in one place.
//
//	handler, err := api.New(api.Deps{Book: b, Now: time.Now, Log: log})
//	err = api.Server("127.0.0.1:8080", handler).ListenAndServe()
//
// The web framework is echo v4, whose support ends with 2026
// (https://github.com/labstack/echo, README). It is kept to routing: handlers of
// the JSON face take an edge.Ask and return an edge.Answer, everything around
// them is net/http, and the framework's types stand in server.go (route, guard) and
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
	"net/netip"
	"net/url"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/api/internal/edge"
	v1 "headtally/api/v1"
	"headtally/api/words"
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

	// Rack lists the papers of a packing day; Draw writes one of them as a PDF on
	// letter or a4 paper, "" is the farm's.
	Rack func(p *book.PackingDay) []v1.Paper
	Draw func(w io.Writer, p *book.PackingDay, name, paper string) error

	// DrawGrowing writes one of the papers of growing likewise.
	DrawGrowing func(w io.Writer, g *book.GrowingDay, name, paper string) error

	// DrawRecall and DrawSpares write a recall, and the list of what can still be
	// had, likewise; SpareLines is that list in a few lines to paste.
	DrawRecall func(w io.Writer, c *book.Recall, paper string) error
	DrawSpares func(w io.Writer, farm domain.Farm, asOf domain.Day, spares []book.Spare, paper string) error
	SpareLines func(farm domain.Farm, spares []book.Spare) []string

	// WriteCSV and WriteXLSX write tables for a spreadsheet in a language.
	WriteCSV  func(w io.Writer, t book.Table, s *words.Speech) error
	WriteXLSX func(w io.Writer, tables []book.Table, s *words.Speech) error

	// Pages are the office's pages; nil: none. Pages that are a Refuser tell
	// refusals in their own form.
	Pages Pages

	// Alone makes whoever asks from this machine its owner for as long as the book
	// has no people: for the demo and for tests.
	Alone bool
	// Proxies are the ones that may say for whom they ask.
	Proxies []netip.Prefix
	// Gauges are figures of the house for /metrics, beside the service's own.
	Gauges []Gauge
	// Pace is how many requests a second each key, person or address may make, with
	// four seconds' at once; 0: as many as they like.
	Pace int
	// Broken is called once a request was told that its write to the disk failed:
	// nothing the program remembers of the disk can be relied on any more.
	Broken func(error)
}

// Pages is a face that is reached with a browser.
type Pages interface {
	Register(e *echo.Echo)
	// May is what each address asks of who comes, by method and address with its
	// parts in braces: "GET /orders/{day}".
	May() map[string]book.Right
}

// New is the whole service.
func New(d Deps) (http.Handler, error) {
	t := &teller{log: d.Log, broken: d.Broken}
	t.pages, _ = d.Pages.(Refuser)
	e := echo.New()
	e.HTTPErrorHandler = t.echoErrors
	meters := newMeters(d.Book, d.Gauges)
	own, err := ownRoutes(d.Book, meters)
	if err != nil {
		return nil, err
	}
	door := &door{book: d.Book, now: d.Now, log: d.Log, alone: d.Alone, pace: newPace(d.Pace), mays: map[string]book.Right{}}
	e.Use(counted(meters, d.Now), guard(door))
	for _, r := range append(append(own, feedRoute(d.Book, d.Now)), v1.New(d.wire()).Routes()...) {
		if err := door.state(r.Method+" "+r.Path, r.May); err != nil {
			return nil, err
		}
		route(e, r)
	}
	if d.Pages != nil {
		if err := pages(e, door, d.Pages); err != nil {
			return nil, err
		}
	}
	return chain(e, named, placed(d.Proxies), guarded, watched(t, d.Now), called(t, d.Hosts), sameOrigin(t), hurried, headed, packed), nil
}

// wire is what the JSON face stands on.
func (d *Deps) wire() v1.Deps {
	return v1.Deps{Book: d.Book, Now: d.Now, PackList: d.PackList, ReadSheets: d.ReadSheets, Rack: d.Rack, Draw: d.Draw, DrawGrowing: d.DrawGrowing,
		DrawRecall: d.DrawRecall, DrawSpares: d.DrawSpares, SpareLines: d.SpareLines, WriteCSV: d.WriteCSV, WriteXLSX: d.WriteXLSX}
}

// pages registers a face of pages, each of whose addresses says who may use it.
func pages(e *echo.Echo, d *door, face Pages) error {
	face.Register(e)
	mays := face.May()
	for _, r := range e.Routes() {
		address := addressOf(r.Method, r.Path)
		if _, stated := d.mays[address]; stated {
			continue
		}
		if err := d.state(address, mays[address]); err != nil {
			return err
		}
	}
	return nil
}

// counted counts every answer under its address.
func counted(m *meters, now func() time.Time) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			began, address := now(), "none"
			if c.Path() != "" {
				address = addressOf(c.Request().Method, c.Path())
			}
			err := next(c)
			status := c.Response().Status
			if err != nil {
				status = kindOf(oursFor(err)).status
			}
			m.note(address, status, now().Sub(began))
			return err
		}
	}
}

// guard puts the door before every address.
func guard(d *door) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			r, err := d.pass(c.Request(), addressOf(c.Request().Method, c.Path()))
			if err != nil {
				return err
			}
			c.SetRequest(r)
			return next(c)
		}
	}
}

// addressOf is a method and the framework's path as the tables have it.
func addressOf(method, path string) string {
	parts := strings.Split(path, "/")
	for i, part := range parts {
		if name, is := strings.CutPrefix(part, ":"); is {
			parts[i] = "{" + name + "}"
		}
	}
	return method + " " + strings.Join(parts, "/")
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
	return !forPrograms(r.URL.Path) && strings.Contains(r.Header.Get("Accept"), "text/html")
}

// ready says whether the book can be read.
func ready(ctx context.Context, b *book.Book) (int64, error) {
	rev, err := b.Revision(ctx)
	if err != nil {
		return 0, errors.Join(edge.ErrNotReady, err)
	}
	return rev, nil
}
