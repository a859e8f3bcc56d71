package api_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRecordFromItsFirstDayToItsLast(t *testing.T) {
	s := newService(t)
	s.do(call{name: "nobody yet", method: "GET", path: "/v1/customers", status: 200, has: []string{`"items":[]`}, hasNot: []string{"next"}})
	s.create("/v1/carriers", `{"code":"NORTH","name":"North truck","pickups":["wed"]}`)
	made := s.do(call{name: "create", method: "POST", path: "/v1/customers?why=they%20called", body: `{"name":"Mill kitchen"}`, status: 201,
		has: []string{`"code":"MILL-KITCHEN"`, `"importance":"steady"`, `"carrier":"NORTH"`, `"revision":2`, `"ended":false`}})
	require.Equal(t, "/v1/customers/MILL-KITCHEN", made.Header().Get("Location"))
	require.Equal(t, `"2"`, made.Header().Get("ETag"))
	at := made.Header().Get("Location")
	s.do(call{name: "read", method: "GET", path: at, status: 200, has: []string{made.Body.String()}})
	changed := s.do(call{name: "replace", method: "PUT", path: at, body: `{"name":"Mill kitchen","carrier":"NORTH","note":"back door"}`, header: map[string]string{"If-Match": `"2"`},
		status: 200, has: []string{"back door", `"revision":3`}})
	s.do(call{name: "replace by the old tag", method: "PUT", path: at, body: `{"name":"Mill","carrier":"NORTH"}`, header: map[string]string{"If-Match": `"2"`},
		status: 412, has: []string{"/problems/stale", `"revision":3`, "changed by somebody else"}})
	s.do(call{name: "the same again changes nothing", method: "PUT", path: at, body: `{"name":"Mill kitchen","carrier":"NORTH","note":"back door"}`,
		header: map[string]string{"If-Match": changed.Header().Get("ETag")}, status: 200, has: []string{`"revision":3`}})
	s.do(call{name: "any of several tags", method: "PUT", path: at, body: `{"name":"Mill kitchen","carrier":"NORTH"}`, header: map[string]string{"If-Match": `"7", "3"`}, status: 200, has: []string{`"revision":4`}})
	s.do(call{name: "none of several tags", method: "PUT", path: at, body: `{"name":"Mill","carrier":"NORTH"}`, header: map[string]string{"If-Match": `"7", "3"`}, status: 412})
	s.do(call{name: "whatever is there", method: "PUT", path: at, body: `{"name":"Mill kitchen","carrier":"NORTH","stop":3}`, header: map[string]string{"If-Match": `*`}, status: 200, has: []string{`"revision":5`}})
	s.do(call{name: "the tag of a packed answer", method: "PUT", path: at, body: `{"name":"Mill kitchen","carrier":"NORTH","stop":4}`, header: map[string]string{"If-Match": `"5-gzip"`}, status: 200, has: []string{`"revision":6`}})
	s.do(call{name: "end", method: "DELETE", path: at + "?why=closed", header: map[string]string{"If-Match": `"6"`}, status: 200, has: []string{`"ended":true`, `"revision":7`}})
	s.do(call{name: "no longer listed", method: "GET", path: "/v1/customers", status: 200, hasNot: []string{"MILL"}})
	s.do(call{name: "listed when asked for", method: "GET", path: "/v1/customers?ended=true", status: 200, has: []string{"MILL"}})
	s.do(call{name: "still readable", method: "GET", path: at, status: 200, has: []string{`"ended":true`}})
	s.do(call{name: "not ordered for", method: "POST", path: "/v1/orders", body: `{"customer":"MILL-KITCHEN","pickup":"2027-03-03","lines":[{"product":"B12","cases":1}]}`, status: 422,
		has: []string{`"pointer":"#/customer"`, `"pointer":"#/lines/0/product"`}})
	s.do(call{name: "its code is not given away", method: "POST", path: "/v1/customers", body: `{"code":"MILL-KITCHEN","name":"Mill"}`, status: 409, has: []string{"already a customer MILL-KITCHEN"}})
	s.do(call{name: "taken up again", method: "PUT", path: at, body: `{"name":"Mill kitchen","carrier":"NORTH"}`, header: map[string]string{"If-Match": `"7"`}, status: 200, has: []string{`"ended":false`}})
	s.do(call{name: "its history", method: "GET", path: "/v1/history?kind=customer&code=MILL-KITCHEN", status: 200,
		has: []string{`"why":"they called"`, `"why":"closed"`, `"who":"owner on this machine"`}, hasNot: []string{"carrier\",\"code\":\"NORTH"}})
	s.do(call{name: "the newest change", method: "GET", path: "/v1/history?limit=1", status: 200, has: []string{`"revision":8`}, hasNot: []string{`"revision":7`}})
}

