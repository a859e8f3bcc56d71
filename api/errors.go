package api

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"

	"github.com/labstack/echo/v4"

	"headtally/api/internal/edge"
	"headtally/api/words"
	"headtally/domain"
)

// kind is one kind of refusal: how it is found in an error, its status, and the
// name its problem type ends in.
type kind struct {
	err    error
	status int
	name   string
}

// kinds is read from the top; the first that errors.Is finds holds. What none
// finds is a fault of the program.
var kinds = []kind{
	{edge.ErrMalformed, http.StatusBadRequest, "malformed"},
	{edge.ErrNoKey, http.StatusBadRequest, "no-key"},
	{domain.ErrSignIn, http.StatusUnauthorized, "sign-in"},
	{domain.ErrDenied, http.StatusForbidden, "denied"},
	{edge.ErrCrossOrigin, http.StatusForbidden, "cross-origin"},
	{domain.ErrNotFound, http.StatusNotFound, "not-found"},
	{edge.ErrNoRoute, http.StatusNotFound, "no-address"},
	{edge.ErrMethod, http.StatusMethodNotAllowed, "method"},
	{edge.ErrKeyBusy, http.StatusConflict, "key-busy"},
	{domain.ErrStale, http.StatusPreconditionFailed, "stale"},
	{domain.ErrConflict, http.StatusConflict, "conflict"},
	{edge.ErrTooLarge, http.StatusRequestEntityTooLarge, "too-large"},
	{edge.ErrMediaType, http.StatusUnsupportedMediaType, "media-type"},
	{edge.ErrHost, http.StatusMisdirectedRequest, "host"},
	{edge.ErrKeyReused, http.StatusUnprocessableEntity, "key-reused"},
	{domain.ErrInvalid, http.StatusUnprocessableEntity, "invalid"},
	{domain.ErrNoMatch, http.StatusPreconditionRequired, "no-revision"},
	{domain.ErrWait, http.StatusTooManyRequests, "wait"},
	{domain.ErrFull, http.StatusInsufficientStorage, "disk-full"},
	{domain.ErrDisk, http.StatusInternalServerError, "disk-fault"},
	{edge.ErrBusy, http.StatusServiceUnavailable, "busy"},
	{edge.ErrNotReady, http.StatusServiceUnavailable, "not-ready"},
	{domain.ErrAway, http.StatusServiceUnavailable, "away"},
	{context.DeadlineExceeded, http.StatusServiceUnavailable, "busy"},
	{context.Canceled, http.StatusServiceUnavailable, "busy"},
}

// unexpected is a fault of the program: its text stays in the log.
var unexpected = kind{nil, http.StatusInternalServerError, "unexpected"}

func kindOf(err error) kind {
	for _, k := range kinds {
		if errors.Is(err, k.err) {
			return k
		}
	}
	return unexpected
}

// problem tells an error as its asker may know it.
func problem(r *http.Request, err error, s *words.Speech) edge.Problem {
	k := kindOf(err)
	p := edge.Problem{Type: problemType(k.name), Title: s.Say("problem." + k.name), Status: k.status,
		Detail: s.Say("problem." + k.name + ".about"), Request: edge.RequestID(r.Context())}
	var refusal *domain.Refusal
	var bad *edge.Bad
	var faults domain.Faults
	switch {
	case k == unexpected:
	case errors.As(err, &bad):
		p.Errors = edge.Wrongs(bad.Faults, bad.In, s)
	case errors.As(err, &faults):
		p.Errors = edge.Wrongs(faults, edge.InBody, s)
	case errors.As(err, &refusal):
		p.Detail = s.Refusal(refusal)
		p.Revision, _ = refusal.Args["revision"].(int64)
	}
	return p
}

func problemType(name string) string { return "/problems/" + name }

// Refuser is a face that tells refusals in its own form, as pages do.
type Refuser interface {
	// Refuse writes a refusal to who asked for a page, in the words that the page
	// speaks.
	Refuse(w http.ResponseWriter, r *http.Request, status int, told func(*words.Speech) edge.Problem) error
}

// teller writes every refusal of the service, whoever made it.
type teller struct {
	log    *slog.Logger
	pages  Refuser     // nil: there are no pages
	broken func(error) // what happens once a write to the disk has failed
}

// tell writes a refusal once. What is not of a known kind is logged here, and
// nowhere else.
func (t *teller) tell(w http.ResponseWriter, r *http.Request, err error) {
	s := edge.Speech(r)
	p := problem(r, err, s)
	if p.Status >= http.StatusInternalServerError {
		t.log.LogAttrs(r.Context(), slog.LevelError, "refused", slog.String("request", p.Request), slog.Int("status", p.Status),
			slog.String("method", r.Method), slog.String("path", r.URL.Path), slog.String("error", err.Error()))
	}
	lead(w.Header(), p.Status, err)
	if errors.Is(err, domain.ErrDisk) && t.broken != nil {
		defer t.broken(err)
	}
	if t.pages != nil && wantsPage(r) {
		err = t.pages.Refuse(w, r, p.Status, func(s *words.Speech) edge.Problem { return problem(r, err, s) })
	} else {
		err = writeProblem(w, p, s.Language)
	}
	if err != nil {
		t.log.LogAttrs(r.Context(), slog.LevelDebug, "answer not sent", slog.String("request", p.Request), slog.String("error", err.Error()))
	}
}

// lead says in a refusal's headers what to do: how to be known, when to come
// again.
func lead(h http.Header, status int, err error) {
	var refusal *domain.Refusal
	switch {
	case status == http.StatusUnauthorized:
		h.Set("WWW-Authenticate", `Bearer realm="headtally"`)
	case status == http.StatusTooManyRequests && errors.As(err, &refusal):
		h.Set("Retry-After", fmt.Sprint(refusal.Args["seconds"]))
	}
}

func writeProblem(w http.ResponseWriter, p edge.Problem, language string) error {
	a, err := edge.JSON(p.Status, p)
	if err != nil {
		return err
	}
	return a.With("Content-Type", "application/problem+json").With("Content-Language", language).Write(w)
}

// echoErrors is the framework's place for errors. The framework's own, of
// addresses and methods, become ours.
func (t *teller) echoErrors(err error, c echo.Context) {
	if c.Response().Committed {
		t.log.LogAttrs(c.Request().Context(), slog.LevelError, "broken off", slog.String("request", edge.RequestID(c.Request().Context())),
			slog.String("error", err.Error()))
		return
	}
	t.tell(c.Response(), c.Request(), oursFor(err))
}

// oursFor is our refusal for one of the framework's.
func oursFor(err error) error {
	var own *echo.HTTPError
	if errors.As(err, &own) {
		switch own.Code {
		case http.StatusNotFound:
			return edge.ErrNoRoute
		case http.StatusMethodNotAllowed:
			return edge.ErrMethod
		}
	}
	return err
}
