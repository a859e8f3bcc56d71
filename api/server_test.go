package api_test

import (
	"bufio"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api"
)

func TestWhoIsCalled(t *testing.T) {
	s := newService(t)
	for host, status := range map[string]int{
		"farm.example": 200, "FARM.example:8740": 200, "localhost": 200, "localhost:1": 200, "127.0.0.1:80": 200, "[::1]:80": 200,
		"evil.example": 421, "farm.example.evil.example": 421, "10.0.0.1": 421, "": 421, "localhost.evil.example": 421,
	} {
		r := s.request(call{method: "GET", path: "/healthz"})
		r.Host = host
		require.Equal(t, status, s.serve(r, "").Code, host)
	}
}

func TestGuards(t *testing.T) {
	s := newService(t)
	s.settle()
	for _, c := range []call{
		{name: "an answer", method: "GET", path: "/v1/farm", status: 200},
		{name: "a refusal", method: "GET", path: "/v1/nothing", status: 404, has: []string{"/problems/no-address"}},
		{name: "the contract", method: "GET", path: "/openapi.yaml", status: 200, has: []string{"openapi: 3.1.0"}},
	} {
		h := s.do(c).Header()
		require.Contains(t, h.Get("Content-Security-Policy"), "default-src 'self'", c.name)
		require.NotContains(t, h.Get("Content-Security-Policy"), "unsafe", c.name)
		require.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), c.name)
		require.Equal(t, "same-origin", h.Get("Cross-Origin-Opener-Policy"), c.name)
		require.Equal(t, "no-store", h.Get("Cache-Control"), c.name)
		require.NotEmpty(t, h.Get("X-Request-ID"), c.name)
		require.Empty(t, h.Get("Access-Control-Allow-Origin"), c.name)
		require.Empty(t, h.Get("Server"), c.name)
		require.Empty(t, h.Get("Strict-Transport-Security"), "not on plain HTTP")
	}
	r := s.request(call{method: "POST", path: "/v1/varieties", body: `{"name":"Lollo"}`})
	r.Header.Set("Origin", "https://evil.example")
	require.Equal(t, 403, s.serve(r, `{"name":"Lollo"}`).Code)
}

func TestMethods(t *testing.T) {
	s := newService(t)
	s.settle()
	for _, method := range []string{"PATCH", "TRACE", "PUT", "DELETE", "PROPFIND"} {
		res := s.do(call{name: method, method: method, path: "/v1/tally", status: 405, has: []string{"/problems/method"}})
		require.Contains(t, res.Header().Get("Allow"), "GET", method)
	}
	require.Contains(t, s.do(call{method: "PATCH", path: "/v1/orders/O1", status: 405}).Header().Get("Allow"), "DELETE")
	res := s.quietly("HEAD", "/v1/farm", "", nil)
	require.Equal(t, 200, res.Code)
	require.Equal(t, `"0"`, res.Header().Get("ETag"))
}

func TestAddresses(t *testing.T) {
	s := newService(t)
	s.settle()
	s.create("/v1/varieties", `{"code":"Ä.1","name":"Escarole"}`)
	s.do(call{name: "letters beyond ASCII", method: "GET", path: path("/v1/varieties/%s", "Ä.1"), status: 200})
	for _, odd := range []string{"a/b", "a%2fb", "%00", "..", "💧", "a b", "'; DROP TABLE orders; --", "\xff\xfe", strings.Repeat("x", 2000), "\r\nX: y"} {
		s.do(call{name: fmt.Sprintf("%q", odd), method: "GET", path: path("/v1/orders/%s", odd), status: 404, has: []string{"/problems/not-found"}})
	}
	for _, odd := range []string{"/v1", "/v1/", "/v1/orders/O1/", "/v1/orders/O1/lines", "//v1/orders", "/V1/orders", "/.git/config", "/v2/orders"} {
		s.do(call{name: odd, method: "GET", path: odd, status: 404})
	}
	for _, query := range []string{"limit=0", "limit=201", "limit=x", "limit=+5", "limit=1e2", "limit=", "limit=5&limit=6", "ended=yes", "after=", "after=%00", "after=%ff", "from=2027-02-29", "from=yesterday", "to=",
		"customer=" + strings.Repeat("x", 201), "%zz=1", "a;b=1"} {
		s.do(call{name: query, method: "GET", path: "/v1/orders?" + query, status: 400, has: []string{"/problems/malformed"}})
	}
}

func TestFaultsOfTheProgramAreNotShown(t *testing.T) {
	s := newService(t)
	for _, c := range []struct{ path, secret string }{{"/panics", "the wheel came off"}, {"/fails", "table 17 is on fire"}} {
		s.log.Reset()
		res := s.quietly("GET", c.path, "", nil)
		require.Equal(t, 500, res.Code)
		require.NotContains(t, res.Body.String(), c.secret)
		var p struct{ Request, Type string }
		require.NoError(t, json.Unmarshal(res.Body.Bytes(), &p))
		require.Equal(t, "/problems/unexpected", p.Type)
		require.Equal(t, res.Header().Get("X-Request-ID"), p.Request)
		require.Equal(t, 1, strings.Count(s.log.String(), c.secret), "told once in the log")
		require.Contains(t, s.log.String(), p.Request)
	}
	require.Contains(t, s.log.String(), `"msg":"request"`)
}

