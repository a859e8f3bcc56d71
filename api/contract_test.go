package api_test

import (
	"bytes"
	"flag"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/api/internal/contract"
	"headtally/api/internal/edge"
	v1 "headtally/api/v1"
)

// TestMain fails when the document promises an answer that no test has shown,
// unless only some of the tests were run.
func TestMain(m *testing.M) {
	flag.Parse()
	code := m.Run()
	some := flag.Lookup("test.run").Value.String() + flag.Lookup("test.skip").Value.String() + flag.Lookup("test.list").Value.String()
	if code == 0 && some == "" && flag.Lookup("test.fuzz").Value.String() == "" {
		c, err := readContract()
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		if unseen := c.Unseen(); len(unseen) > 0 {
			fmt.Fprintln(os.Stderr, "documented and never seen:", strings.Join(unseen, ", "))
			code = 1
		}
	}
	os.Exit(code)
}

func TestEveryRouteIsInTheContract(t *testing.T) {
	c, err := readContract()
	require.NoError(t, err)
	var routes, documented []string
	for _, r := range v1.New(v1.Deps{Book: &book.Book{}}).Routes() {
		routes = append(routes, r.Method+" "+r.Path)
	}
	for _, own := range []string{"/healthz", "/readyz", "/openapi.yaml", "/openapi.json", "/problems/{kind}", "/feed/{feed}"} {
		routes = append(routes, "GET "+own)
	}
	for _, op := range c.Operations {
		documented = append(documented, op.Method+" "+op.Path)
	}
	slices.Sort(routes)
	slices.Sort(documented)
	require.Equal(t, documented, routes)
}

func TestEverySchemaIsClosed(t *testing.T) {
	c, err := readContract()
	require.NoError(t, err)
	require.Empty(t, c.Open())
}

func TestOperationsHaveNamesOfTheirOwn(t *testing.T) {
	c, err := readContract()
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, op := range c.Operations {
		require.NotEmpty(t, op.ID, op.Path)
		require.False(t, seen[op.ID], op.ID)
		seen[op.ID] = true
	}
}

// examples are an address and a body of every operation that the settled farm
// takes; codes are those of settle.
var examples = map[string]struct{ at, body string }{
	"varieties":       {"/OAK", `{"name":"Red oakleaf"}`},
	"products":        {"/MIX", `{"name":"Mixed 12","slots":[{"heads":6,"accept":["BUTTER"]},{"heads":6,"accept":["OAK"]}]}`},
	"carriers":        {"/NORTH", `{"name":"North truck","pickups":["wed","fri"],"hour":"07:00"}`},
	"layouts":         {"/DEPOT", `{"name":"Depot","columns":{"customer":"Outlet","case":"Art","arrival day":"Wanted"},"day_order":"dmy","days_after_pickup":1,"products":{"17":"MIX"}}`},
	"customers":       {"/QUAY", `{"name":"Quay grocers","substitutes":"ask","carrier":"NORTH"}`},
	"calendar":        {"/X1", `{"day":"2027-04-02","kind":"closed"}`},
	"standing-orders": {"/S1", `{"customer":"MILL","product":"MIX","terms":[{"from":"2027-03-01","cases":2}]}`},
	"orders":          {"/O2", `{"customer":"QUAY","pickup":"2027-03-03","lines":[{"product":"B12","cases":6},{"product":"MIX","cases":2}]}`},
	"counts":          {"/C1", `{"day":"2027-03-01","beds":[{"bed":"A9","variety":"OAK","rafts_now":1.5}]}`},
	"promise":         {"", `{"cases":1}`},
	"release":         {"", `{"cases":0}`},
	"cut":             {"", `{"at_most":3}`},
	"move":            {"", `{"to":"2027-03-05"}`},
	"agree":           {"", `{"agreed":true}`},
}

