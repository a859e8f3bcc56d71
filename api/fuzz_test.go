package api_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/internal/contract"
)

// The requests of a run: short as part of every test run, and as many as
// HEADTALLY_FUZZ says with a new seed, or the one in HEADTALLY_FUZZ_SEED.
const (
	shortRun     = 3000
	shortSeed    = 20270301
	requestsEach = 200 // of one book, which begins with the settled farm
)

// TestAnyRequest makes requests from the document, right ones and spoilt ones,
// and holds every answer to what anchors a face that can be trusted:
//
//   - no answer is a fault of the service, and each is documented: its status, kind, headers and form;
//   - what the document refuses is never taken, and refused by 400, 403, 404, 412, 413, 415, 422 or 428;
//   - what the document takes is never refused as unreadable;
//   - a header that must be there is missed; a method that is not taken is answered 405 with Allow;
//   - what was stored is found at its Location, and what was ended is not listed.
func TestAnyRequest(t *testing.T) {
	requests, seed := shortRun, uint64(shortSeed)
	if n, err := strconv.Atoi(os.Getenv("HEADTALLY_FUZZ")); err == nil {
		requests, seed = n, rand.Uint64()
	} else if testing.Short() {
		requests = 600
	}
	if n, err := strconv.ParseUint(os.Getenv("HEADTALLY_FUZZ_SEED"), 10, 64); err == nil {
		seed = n
	}
	t.Logf("%d requests, seed %d", requests, seed)
	taken := map[string]int{}
	for round := uint64(0); int(round)*requestsEach < requests && !t.Failed(); round++ {
		t.Run(fmt.Sprint(round), func(t *testing.T) {
			f := newFuzz(t, seed, round)
			for range requestsEach {
				f.request()
				if t.Failed() {
					return
				}
			}
			for id, n := range f.taken {
				taken[id] += n
			}
		})
	}
	c, err := readContract()
	require.NoError(t, err)
	if t.Failed() || requests < shortRun {
		return
	}
	var never []string
	for _, op := range c.Operations {
		if taken[op.ID] == 0 {
			never = append(never, op.ID)
		}
	}
	require.LessOrEqual(t, len(never), len(c.Operations)/10, "never taken, so never much tried: %v", never)
}

// fuzz is one book under random requests.
type fuzz struct {
	*service
	gen   *contract.Generator
	taken map[string]int // by operation
	codes []string       // addresses of records that were stored
	n     int
}

func newFuzz(t *testing.T, seed, round uint64) *fuzz {
	s := newFurnished(t)
	s.do(call{method: "POST", path: "/v1/lines/O2/B12/NORTH/" + wednesday + "/promise", body: `{"cases":2}`, header: map[string]string{"If-Match": `"0"`}, status: 200})
	return &fuzz{service: s, taken: map[string]int{}, gen: &contract.Generator{Contract: s.contract, Chance: rand.New(rand.NewPCG(seed, round)),
		Known: []string{"OAK", "BUTTER", "B12", "MIX", "NORTH", "MILL", "QUAY", "O1", "O2", "S1", "C8", "SPARE", "NOPE"},
		Days:  []string{monday, "2027-03-02", wednesday, friday, "2027-03-08", "2027-03-10"}}}
}

func (f *fuzz) chance(n int) bool { return f.gen.Chance.IntN(n) == 0 }

// request makes one request and looks at its answer.
func (f *fuzz) request() {
	op := f.contract.Operations[f.gen.Chance.IntN(len(f.contract.Operations))]
	method := op.Method
	if f.chance(40) {
		method = []string{"PATCH", "TRACE", "PUT", "POST", "DELETE", "FROB"}[f.gen.Chance.IntN(6)]
	}
	address := f.address(op)
	body := f.body(op)
	r := httptest.NewRequest(method, "/", strings.NewReader(string(body)))
	r.URL = address
	r.RequestURI = address.RequestURI()
	r.Host, r.RemoteAddr = "farm.example", atMachine
	f.headers(op, r)
	res := httptest.NewRecorder()
	f.handler.ServeHTTP(res, r)
	f.judge(r, body, res)
}