func TestListsArePagedAndFiltered(t *testing.T) {
	s := newService(t)
	s.settle()
	for i := range 7 {
		s.create("/v1/varieties", fmt.Sprintf(`{"code":"V%d","name":"Trial 50%% no. %d"}`, i, i))
	}
	var codes []string
	for next := "/v1/varieties?limit=4"; next != ""; {
		var page struct {
			Items []struct{ Code string }
			Next  string
		}
		require.NoError(t, json.Unmarshal(s.do(call{method: "GET", path: next, status: 200}).Body.Bytes(), &page))
		for _, v := range page.Items {
			codes = append(codes, v.Code)
		}
		if next = ""; page.Next != "" {
			require.Len(t, page.Items, 4)
			next = "/v1/varieties?limit=4&after=" + page.Next
		}
	}
	require.Equal(t, []string{"BUTTER", "OAK", "V0", "V1", "V2", "V3", "V4", "V5", "V6"}, codes)
	for _, c := range []call{
		{name: "part of a name", path: "/v1/varieties?name=LEAF", has: []string{"OAK"}, hasNot: []string{"BUTTER"}},
		{name: "a sign that is no wildcard", path: "/v1/varieties?name=50%25", has: []string{"V0"}, hasNot: []string{"OAK"}},
		{name: "nothing of that name", path: "/v1/varieties?name=%27%3B--", has: []string{`"items":[]`}},
		{name: "of a carrier", path: "/v1/customers?carrier=NORTH", has: []string{"MILL", "QUAY"}},
		{name: "of another carrier", path: "/v1/customers?carrier=SOUTH", hasNot: []string{"MILL"}},
		{name: "orders of a customer", path: "/v1/orders?customer=QUAY", has: []string{"O2"}, hasNot: []string{"O1"}},
		{name: "orders of days", path: "/v1/orders?from=2027-03-03&to=2027-03-03", has: []string{"O1", "O2"}},
		{name: "orders of later days", path: "/v1/orders?from=2027-03-04", hasNot: []string{"O1"}},
		{name: "orders with a reference", path: "/v1/orders?reference=R9", hasNot: []string{"O1"}},
		{name: "standing orders of a product", path: "/v1/standing-orders?product=MIX&customer=MILL", has: []string{"S1"}},
		{name: "standing orders of another", path: "/v1/standing-orders?product=B12", hasNot: []string{"S1"}},
		{name: "counts of days", path: "/v1/counts?from=2027-03-01&to=2027-03-01", has: []string{`"bed":"A1"`}},
		{name: "days that differ", path: "/v1/calendar?from=2027-01-01&to=2027-12-31", has: []string{`"items":[]`}},
	} {
		c.method, c.status = "GET", 200
		s.do(c)
	}
}

func TestWhatOthersNameCannotBeEnded(t *testing.T) {
	s := newService(t)
	s.settle()
	for _, at := range []string{"/v1/varieties/OAK", "/v1/products/MIX", "/v1/carriers/NORTH", "/v1/customers/MILL"} {
		s.do(call{name: at, method: "DELETE", path: at, header: map[string]string{"If-Match": s.tagOf(at)}, status: 409, has: []string{"/problems/conflict", "is still named by"}})
	}
}

