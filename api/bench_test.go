package api_test

import (
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api"
	"headtally/api/book"
	"headtally/domain/store"
)

// benchmarked is the service over a small farm, without a log.
func benchmarked(b *testing.B) func(method, path, body, key string) int {
	b.Helper()
	clock := func() time.Time { return now }
	s, err := store.Open(b.Context(), b.TempDir(), clock)
	require.NoError(b, err)
	b.Cleanup(func() { require.NoError(b, s.Close()) })
	handler, err := api.New(api.Deps{Book: book.New(s, clock), Now: clock, Log: slog.New(slog.NewTextHandler(io.Discard, nil)), Alone: true})
	require.NoError(b, err)
	send := func(method, path, body, key string) int {
		r := httptest.NewRequest(method, path, strings.NewReader(body))
		r.Host, r.RemoteAddr = "localhost", atMachine
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Idempotency-Key", key)
		res := httptest.NewRecorder()
		handler.ServeHTTP(res, r)
		return res.Code
	}
	for i, rec := range [][2]string{
		{"varieties", `{"code":"BUTTER","name":"Green butterhead"}`},
		{"products", `{"code":"B12","name":"Butterhead 12","slots":[{"heads":12,"accept":["BUTTER"]}]}`},
		{"carriers", `{"code":"NORTH","name":"North truck","pickups":["wed","fri"],"hour":"06:30"}`},
		{"customers", `{"code":"MILL","name":"Mill kitchen"}`},
		{"counts", `{"day":"2027-03-01","whole":true,"beds":[{"bed":"A1","variety":"BUTTER","rafts_now":20}]}`},
	} {
		require.Equal(b, http.StatusCreated, send("POST", "/v1/"+rec[0], rec[1], fmt.Sprint("begin-", i)))
	}
	return send
}

// BenchmarkTakeAnOrder is one order stored, from the request to its answer.
func BenchmarkTakeAnOrder(b *testing.B) {
	send := benchmarked(b)
	for i := 0; b.Loop(); i++ {
		if code := send("POST", "/v1/orders", `{"customer":"MILL","pickup":"2027-06-02","lines":[{"product":"B12","cases":2}]}`, fmt.Sprint(i)); code != http.StatusCreated {
			b.Fatal(code)
		}
	}
}

// BenchmarkReadAnOrder is one order read.
func BenchmarkReadAnOrder(b *testing.B) {
	send := benchmarked(b)
	require.Equal(b, http.StatusCreated, send("POST", "/v1/orders", `{"id":"O1","customer":"MILL","pickup":"2027-03-03","lines":[{"product":"B12","cases":2}]}`, "o"))
	for b.Loop() {
		if code := send("GET", "/v1/orders/O1", "", ""); code != http.StatusOK {
			b.Fatal(code)
		}
	}
}

// BenchmarkReadThePlan is the book's plan read while nothing changes.
func BenchmarkReadThePlan(b *testing.B) {
	send := benchmarked(b)
	require.Equal(b, http.StatusCreated, send("POST", "/v1/orders", `{"customer":"MILL","pickup":"2027-03-03","lines":[{"product":"B12","cases":2}]}`, "o"))
	for b.Loop() {
		if code := send("GET", "/v1/plan", "", ""); code != http.StatusOK {
			b.Fatal(code)
		}
	}
}
