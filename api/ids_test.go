package api_test

import (
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api"
	"headtally/api/book"
	"headtally/domain/store"
)

// FuzzIDs asks for records under any id at all, escaped as a program would and
// as it is: there is none, or the address is wrong, and nothing else happens.
func FuzzIDs(f *testing.F) {
	for _, id := range []string{"O1", "../farm", "a/b", "%2e%2e", "\x00", "é", "' OR 1=1 --", strings.Repeat("A", 9000), "?x=1", "#", "\r\nX: y", "\xff\xfe"} {
		f.Add(id)
	}
	clock := func() time.Time { return now }
	s, err := store.Open(f.Context(), f.TempDir(), clock)
	require.NoError(f, err)
	f.Cleanup(func() { require.NoError(f, s.Close()) })
	handler, err := api.New(api.Deps{Book: book.New(s, clock), Now: clock, Log: slog.New(slog.NewTextHandler(io.Discard, nil)), Alone: true})
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, id string) {
		for _, path := range []string{"/v1/orders/", "/v1/varieties/", "/v1/traces/", "/v1/lines/", "/v1/batches/", "/v1/imports/parked/"} {
			for _, at := range []*url.URL{{Path: path + id, RawPath: path + url.PathEscape(id)}, {Path: path + id}} {
				r := &http.Request{Method: http.MethodGet, URL: at, Host: "localhost", RemoteAddr: atMachine, Header: http.Header{}, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1, Body: http.NoBody}
				res := httptest.NewRecorder()
				handler.ServeHTTP(res, r.WithContext(t.Context()))
				require.Less(t, res.Code, 500, "%q", id)
			}
		}
	})
}
