package api_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"

	"headtally/api"
	"headtally/api/book"
	"headtally/api/internal/contract"
	"headtally/api/internal/edge"
	"headtally/api/sheets"
	v1 "headtally/api/v1"
	"headtally/domain"
	"headtally/domain/store"
	"headtally/domain/store/storetest"
	"headtally/openapi"
)

// now is a Monday morning; the farm's first pickup is on the Wednesday after.
var now = time.Date(2027, 3, 1, 9, 30, 0, 0, time.UTC)

const (
	monday    = "2027-03-01"
	wednesday = "2027-03-03"
	friday    = "2027-03-05"
)

// service is the whole service over a book of its own, with its contract.
type service struct {
	t        *testing.T
	dir      string
	store    *store.Store
	book     *book.Book
	handler  http.Handler
	contract *contract.Contract
	log      *bytes.Buffer
	clock    func(time.Duration) // moves the clock on
	keys     int
}

// readContract reads the document once: compiling it takes a second.
var readContract = sync.OnceValues(func() (*contract.Contract, error) {
	asJSON, err := openapi.JSON()
	if err != nil {
		return nil, err
	}
	return contract.Read(asJSON)
})

func newService(t *testing.T) *service {
	t.Helper()
	return serviceOf(t, storetest.Place(t))
}

// furnishedBook is the settled farm, furnished.
var furnishedBook storetest.Prepared

// newFurnished is a service over the settled farm, furnished.
func newFurnished(t *testing.T) *service {
	t.Helper()
	s := serviceOf(t, furnishedBook.Place(t, store.Restore, func(file string) {
		s := newService(t)
		s.settle()
		s.furnish()
		require.NoError(t, s.store.Backup(t.Context(), file))
	}))
	s.keys = 100 // beyond those that furnished it
	return s
}

// serviceOf is a service over the book in a place.
func serviceOf(t *testing.T, place string) *service {
	t.Helper()
	s := &service{t: t, dir: place, log: &bytes.Buffer{}}
	var past time.Duration
	var mu sync.Mutex
	clock := func() time.Time { mu.Lock(); defer mu.Unlock(); return now.Add(past) }
	s.clock = func(d time.Duration) { mu.Lock(); defer mu.Unlock(); past += d }
	var err error
	s.store, err = store.Open(context.Background(), s.dir, clock)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.store.Close()) })
	s.book = book.New(s.store, clock)
	s.book.Draw(func(x domain.Issue, _ *book.PackingDay) ([]book.Paper, error) {
		return []book.Paper{{Name: "harvest", Bytes: []byte("%PDF issue " + x.ID)}}, nil
	})
	s.handler, err = api.New(api.Deps{Book: s.book, Now: clock, Log: slog.New(slog.NewJSONHandler(s.log, nil)), Hosts: []string{"farm.example"}, Alone: true,
		PackList: func(w io.Writer, d *book.Day, paper string) error {
			_, err := fmt.Fprintf(w, "%%PDF %s %s", paper, d.Pickup)
			return err
		},
		Rack: func(p *book.PackingDay) []v1.Paper { return []v1.Paper{{Name: "harvest", Title: "Harvest list"}} },
		Draw: func(w io.Writer, p *book.PackingDay, name, paper string) error {
			if name != "harvest" {
				return domain.Refuse(domain.ErrNotFound, "paper", name)
			}
			_, err := fmt.Fprintf(w, "%%PDF %s %s", paper, p.Day)
			return err
		},
		DrawGrowing: func(w io.Writer, g *book.GrowingDay, name, paper string) error {
			if name != "tray-labels" {
				return domain.Refuse(domain.ErrNotFound, "paper", name)
			}
			_, err := fmt.Fprintf(w, "%%PDF %s %d", paper, len(g.Sown))
			return err
		},
		DrawRecall: func(w io.Writer, c *book.Recall, paper string) error {
			_, err := fmt.Fprintf(w, "%%PDF %s %s", paper, c.Code)
			return err
		},
		DrawSpares: func(w io.Writer, _ domain.Farm, asOf domain.Day, _ []book.Spare, paper string) error {
			_, err := fmt.Fprintf(w, "%%PDF %s %s", paper, asOf)
			return err
		},
		SpareLines: func(_ domain.Farm, spares []book.Spare) []string { return []string{fmt.Sprint(len(spares), " spare")} },
		WriteCSV:   sheets.WriteCSV, WriteXLSX: sheets.WriteXLSX,
		ReadSheets: func(name string, content []byte) ([]book.Table, domain.Faults, error) {
			return sheets.Read(name, content, sheets.Usual())
		},
		Pages: brokenPages{}})
	require.NoError(t, err)
	s.contract, err = readContract()
	require.NoError(t, err)
	return s
}

// brokenPages stands for pages with faults of the program in them.
type brokenPages struct{}

func (brokenPages) Register(e *echo.Echo) {
	e.GET("/panics", func(echo.Context) error { panic("the wheel came off") })
	e.GET("/fails", func(echo.Context) error { return fmt.Errorf("table 17 is on fire") })
}

func (brokenPages) May() map[string]book.Right {
	return map[string]book.Right{"GET /panics": edge.Anybody, "GET /fails": edge.Anybody}
}

