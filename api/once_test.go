package api_test

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api"
	"headtally/domain/store"
)

const anOrder = `{"customer":"MILL","pickup":"2027-03-05","lines":[{"product":"B12","cases":2}]}`

func TestAnOrderSentTwiceIsStoredOnce(t *testing.T) {
	s := newService(t)
	s.settle()
	key := func(k string) map[string]string { return map[string]string{"Idempotency-Key": k} }
	first := s.do(call{name: "first", method: "POST", path: "/v1/orders", body: anOrder, header: key(`"a-1"`), status: 201})
	rev := s.revision()
	for _, again := range []call{
		{name: "the same", body: anOrder, header: key(`"a-1"`)},
		{name: "the key without quotes", body: anOrder, header: key(`a-1`)},
		{name: "the same, otherwise spaced and ordered", body: `{ "lines": [{"cases":2.0,"product":"B12"}], "pickup":"2027-03-05","customer":"MILL"}`, header: key(`"a-1"`)},
	} {
		again.method, again.path, again.status = "POST", "/v1/orders", 201
		res := s.do(again)
		require.Equal(t, first.Body.String(), res.Body.String(), again.name)
		require.Equal(t, first.Header().Get("Location"), res.Header().Get("Location"), again.name)
		require.Equal(t, first.Header().Get("ETag"), res.Header().Get("ETag"), again.name)
	}
	require.Equal(t, rev, s.revision())
	other := strings.Replace(anOrder, `"cases":2`, `"cases":3`, 1)
	s.do(call{name: "another order", method: "POST", path: "/v1/orders", body: other, header: key(`"a-1"`), status: 422, has: []string{"/problems/key-reused"}})
	s.do(call{name: "for another reason", method: "POST", path: "/v1/orders?why=later", body: anOrder, header: key(`"a-1"`), status: 422, has: []string{"/problems/key-reused"}})
	s.do(call{name: "at another address", method: "POST", path: "/v1/varieties", body: `{"name":"Lollo"}`, header: key(`"a-1"`), status: 422, has: []string{"/problems/key-reused"}})
	require.Equal(t, rev, s.revision())
	s.clock(23 * time.Hour)
	s.do(call{name: "the next morning", method: "POST", path: "/v1/orders", body: anOrder, header: key(`"a-1"`), status: 201, has: []string{first.Body.String()}})
	s.clock(2 * time.Hour)
	s.do(call{name: "a day later it is a new order", method: "POST", path: "/v1/orders", body: anOrder, header: key(`"a-1"`), status: 201, hasNot: []string{first.Body.String()}})
	require.Equal(t, rev+1, s.revision())
}

func TestARefusedOrderHasNotUsedItsKey(t *testing.T) {
	s := newService(t)
	s.settle()
	key := map[string]string{"Idempotency-Key": `"b-1"`}
	s.do(call{method: "POST", path: "/v1/orders", body: strings.Replace(anOrder, "MILL", "NOPE", 1), header: key, status: 422})
	s.do(call{method: "POST", path: "/v1/orders", body: anOrder, header: key, status: 201})
}

func TestAWordSentTwiceIsGivenOnce(t *testing.T) {
	s := newService(t)
	s.settle()
	promise := call{method: "POST", path: "/v1/lines/O2/B12/NORTH/" + wednesday + "/promise", body: `{"cases":2}`,
		header: map[string]string{"Idempotency-Key": `"c-1"`, "If-Match": `"0"`}, status: 200}
	first := s.do(promise)
	require.Equal(t, first.Body.String(), s.do(promise).Body.String(), "though the line's revision is another by now")
}

func TestKeysThatAreNone(t *testing.T) {
	s := newService(t)
	s.settle()
	for _, k := range []string{`""`, `"a" "b"`, `"a";p=1`, `a b`, "\"\u00e4\"", `"` + strings.Repeat("x", 129) + `"`, `"a`, `a"`, `a,b`, `"a\"b"`} {
		s.do(call{name: k, method: "POST", path: "/v1/orders", body: anOrder, header: map[string]string{"Idempotency-Key": k}, status: 400, has: []string{`"header":"Idempotency-Key"`}})
	}
}