// address is an address of an operation, with its parts and parameters.
func (f *fuzz) address(op *contract.Operation) *url.URL {
	path, query := op.Path, url.Values{}
	for _, p := range op.Parameters {
		switch p.In {
		case "path":
			path = strings.Replace(path, "{"+p.Name+"}", url.PathEscape(f.part(op, p)), 1)
		case "query":
			if p.Required && !f.chance(20) || f.chance(4+2*len(op.Parameters)) {
				query.Set(p.Name, f.parameter(p))
			}
		}
	}
	if f.chance(25) {
		query.Set("colour", "red")
	}
	u, err := url.Parse(path)
	require.NoError(f.t, err)
	u.RawQuery = query.Encode()
	return u
}

// part is a part of the address: of a record that is there, or anything.
func (f *fuzz) part(op *contract.Operation, p contract.Parameter) string {
	kind := strings.Split(op.Path, "/")[2]
	if p.Name == "kind" {
		return []string{"stale", "invalid", "nope"}[f.gen.Chance.IntN(3)]
	}
	line := map[string]string{"order": "O2", "product": "B12", "carrier": "NORTH", "pickup": wednesday, "day": tuesday, "paper": "harvest.pdf"}
	if known := line[p.Name]; known != "" && !f.chance(10) {
		return known
	}
	if op.Method == http.MethodDelete && strings.HasSuffix(op.Path, "{code}") && f.chance(2) {
		return "SPARE"
	}
	if len(f.codes) > 0 && f.chance(2) {
		if rest, ours := strings.CutPrefix(f.codes[f.gen.Chance.IntN(len(f.codes))], "/v1/"+kind+"/"); ours {
			return rest
		}
	}
	if example := examples[kind].at; example != "" && !f.chance(4) {
		return example[1:]
	}
	return f.parameter(p)
}

func (f *fuzz) parameter(p contract.Parameter) string {
	if f.chance(12) {
		return []string{"x", "-1", "0", "1e9", "' OR 1=1 --", "\x00", "2027-02-29", strings.Repeat("y", 300), "\xff", "../..", "%", "💧", "TRUE"}[f.gen.Chance.IntN(13)]
	}
	text := fmt.Sprint(f.gen.Value(p.Schema.Raw, 0))
	if text == "" {
		return "x"
	}
	return text
}

func (f *fuzz) body(op *contract.Operation) []byte {
	schema := op.Body["application/json"]
	switch {
	case op.Body == nil:
		return nil
	case schema == nil:
		sheet := []byte(f.example(op).body)
		for f.chance(2) {
			sheet = f.gen.Garble(sheet)
		}
		return sheet
	}
	body := f.gen.Body(schema)
	if f.chance(3) {
		body = []byte(f.example(op).body)
	}
	if f.chance(3) {
		return f.gen.Spoil(body)
	}
	return body
}

func (f *fuzz) headers(op *contract.Operation, r *http.Request) {
	f.n++
	_, takesFile := op.Body["text/csv"]
	if takesFile && !f.chance(5) {
		r.Header.Set("Content-Type", "text/csv")
	} else if op.Body != nil && !f.chance(40) {
		r.Header.Set("Content-Type", []string{"application/json", "application/json; charset=utf-8", "text/csv"}[min(f.gen.Chance.IntN(30)/14, 2)])
	}
	if needs(op, "Idempotency-Key") && !f.chance(30) {
		r.Header.Set("Idempotency-Key", fmt.Sprintf(`"f-%d"`, f.n-f.gen.Chance.IntN(2)*f.gen.Chance.IntN(2)))
	}
	if needs(op, "If-Match") && !f.chance(20) {
		r.Header.Set("If-Match", f.present(r))
	}
	if needs(op, "If-None-Match") && f.chance(3) {
		r.Header.Set("If-None-Match", f.present(r))
	}
	if f.chance(50) {
		r.Header.Set("Sec-Fetch-Site", "cross-site")
	}
	if f.chance(10) {
		r.Header.Set("Accept-Language", []string{"es", "xx", "*;q=x"}[f.gen.Chance.IntN(3)])
	}
}

