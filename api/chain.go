package api

import (
	"context"
	"crypto/rand"
	"log/slog"
	"net"
	"net/http"
	"runtime/debug"
	"strings"
	"time"

	"headtally/api/internal/edge"
)

// step is one thing done around every request.
type step func(http.Handler) http.Handler

// chain puts steps around a handler, the first outermost.
func chain(h http.Handler, steps ...step) http.Handler {
	for i := len(steps) - 1; i >= 0; i-- {
		h = steps[i](h)
	}
	return h
}

// named gives a request the name the log and its problem know it by. A name
// the asker sends is not taken over: it could be anything.
func named(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		id := rand.Text()
		w.Header().Set("X-Request-ID", id)
		next.ServeHTTP(w, r.WithContext(edge.WithRequestID(r.Context(), id)))
	})
}

// sent remembers what of an answer has gone out.
type sent struct {
	http.ResponseWriter
	status int
}

func (s *sent) WriteHeader(status int) {
	if s.status == 0 {
		s.status = status
	}
	s.ResponseWriter.WriteHeader(status)
}

func (s *sent) Write(b []byte) (int, error) {
	if s.status == 0 {
		s.status = http.StatusOK
	}
	return s.ResponseWriter.Write(b)
}

// Unwrap lets http.ResponseController reach the connection.
func (s *sent) Unwrap() http.ResponseWriter { return s.ResponseWriter }

// watched logs every request and catches a panic: the asker is told that
// something went wrong and its name, the log has the rest.
func watched(t *teller, now func() time.Time) step {
	return func(next http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			out, began := &sent{ResponseWriter: w}, now()
			defer func() {
				if p := recover(); p != nil {
					if p == http.ErrAbortHandler {
						panic(p)
					}
					t.log.LogAttrs(r.Context(), slog.LevelError, "panic", slog.String("request", edge.RequestID(r.Context())),
						slog.Any("panic", p), slog.String("stack", string(debug.Stack())))
					if out.status != 0 {
						panic(http.ErrAbortHandler) // half an answer must not look like a whole one
					}
					t.tell(out, r, errPanic)
				}
				t.log.LogAttrs(r.Context(), slog.LevelInfo, "request", slog.String("request", edge.RequestID(r.Context())),
					slog.String("method", r.Method), slog.String("path", shown(r.URL.Path)), slog.Int("status", out.status),
					slog.Duration("took", now().Sub(began)))
			}()
			next.ServeHTTP(out, r)
		})
	}
}

// guarded sets the headers that keep a browser from doing harm with an answer.
// A page may be shown only by itself, and runs nothing that is not a file of
// this service.
func guarded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if edge.From(r.Context()).Secret {
			h.Set("Strict-Transport-Security", "max-age=31536000")
		}
		next.ServeHTTP(w, r)
	})
}

// called refuses a request that calls the service by a name that is not its
// own, so that no other site's name can be pointed at it (DNS rebinding). The
// machine itself may always call it.
func called(t *teller, hosts []string) step {
	return func(next http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			if !ours(r.Host, hosts) {
				t.tell(w, r, edge.ErrHost)
				return
			}
			next.ServeHTTP(w, r)
		})
	}
}

func ours(host string, hosts []string) bool {
	name, _, err := net.SplitHostPort(host)
	if err != nil {
		name = host
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	if ip := net.ParseIP(name); name == "localhost" || ip != nil && ip.IsLoopback() {
		return true
	}
	for _, h := range hosts {
		if strings.EqualFold(h, name) {
			return true
		}
	}
	return false
}

// sameOrigin refuses changes that a browser sends for another site's page.
// Programs send neither of the headers it looks at and are let through.
func sameOrigin(t *teller) step {
	guard := http.NewCrossOriginProtection()
	guard.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { t.tell(w, r, edge.ErrCrossOrigin) }))
	return guard.Handler
}

// answerTime is how long a request may take before its work is broken off.
const answerTime = 60 * time.Second

func hurried(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), answerTime)
		defer cancel()
		next.ServeHTTP(w, r.WithContext(ctx))
	})
}

// headed answers HEAD as GET; the server below leaves the body out.
func headed(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodHead {
			get := r.Clone(r.Context())
			get.Method = http.MethodGet
			r = get
		}
		next.ServeHTTP(w, r)
	})
}