// TestAKeyWhoseRequestIsUnderWay holds the book's one place for writing while
// the same request comes twice: one of the two waits there, the other is told so.
func TestAKeyWhoseRequestIsUnderWay(t *testing.T) {
	s := newService(t)
	s.settle()
	at := "/v1/lines/O2/B12/NORTH/" + wednesday
	s.do(call{method: "POST", path: at + "/promise", body: `{"cases":2}`, header: map[string]string{"If-Match": `"0"`}, status: 200})
	for _, c := range []call{
		{path: "/v1/orders", body: anOrder, status: 201},
		{path: "/v1/imports/orders", body: anOrderSheet, status: 200, header: map[string]string{"Content-Type": "text/csv"}},
		{path: "/v1/imports/counts?day=" + monday, body: aCountSheet, status: 200, header: map[string]string{"Content-Type": "text/csv"}},
		{path: "/v1/imports/lifts?day=" + monday, body: aLiftSheet, status: 200, header: map[string]string{"Content-Type": "text/csv"}},
		{path: "/v1/imports/workbook", body: aWorkbook(), status: 200, header: map[string]string{"Content-Type": "application/octet-stream"}},
		{path: s.parkedRow(), body: `{"done":"they rang"}`, status: 200},
		{path: at + "/agree", body: `{"agreed":true}`, status: 200},
		{path: at + "/release", body: `{"cases":1}`, status: 200},
		{path: at + "/move", body: `{"to":"2027-03-05"}`, status: 200},
	} {
		if c.method = "POST"; c.header == nil {
			c.header = map[string]string{}
		}
		c.header["Idempotency-Key"] = `"` + c.path + `"`
		if c.path != "/v1/orders" {
			c.header["If-Match"] = s.tagOf(c.path)
		}
		free := s.holdWriting()
		answers := make(chan *httptest.ResponseRecorder)
		var requests [2]*http.Request
		for i := range requests {
			requests[i] = s.request(c)
			go func() {
				res := httptest.NewRecorder()
				s.handler.ServeHTTP(res, requests[i])
				answers <- res
			}()
		}
		busy := <-answers
		require.Equal(t, http.StatusConflict, busy.Code, c.path)
		require.Contains(t, busy.Body.String(), "/problems/key-busy")
		require.Empty(t, s.contract.Check(exchange(requests[0], []byte(c.body), busy)))
		free()
		require.Equal(t, c.status, (<-answers).Code, c.path)
		s.do(c) // and once it is done it is answered again
	}
}

// TestTwoProgramsOnOneBook sends the same request to two of them, which know
// nothing of each other's keys: the order is stored once, and both answer alike.
func TestTwoProgramsOnOneBook(t *testing.T) {
	s := newService(t)
	s.settle()
	other, err := api.New(api.Deps{Book: s.book, Now: func() time.Time { return now }, Log: slog.New(slog.DiscardHandler), Hosts: []string{"farm.example"}, Alone: true})
	require.NoError(t, err)
	before := s.revision()
	free := s.holdWriting()
	answers := make(chan *httptest.ResponseRecorder)
	for _, program := range []http.Handler{s.handler, other} {
		req := s.request(call{method: "POST", path: "/v1/orders", body: anOrder, header: map[string]string{"Idempotency-Key": `"both"`}})
		go func() {
			res := httptest.NewRecorder()
			program.ServeHTTP(res, req)
			answers <- res
		}()
	}
	free()
	one, two := <-answers, <-answers
	require.Equal(t, http.StatusCreated, one.Code, one.Body)
	require.Equal(t, http.StatusCreated, two.Code, two.Body)
	require.Equal(t, one.Body.String(), two.Body.String())
	require.Equal(t, before+1, s.revision())
}

// holdWriting keeps everybody else from writing until it is let go.
func (s *service) holdWriting() (free func()) {
	s.t.Helper()
	held, release, finished := make(chan struct{}), make(chan struct{}), make(chan error)
	go func() {
		_, err := store.Write(context.Background(), s.store, store.Act{}, func(*store.Tx) (int, error) {
			close(held)
			<-release
			return 0, errors.New("only held")
		})
		finished <- err
	}()
	<-held
	return func() {
		close(release)
		require.Error(s.t, <-finished)
	}
}