// call is one request and what its answer must be.
type call struct {
	name   string
	method string
	path   string
	header map[string]string // an empty value takes a usual header away
	body   string
	status int
	has    []string // what the answer's body must contain
	hasNot []string
	check  func(*testing.T, *httptest.ResponseRecorder)
}

// do sends a call, holds the exchange against the contract, and checks the answer.
func (s *service) do(c call) *httptest.ResponseRecorder {
	s.t.Helper()
	res := s.send(c)
	require.Equal(s.t, c.status, res.Code, "%s: %s %s: %s", c.name, c.method, c.path, res.Body)
	for _, text := range c.has {
		require.Contains(s.t, res.Body.String(), text, c.name)
	}
	for _, text := range c.hasNot {
		require.NotContains(s.t, res.Body.String(), text, c.name)
	}
	if c.check != nil {
		c.check(s.t, res)
	}
	return res
}

// send sends a call with the usual headers, holding the exchange to the contract.
func (s *service) send(c call) *httptest.ResponseRecorder {
	s.t.Helper()
	return s.serve(s.request(c), c.body)
}

// serve lets a request be answered, holding the exchange to the contract.
func (s *service) serve(req *http.Request, body string) *httptest.ResponseRecorder {
	s.t.Helper()
	res := httptest.NewRecorder()
	s.handler.ServeHTTP(res, req)
	for _, wrong := range s.contract.Check(exchange(req, []byte(body), res)) {
		s.t.Errorf("%s %s: %s", req.Method, req.URL, wrong)
	}
	return res
}

func exchange(req *http.Request, body []byte, res *httptest.ResponseRecorder) contract.Exchange {
	return contract.Exchange{Method: req.Method, URL: req.URL, Header: req.Header, Body: body,
		Status: res.Code, Answers: res.Header(), Answer: res.Body.Bytes()}
}

// atMachine is where the person at the machine asks from.
const atMachine = "127.0.0.1:40000"

// request makes a call's request: with a new key where it stores something, and
// as JSON where it has a body.
func (s *service) request(c call) *http.Request {
	req := httptest.NewRequest(c.method, c.path, strings.NewReader(c.body))
	req.Host, req.RemoteAddr = "farm.example", atMachine
	if c.body != "" {
		req.Header.Set("Content-Type", "application/json")
	}
	if c.method == http.MethodPost {
		s.keys++
		req.Header.Set("Idempotency-Key", fmt.Sprintf(`"key-%d"`, s.keys))
	}
	for name, value := range c.header {
		if value == "" {
			req.Header.Del(name)
		} else {
			req.Header.Set(name, value)
		}
	}
	return req
}

// create stores a record and gives its address and ETag.
func (s *service) create(path, body string) (address, tag string) {
	s.t.Helper()
	res := s.do(call{method: "POST", path: path, body: body, status: 201})
	return res.Header().Get("Location"), res.Header().Get("ETag")
}

// settle stores a small farm: two varieties, two cases, a truck on Wednesdays and
// Fridays, two customers, what they ordered, and a count of Monday.
func (s *service) settle() {
	s.t.Helper()
	s.create("/v1/varieties", `{"code":"BUTTER","name":"Green butterhead"}`)
	s.create("/v1/varieties", `{"code":"OAK","name":"Red oakleaf"}`)
	s.create("/v1/products", `{"code":"B12","name":"Butterhead 12","slots":[{"heads":12,"accept":["BUTTER","OAK"]}]}`)
	s.create("/v1/products", `{"code":"MIX","name":"Mixed 12","slots":[{"heads":6,"accept":["BUTTER"]},{"heads":6,"accept":["OAK"]}]}`)
	s.create("/v1/carriers", `{"code":"NORTH","name":"North truck","pickups":["wed","fri"],"hour":"06:30"}`)
	s.create("/v1/customers", `{"code":"MILL","name":"Mill kitchen","importance":"anchor","item_codes":{"B12":"K-77"}}`)
	s.create("/v1/customers", `{"code":"QUAY","name":"Quay grocers","substitutes":"ask"}`)
	s.create("/v1/counts", `{"day":"2027-03-01","whole":true,"cooler":true,"beds":[{"bed":"A1","variety":"BUTTER","rafts_now":2.5},{"bed":"A2","variety":"OAK","heads_now":30}]}`)
	s.create("/v1/orders", `{"id":"O1","customer":"MILL","pickup":"2027-03-03","lines":[{"product":"B12","cases":4}]}`)
	s.create("/v1/orders", `{"id":"O2","customer":"QUAY","pickup":"2027-03-03","lines":[{"product":"B12","cases":6},{"product":"MIX","cases":3}]}`)
	s.create("/v1/standing-orders", `{"id":"S1","customer":"MILL","product":"MIX","terms":[{"from":"2027-03-01","cases":2}]}`)
}

func path(format string, args ...any) string {
	escaped := make([]any, len(args))
	for i, a := range args {
		escaped[i] = url.PathEscape(fmt.Sprint(a))
	}
	return fmt.Sprintf(format, escaped...)
}

// revision is the book's revision.
func (s *service) revision() int64 {
	s.t.Helper()
	rev, err := s.book.Revision(context.Background())
	require.NoError(s.t, err)
	return rev
}