const farmBody = `{"name":"Invented Farm","zone":"UTC","language":"en","paper":"letter","units":"metric","harvest_days":["mon","tue","wed","thu","fri"],
"plan_days":8,"tally_days":42,"lead_days":1,"rank":"day_first","share_rule":"even_share","max_recipes":2,"case_spaces":150,"tray_spaces":200,
"case_rule":"warn","crew":{},"good_in_ten":9,"min_shelf_days":7,"hold_days":4,"ready_days":7,"shelf_days":14,"heads_per_tray":24,"heads_per_raft":36}`

// example is a call of an operation that the furnished farm takes, but for If-Match.
func (s *service) example(op *contract.Operation) call {
	c := call{name: op.ID, method: op.Method, path: op.Path, header: map[string]string{}}
	segments := strings.Split(op.Path, "/")
	last := segments[len(segments)-1]
	switch {
	case operations[op.ID].at != "":
		c.path, c.body = operations[op.ID].at, operations[op.ID].body
	case strings.Contains(op.Path, "{order}"):
		c.path, c.body = "/v1/lines/O2/B12/NORTH/"+wednesday+"/"+last, examples[last].body
	case op.Path == "/v1/farm":
		c.body = farmBody
	case op.Path == "/v1/plans/what-if":
		c.body = smallProblem
	case op.Path == "/v1/promises/what-if":
		c.body = `{"problem":` + smallProblem + `,"question":{"product":"B12","pickup":"2027-03-03","cases":2}}`
	case op.Path == "/v1/imports/parked":
	case strings.HasPrefix(op.Path, "/v1/imports/counts"):
		c.path, c.body, c.header["Content-Type"] = op.Path+"?day="+monday, aCountSheet, "text/csv"
	case strings.HasPrefix(op.Path, "/v1/imports/lifts"):
		c.path, c.body, c.header["Content-Type"] = op.Path+"?day="+monday, aLiftSheet, "text/csv"
	case strings.HasPrefix(op.Path, "/v1/imports/workbook"):
		c.body, c.header["Content-Type"] = aWorkbook(), "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
	case strings.HasPrefix(op.Path, "/v1/imports/orders"):
		c.body, c.header["Content-Type"] = anOrderSheet, "text/csv"
	case op.Path == "/v1/imports/parked/{id}/settle":
		c.path, c.body = s.parkedRow(), `{"done":"they rang: two cases"}`
	case op.Path == "/v1/promises":
		c.path += "?product=B12&pickup=" + friday + "&cases=2"
	case op.Path == "/feed/{feed}":
		c.path = s.feed()
	case op.Path == "/problems/{kind}":
		c.path = "/problems/stale"
	case strings.Contains(op.Path, "{pickup}"):
		c.path = strings.Replace(op.Path, "{pickup}", wednesday, 1)
	case len(segments) > 2:
		c.path, c.body = "/v1/"+segments[2], examples[segments[2]].body
		if len(segments) > 3 {
			c.path += examples[segments[2]].at
		}
		if op.Method == http.MethodDelete && strings.HasSuffix(op.Path, "{code}") { // what others name cannot be ended
			c.path = "/v1/" + segments[2] + "/SPARE"
		}
	}
	if op.Body == nil {
		c.body = ""
	}
	return c
}

// ready is an example with the headers that it needs.
func (s *service) ready(op *contract.Operation) call {
	s.t.Helper()
	c := s.example(op)
	if needs(op, "If-Match") {
		c.header["If-Match"] = s.tagOf(c.path)
	}
	return c
}

func needs(op *contract.Operation, parameter string) bool {
	return slices.ContainsFunc(op.Parameters, func(p contract.Parameter) bool { return p.Name == parameter })
}

// tagOf is the ETag a change of an address must name.
func (s *service) tagOf(path string) string {
	s.t.Helper()
	if strings.HasPrefix(path, "/v1/imports/parked/") {
		return s.parked().Items[0].tag()
	}
	if strings.HasPrefix(path, "/v1/imports/") {
		return strconv.Quote(strconv.FormatInt(s.revision(), 10))
	}
	if rest, isLine := strings.CutPrefix(path, "/v1/lines/"); isLine {
		path = "/v1/lines/" + rest[:strings.LastIndexByte(rest, '/')] + "/decision"
	}
	if strings.HasPrefix(path, "/v1/growing/") {
		path = "/v1/growing"
	}
	res := s.send(call{name: "tag", method: "GET", path: path})
	require.Equal(s.t, 200, res.Code, path)
	return res.Header().Get("ETag")
}