// TestEveryKindRefusesADoubledCode covers what only the kinds with a code of
// their own can refuse.
func TestEveryKindRefusesADoubledCode(t *testing.T) {
	s := newService(t)
	s.settle()
	s.create("/v1/calendar", `{"id":"X1","day":"2027-04-09","kind":"closed"}`)
	s.create("/v1/layouts", `{"code":"DEPOT","name":"Depot"}`)
	for at, body := range map[string]string{
		"varieties":       `{"code":"OAK","name":"Oak"}`,
		"products":        `{"code":"MIX","name":"Mix","slots":[{"heads":1,"accept":["OAK"]}]}`,
		"carriers":        `{"code":"NORTH","name":"North","pickups":["mon"]}`,
		"layouts":         `{"code":"DEPOT","name":"Depot"}`,
		"customers":       `{"code":"MILL","name":"Mill"}`,
		"calendar":        `{"id":"X1","day":"2027-04-09","kind":"closed"}`,
		"standing-orders": `{"id":"S1","customer":"MILL","product":"MIX","terms":[{"from":"2027-03-01"}]}`,
		"orders":          `{"id":"O1","customer":"MILL","pickup":"2027-03-03","lines":[{"product":"MIX"}]}`,
		"counts":          `{"id":"C8","day":"2027-03-01"}`,
	} {
		s.do(call{name: at, method: "POST", path: "/v1/" + at, body: body, status: 409, has: []string{"already"}})
	}
}

// TestFieldsOfOthersAreRefused sends with every record each member that only an
// answer has, or that another record has: nothing may be bound that was not
// meant to be.
func TestFieldsOfOthersAreRefused(t *testing.T) {
	s := newService(t)
	s.settle()
	strange := []string{`"revision":7`, `"ended":true`, `"rev":7`, `"body":"{}"`, `"who":"me"`, `"promised":5`, `"promised_at":"2027-03-01T00:00:00Z"`,
		`"Name":"x"`, `"NAME":"x"`, `"created_at":"2027-03-01T00:00:00Z"`, `"__proto__":{}`, `"$ref":"#"`, `"":1`, `"a/b~c":1`}
	for kind, example := range examples {
		if example.at == "" || example.body == "" {
			continue
		}
		before := s.revision()
		for _, member := range strange {
			body := strings.TrimSuffix(example.body, "}") + "," + member + "}"
			s.do(call{name: kind + " with " + member, method: "POST", path: "/v1/" + kind, body: body, status: 422, has: []string{`"code":"unknown_member"`}})
		}
		require.Equal(t, before, s.revision(), kind)
	}
}

// TestNoUpdateIsLost lets eight people add one to the same figure: every change
// that was acknowledged is in it.
func TestNoUpdateIsLost(t *testing.T) {
	s := newService(t)
	s.settle()
	const people, each = 8, 12
	var done sync.WaitGroup
	var mu sync.Mutex
	stale := 0
	for range people {
		done.Go(func() {
			for added := 0; added < each; {
				var order struct {
					Customer, Pickup, Mode, Received string
					Lines                            []struct {
						Product string `json:"product"`
						Cases   int    `json:"cases"`
					}
				}
				res := s.quietly("GET", "/v1/orders/O1", "", nil)
				if json.Unmarshal(res.Body.Bytes(), &order) != nil {
					return
				}
				body := fmt.Sprintf(`{"customer":"MILL","pickup":"2027-03-03","lines":[{"product":"B12","cases":%d}]}`, order.Lines[0].Cases+1)
				switch res = s.quietly("PUT", "/v1/orders/O1", body, map[string]string{"If-Match": res.Header().Get("ETag")}); res.Code {
				case http.StatusOK:
					added++
				case http.StatusPreconditionFailed:
					mu.Lock()
					stale++
					mu.Unlock()
				default:
					return
				}
			}
		})
	}
	done.Wait()
	s.do(call{method: "GET", path: "/v1/orders/O1", status: 200, has: []string{fmt.Sprintf(`"cases":%d`, 4+people*each)}})
	t.Log("changes refused as stale and made again:", stale)
}

// quietly sends a request from any goroutine.
func (s *service) quietly(method, path, body string, header map[string]string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Host, r.RemoteAddr = "farm.example", atMachine
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for k, v := range header {
		r.Header.Set(k, v)
	}
	res := httptest.NewRecorder()
	s.handler.ServeHTTP(res, r)
	return res
}