// present is the ETag of what a request is about, or now and then another.
func (f *fuzz) present(r *http.Request) string {
	if f.chance(8) {
		return []string{`"1"`, `W/"1"`, `"x", "2"`, `*`, `1`, `""`, `"`}[f.gen.Chance.IntN(7)]
	}
	path := r.URL.EscapedPath()
	if strings.HasPrefix(path, "/v1/imports/") {
		return fmt.Sprintf(`"%d"`, f.revision())
	}
	if strings.HasPrefix(path, "/v1/lines/") {
		path = path[:strings.LastIndexByte(path, '/')] + "/decision"
	}
	if tag := f.quietly("GET", path, "", nil).Header().Get("ETag"); tag != "" {
		return tag
	}
	return `"0"`
}

// refusals are the statuses that may refuse a request which the document refuses.
var refusals = []int{400, 403, 404, 405, 412, 413, 415, 422, 428, 409}

// judge holds an answer to the list of TestAnyRequest.
func (f *fuzz) judge(r *http.Request, body []byte, res *httptest.ResponseRecorder) {
	x := exchange(r, body, res)
	wrong := f.contract.Check(x)
	if res.Code >= 500 {
		wrong = append(wrong, "a fault of the service: "+f.log.String()[max(0, f.log.Len()-2000):])
	}
	op, parts := f.contract.Find(r.Method, r.URL.EscapedPath())
	if op != nil {
		faults := op.RequestFaults(x, parts)
		switch {
		case len(faults) > 0 && res.Code != http.StatusNotModified:
			if !contains(refusals, res.Code) {
				wrong = append(wrong, fmt.Sprintf("answered %d, though %s", res.Code, faults))
			}
		case len(faults) == 0 && (res.Code == http.StatusBadRequest && !strings.Contains(res.Body.String(), `"header"`) || res.Code == http.StatusUnsupportedMediaType):
			wrong = append(wrong, "refused as unreadable, though the document takes it: "+res.Body.String())
		}
		if res.Code < 300 {
			f.taken[op.ID]++
		}
	}
	wrong = append(wrong, f.follow(r, res)...)
	for _, w := range wrong {
		f.t.Errorf("%s %s\n%v\n%.2000s\n=> %d %.500s\n%.3000s", r.Method, r.URL, r.Header, body, res.Code, res.Body, w)
	}
}

func contains(list []int, n int) bool {
	for _, x := range list {
		if x == n {
			return true
		}
	}
	return false
}

// follow looks for what was stored, and for what was ended in its list.
func (f *fuzz) follow(r *http.Request, res *httptest.ResponseRecorder) (wrong []string) {
	if at := res.Header().Get("Location"); res.Code == http.StatusCreated {
		f.codes = append(f.codes, at)
		if code := at[strings.LastIndexByte(at, '/')+1:]; len(f.gen.Known) < 60 {
			f.gen.Known = append(f.gen.Known, code)
		}
		found := f.quietly("GET", at, "", nil)
		if found.Code != http.StatusOK {
			wrong = append(wrong, fmt.Sprintf("stored at %s, and %d there", at, found.Code))
		}
	}
	if r.Method == http.MethodDelete && res.Code == http.StatusOK {
		var ended struct{ Code, ID string }
		if err := json.Unmarshal(res.Body.Bytes(), &ended); err != nil {
			return []string{err.Error()}
		}
		path := r.URL.EscapedPath()
		for next := path[:strings.LastIndexByte(path, '/')] + "?limit=200"; next != ""; {
			var page struct {
				Items []struct{ Code, ID string }
				Next  string
			}
			list := f.quietly("GET", next, "", nil)
			if err := json.Unmarshal(list.Body.Bytes(), &page); err != nil {
				return []string{err.Error()}
			}
			for _, item := range page.Items {
				if item == ended {
					wrong = append(wrong, "ended, and still listed")
				}
			}
			if next = ""; page.Next != "" {
				next = path[:strings.LastIndexByte(path, '/')] + "?limit=200&after=" + url.QueryEscape(page.Next)
			}
		}
	}
	return wrong
}