// furnish stores what the examples name beside the settled farm.
func (s *service) furnish() {
	s.t.Helper()
	s.create("/v1/calendar", `{"id":"X1","day":"2027-04-09","kind":"closed"}`)
	s.create("/v1/counts", `{"id":"C1","day":"2027-03-01","beds":[{"bed":"A9","variety":"OAK","rafts_now":1}]}`)
	s.create("/v1/varieties", `{"code":"SPARE","name":"Nobody's"}`)
	s.create("/v1/products", `{"code":"SPARE","name":"Nobody's","slots":[{"heads":1,"accept":["OAK"]}]}`)
	s.create("/v1/carriers", `{"code":"SPARE","name":"Nobody's","pickups":["sun"]}`)
	s.create("/v1/layouts", `{"code":"DEPOT","name":"Depot"}`)
	s.create("/v1/layouts", `{"code":"SPARE","name":"Nobody's"}`)
	s.create("/v1/customers", `{"code":"SPARE","name":"Nobody","carrier":"NORTH"}`)
	s.create("/v1/beds", `{"code":"SPARE","name":"Nobody's","rafts":0}`)
	s.operate()
}

// TestEveryOperation makes of every operation each refusal that its document
// names and that needs nothing but a wrong request, and then the example itself.
func TestEveryOperation(t *testing.T) {
	c, err := readContract()
	require.NoError(t, err)
	for _, op := range c.Operations {
		t.Run(op.ID, func(t *testing.T) {
			s := newFurnished(t)
			s.prepare(op.ID)
			for _, refused := range s.refusals(op) {
				s.do(refused)
			}
			good := s.ready(op)
			good.status = goodStatus(op)
			res := s.do(good)
			if op.Answers["304"] != nil {
				s.do(call{name: "held already", method: "GET", path: good.path, header: map[string]string{"If-None-Match": res.Header().Get("ETag")}, status: 304})
				s.do(call{name: "held by a weak tag", method: "GET", path: good.path, header: map[string]string{"If-None-Match": `"1000", W/` + res.Header().Get("ETag")}, status: 304})
				s.do(call{name: "held another", method: "GET", path: good.path, header: map[string]string{"If-None-Match": `"1000"`}, status: 200})
			}
		})
	}
}

func goodStatus(op *contract.Operation) int {
	if op.Answers["201"] != nil {
		return http.StatusCreated
	}
	return http.StatusOK
}