func TestLanguages(t *testing.T) {
	s := newService(t)
	for accept, want := range map[string]string{"": "en", "es": "es", "es-MX,es;q=0.9,en;q=0.1": "es", "fr": "en", "de, es;q=0.5": "es", "en-GB": "en", "%%%": "en"} {
		res := s.do(call{name: accept, method: "GET", path: "/v1/orders/NOPE", header: map[string]string{"Accept-Language": accept}, status: 404})
		require.Equal(t, want, res.Header().Get("Content-Language"), accept)
		require.Contains(t, res.Body.String(), map[string]string{"en": "there is no order NOPE", "es": "no existe"}[want])
	}
	s.do(call{method: "GET", path: "/problems/stale", header: map[string]string{"Accept-Language": "es"}, status: 200, has: []string{"Cambiado"}})
}

// TestEveryRefusalIsExplained looks up the address of each kind's type.
func TestEveryRefusalIsExplained(t *testing.T) {
	s := newService(t)
	for _, kind := range []string{"malformed", "no-key", "denied", "cross-origin", "not-found", "no-address", "method", "key-busy", "stale", "conflict",
		"too-large", "media-type", "host", "key-reused", "invalid", "no-revision", "disk-full", "disk-fault", "busy", "not-ready", "away", "unexpected"} {
		for _, language := range []string{"en", "es"} {
			s.do(call{name: kind, method: "GET", path: "/problems/" + kind, header: map[string]string{"Accept-Language": language}, status: 200,
				has: []string{`"type":"/problems/` + kind + `"`}, hasNot: []string{"problem."}})
		}
	}
}

func TestLongTextIsSentPacked(t *testing.T) {
	s := newService(t)
	s.settle()
	plain := s.do(call{method: "GET", path: "/v1/plan", status: 200})
	require.Empty(t, plain.Header().Get("Content-Encoding"))
	for accept, packed := range map[string]bool{"gzip": true, "br, gzip;q=0.5": true, "gzip;q=0": false, "identity": false, "GZIP": true} {
		res := s.quietly("GET", "/v1/plan", "", map[string]string{"Accept-Encoding": accept})
		require.Equal(t, packed, res.Header().Get("Content-Encoding") == "gzip", accept)
		require.Contains(t, res.Header().Values("Vary"), "Accept-Encoding")
		if !packed {
			continue
		}
		unpacked, err := gzip.NewReader(res.Body)
		require.NoError(t, err)
		text, err := io.ReadAll(unpacked)
		require.NoError(t, err)
		require.Equal(t, plain.Body.String(), string(text))
		tag := res.Header().Get("ETag")
		require.Equal(t, strings.TrimSuffix(plain.Header().Get("ETag"), `"`)+`-gzip"`, tag)
		s.do(call{name: "held packed", method: "GET", path: "/v1/plan", header: map[string]string{"If-None-Match": tag}, status: 304})
	}
	require.Empty(t, s.quietly("GET", "/healthz", "", map[string]string{"Accept-Encoding": "gzip"}).Header().Get("Content-Encoding"), "too short to be worth it")
}

func TestABookThatCannotBeRead(t *testing.T) {
	s := newService(t)
	require.NoError(t, s.store.Close())
	s.do(call{name: "ready", method: "GET", path: "/readyz", status: 503, has: []string{"/problems/not-ready"}})
	s.do(call{name: "alive", method: "GET", path: "/healthz", status: 200})
	s.do(call{name: "a list", method: "GET", path: "/v1/orders", status: 500, hasNot: []string{"sql", "closed"}})
}

func TestServerHasAnEndForEveryStage(t *testing.T) {
	h := api.Server("127.0.0.1:0", http.NotFoundHandler())
	for name, d := range map[string]time.Duration{"header": h.ReadHeaderTimeout, "read": h.ReadTimeout, "write": h.WriteTimeout, "idle": h.IdleTimeout} {
		require.Positive(t, d, name)
		require.LessOrEqual(t, d, 3*time.Minute, name)
	}
	require.LessOrEqual(t, h.ReadHeaderTimeout, 10*time.Second)
	require.LessOrEqual(t, h.MaxHeaderBytes, 64<<10)
}

// TestOverTheWire speaks to a real server: what a recorder does not show.
func TestOverTheWire(t *testing.T) {
	s := newService(t)
	s.settle()
	server := httptest.NewServer(s.handler)
	defer server.Close()
	conn, err := net.Dial("tcp", server.Listener.Addr().String())
	require.NoError(t, err)
	defer conn.Close()
	_, err = fmt.Fprintf(conn, "HEAD /v1/plan HTTP/1.1\r\nHost: localhost\r\n\r\nGET /healthz HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
	require.NoError(t, err)
	in := bufio.NewReader(conn)
	head, err := http.ReadResponse(in, &http.Request{Method: "HEAD"})
	require.NoError(t, err)
	require.Equal(t, 200, head.StatusCode)
	require.Positive(t, head.ContentLength)
	health, err := http.ReadResponse(in, nil)
	require.NoError(t, err, "HEAD had no body")
	text, err := io.ReadAll(health.Body)
	require.NoError(t, err)
	require.JSONEq(t, `{"status":"ok"}`, string(text))
}

// TestSlowClientsHoldNobodyUp leaves many requests half sent, and asks.
func TestSlowClientsHoldNobodyUp(t *testing.T) {
	s := newService(t)
	server := api.Server("", s.handler)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	for range 500 {
		slow, err := net.Dial("tcp", listener.Addr().String())
		require.NoError(t, err)
		defer slow.Close()
		_, err = io.WriteString(slow, "GET /v1/plan HTTP/1.1\r\nHost: localhost\r\nX-Slow: ")
		require.NoError(t, err)
	}
	client := http.Client{Timeout: 10 * time.Second}
	res, err := client.Get("http://" + listener.Addr().String() + "/healthz")
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Equal(t, 200, res.StatusCode)
	require.NoError(t, server.Close())
	require.ErrorIs(t, <-ended, http.ErrServerClosed)
}