// refusals are the wrong requests of an operation that can be made of any.
func (s *service) refusals(op *contract.Operation) (list []call) {
	vary := func(name string, status int, change func(*call)) {
		if op.Answers[fmt.Sprint(status)] == nil {
			return
		}
		c := s.ready(op)
		c.name, c.status = op.ID+" "+name, status
		change(&c)
		list = append(list, c)
	}
	with := func(header, value string) func(*call) { return func(c *call) { c.header[header] = value } }
	vary("with a parameter nobody knows", 400, func(c *call) {
		c.path += map[bool]string{true: "&", false: "?"}[strings.Contains(c.path, "?")] + "colour=red"
		c.has = []string{`"parameter":"colour"`, `"code":"unknown_parameter"`, "/problems/malformed"}
	})
	vary("from another site's page", 403, with("Sec-Fetch-Site", "cross-site"))
	if op.Body != nil {
		vary("as a picture", 415, with("Content-Type", "image/png"))
		vary("without a kind", 415, with("Content-Type", "-"))
	}
	if _, takesFile := op.Body["text/csv"]; takesFile {
		vary("with nothing in it", 422, func(c *call) { c.body, c.has = " ", []string{`"place":"file sheet"`} })
		vary("that is no form", 400, with("Content-Type", "multipart/form-data; boundary=x"))
		vary("that is no form at all", 400, with("Content-Type", "multipart/form-data"))
	} else if op.Body != nil {
		vary("as plain text", 415, func(c *call) { c.header["Content-Type"] = "text/plain"; c.has = []string{`"header":"Content-Type"`} })
		vary("in Latin-1", 415, with("Content-Type", "application/json; charset=iso-8859-1"))
		vary("with nothing in it", 400, func(c *call) { c.body, c.header["Content-Type"] = "", "application/json" })
		vary("broken off", 400, func(c *call) { c.body, c.has = c.body[:len(c.body)-1], []string{"is no JSON at byte"} })
		vary("with more behind it", 400, func(c *call) { c.body += ` {}` })
		vary("with a member nobody knows", 422, func(c *call) {
			c.body, c.has = strings.TrimSuffix(strings.TrimSpace(c.body), "}")+`,"colour":"red"}`, []string{"#"}
		})
		vary("as a list", 422, func(c *call) { c.body, c.has = "[]", []string{`"pointer":"#"`} })
	}
	if needs(op, "Idempotency-Key") {
		vary("without a key", 400, func(c *call) { c.header["Idempotency-Key"], c.has = "", []string{"/problems/no-key"} })
		vary("with half a key", 400, func(c *call) { c.header["Idempotency-Key"], c.has = `"half`, []string{"/problems/malformed"} })
	}
	if needs(op, "If-Match") {
		vary("without If-Match", 428, with("If-Match", ""))
		vary("from another revision", 412, with("If-Match", `"1000"`))
		vary("from a weak tag", 412, func(c *call) { c.header["If-Match"] = "W/" + c.header["If-Match"] })
		vary("from somebody else's tag", 412, with("If-Match", `"abc"`))
		vary("from no tag", 400, func(c *call) { c.header["If-Match"], c.has = `17`, []string{`"header":"If-Match"`} })
	}
	vary("of nothing", 404, func(c *call) {
		if nothing := operations[op.ID].nothing; nothing != "" {
			c.path = nothing
			return
		}
		if q := strings.IndexByte(c.path, '?'); q >= 0 {
			c.path = strings.Replace(c.path, "B12", "NOPE", 1)
			return
		}
		switch segments := strings.Split(c.path, "/"); {
		case strings.HasPrefix(c.path, "/v1/imports/parked/"):
			c.path = "/v1/imports/parked/NOPE/settle"
		case segments[1] == "problems":
			c.path = "/problems/nope"
		case segments[2] == "days":
			c.path = strings.Replace(c.path, wednesday, "2027-03-04", 1)
		case segments[2] == "lines":
			c.path, c.header["If-Match"] = strings.Replace(c.path, "O2", "NOPE", 1), `"0"`
		default:
			c.path = "/v1/" + segments[2] + "/NOPE"
		}
	})
	return list
}

// TestBodiesTooLarge sends of every operation with a body one that is a byte
// larger than it takes.
func TestBodiesTooLarge(t *testing.T) {
	s := newFurnished(t)
	spaces := bytes.Repeat([]byte{' '}, edge.ProblemLimit+1)
	limits := map[string]int64{}
	for _, r := range v1.New(v1.Deps{Book: &book.Book{}}).Routes() {
		limits[r.Method+" "+r.Path] = r.Limit
	}
	for _, op := range s.contract.Operations {
		if op.Body == nil {
			continue
		}
		limit := limits[op.Method+" "+op.Path]
		require.Positive(t, limit, op.ID)
		req := s.request(s.ready(op))
		r := httptest.NewRequest(op.Method, req.URL.String(), bytes.NewReader(spaces[:limit+1]))
		r.Host, r.RemoteAddr, r.Header = req.Host, atMachine, req.Header
		res := httptest.NewRecorder()
		s.handler.ServeHTTP(res, r)
		require.Equal(t, http.StatusRequestEntityTooLarge, res.Code, op.ID)
		require.Empty(t, s.contract.Check(exchange(r, nil, res)), op.ID)
		require.Contains(t, res.Body.String(), fmt.Sprint(limit), op.ID)
	}
}
