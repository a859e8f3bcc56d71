package api_test

import (
	rfc4180 "encoding/csv"
	"encoding/json"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestAMorningOverTheWire takes Wednesday's truck from the plan to what came
// back, and follows its cases both ways.
func TestAMorningOverTheWire(t *testing.T) {
	s := newService(t)
	s.settle()
	day := "/v1/packing-days/" + tuesday
	s.do(call{name: "the days of lifting and packing", method: "GET", path: "/v1/packing-days", status: 200, has: []string{`"` + tuesday + `"`}})
	s.do(call{name: "the day", method: "GET", path: day, status: 200, has: []string{`"pickups":["2027-03-03"]`, `"trace":"`, `"papers":[{"name":"harvest","title":"Harvest list"}]`, `"issues":[]`}})
	s.do(call{name: "a paper", method: "GET", path: day + "/papers/harvest.pdf?paper=a4", status: 200, has: []string{"%PDF a4 2027-03-02"}})
	s.do(call{name: "first issue", method: "POST", path: day + "/issues", status: 201, has: []string{`"number":1`, `"planned_from":11`, `"customer":"MILL"`}, hasNot: []string{"replaces"}})
	s.do(call{name: "second issue", method: "POST", path: day + "/issues?why=Mill+rang", status: 201, has: []string{`"number":2`, `"replaces":1`}})
	s.do(call{name: "both", method: "GET", path: day + "/issues", status: 200, has: []string{`"number":1`, `"number":2`}})
	s.do(call{name: "the day names them", method: "GET", path: day, status: 200, has: []string{`"issues":[{"id":"1","number":1,`}})
	s.do(call{name: "a kept paper", method: "GET", path: "/v1/issues/2/papers/harvest.pdf", status: 200, has: []string{"%PDF issue 2"}})
	s.do(call{name: "one that was not kept", method: "GET", path: "/v1/issues/2/papers/slips.pdf", status: 404, has: []string{"no paper 2/slips"}})

	s.clock(21 * time.Hour) // Tuesday, half past six
	s.do(call{name: "a variety that stands nowhere", method: "POST", path: "/v1/lifts", status: 422, has: []string{`"pointer":"#/rows/0"`},
		body: `{"day":"2027-03-02","rows":[{"variety":"NOPE","heads":3}]}`})
	s.do(call{name: "fewer heads than none", method: "POST", path: "/v1/lifts", status: 422, has: []string{`"pointer":"#/rows/0/heads"`},
		body: `{"day":"2027-03-02","rows":[{"variety":"BUTTER","heads":-3}]}`})
	s.create("/v1/lifts", `{"day":"2027-03-02","rows":[{"variety":"BUTTER","heads":84,"culls":6},{"variety":"OAK","heads":30}],"done":true}`)
	s.do(call{name: "a run that is not planned", method: "POST", path: "/v1/packings", status: 422, has: []string{`"pointer":"#/changes/0/run"`},
		body: `{"day":"2027-03-02","changes":[{"run":9,"cases":1}]}`})
	s.do(call{name: "a run twice", method: "POST", path: "/v1/packings", status: 422, has: []string{`"pointer":"#/changes/1/run"`, "stands twice"},
		body: `{"day":"2027-03-02","changes":[{"run":0,"cases":1},{"run":0,"cases":2}]}`})
	packed := s.do(call{method: "POST", path: "/v1/packings", body: `{"day":"2027-03-02"}`, status: 201})
	var packing struct {
		Runs []struct{ Trace, Product string }
	}
	require.NoError(t, json.Unmarshal(packed.Body.Bytes(), &packing))
	require.NotEmpty(t, packing.Runs)
	code := packing.Runs[0].Trace

	gone := s.do(call{name: "gone", method: "POST", path: "/v1/pickups/" + wednesday + "/NORTH/depart", status: 200, has: []string{`"trace":"` + code + `"`}})
	s.do(call{name: "it goes once", method: "POST", path: "/v1/pickups/" + wednesday + "/NORTH/depart", status: 409})
	s.do(call{name: "the list has it", method: "GET", path: "/v1/departures?from=" + wednesday, status: 200, has: []string{strings.TrimSpace(gone.Body.String())}})
	s.do(call{name: "nothing later", method: "GET", path: "/v1/departures?from=" + friday, status: 200, has: []string{`"items":[]`}})
	s.create("/v1/returns", `{"day":"2027-03-01","customer":"MILL","product":"B12","cases":1,"trace":"`+code+`","became":"stock"}`)
	s.do(call{name: "back to stock, nobody knows which", method: "POST", path: "/v1/returns", status: 422, has: []string{`"pointer":"#/trace"`},
		body: `{"day":"2027-03-01","customer":"MILL","product":"B12","cases":1,"became":"stock"}`})

	s.do(call{name: "from the case", method: "GET", path: "/v1/traces/" + code, status: 200, has: []string{`"bed":"A1"`, `"name":"Mill kitchen"`, `"became":"stock"`, `"culls":6`}})
	lot := s.do(call{name: "from the customer", method: "GET", path: "/v1/traces/MILL", status: 200, has: []string{code}})
	var trace struct{ Lots []struct{ Lot string } }
	require.NoError(t, json.Unmarshal(lot.Body.Bytes(), &trace))
	s.do(call{name: "from the lot", method: "GET", path: "/v1/traces/" + url.PathEscape(trace.Lots[0].Lot), status: 200, has: []string{code}})
	s.do(call{name: "a recall drilled", method: "GET", path: "/v1/traces/" + code + "/recall", status: 200, has: []string{`"calls":[{"customer":"MILL"`, `"hold":[`}})
	s.do(call{name: "on paper", method: "GET", path: "/v1/traces/" + code + "/recall.pdf?paper=a4", status: 200, has: []string{"%PDF a4 " + code}})
	s.do(call{name: "a tray fell", method: "POST", path: "/v1/packings", status: 201, has: []string{`"gone_only":true`, `"runs":[]`},
		body: `{"day":"2027-03-02","gone_only":true,"gone":[{"variety":"BUTTER","heads":2,"where":"dropped"}],"gone_cases":[{"trace":"` + code + `","cases":1,"where":"stall"}]}`})
	s.do(call{name: "tomorrow is not here", method: "POST", path: "/v1/lifts", status: 422, has: []string{`"pointer":"#/day"`, "not here yet"}, body: `{"day":"2027-03-04","rows":[]}`})
	s.do(call{name: "told again", method: "POST", path: "/v1/lifts", status: 201, has: []string{`"instead":"L1"`}, body: `{"day":"2027-03-02","instead":"L1","rest_as_planned":true,"rows":[{"variety":"BUTTER","heads":85,"culls":5}],"done":true}`})
	s.do(call{name: "the records", method: "GET", path: "/v1/traces/" + code + "/records", status: 200, has: []string{`"event":"harvesting"`, `"event":"initial packing"`, `"event":"shipping"`}})
	sheet := s.do(call{name: "the records as a sheet", method: "GET", path: "/v1/traces/" + code + "/records.xlsx", status: 200, has: []string{"PK"}})
	require.Equal(t, `attachment; filename="trace-`+code+`.xlsx"`, sheet.Header().Get("Content-Disposition"))

	shipped := s.do(call{name: "for the accounts", method: "GET", path: "/v1/exports/shipped?format=csv", status: 200})
	rows, err := rfc4180.NewReader(strings.NewReader(strings.TrimPrefix(shipped.Body.String(), "\ufeff"))).ReadAll()
	require.NoError(t, err)
	require.Contains(t, rows[1], code)
	require.Equal(t, "text/csv; charset=utf-8", shipped.Header().Get("Content-Type"))
	for _, what := range []string{"orders", "tally", "plan", "outlook", "shipped"} {
		s.do(call{name: what, method: "GET", path: "/v1/exports/" + what, status: 200, has: []string{"PK"}})
		s.do(call{name: what, method: "GET", path: "/v1/exports/" + what + "?format=csv", header: map[string]string{"Accept-Language": "es"}, status: 200, has: []string{"\ufeff"}})
	}
	s.do(call{name: "as a picture", method: "GET", path: "/v1/exports/plan?format=png", status: 400, has: []string{`"parameter":"format"`, "xlsx and csv"}})
}

func TestClosingATruckThatDoesNotCome(t *testing.T) {
	s := newService(t)
	s.settle()
	at := "/v1/pickups/" + wednesday
	s.do(call{name: "closes when it comes", method: "GET", path: at, status: 200, has: []string{`"carriers":[{"carrier":"NORTH","closes":"2027-03-03T06:30:00Z"}]`}})
	s.create("/v1/carriers", `{"code":"VAN","name":"Van","pickups":["mon","tue","wed","thu","fri","sat","sun"]}`)
	s.do(call{name: "the calendar's last day ends", method: "GET", path: "/v1/pickups/9999-12-31", status: 200, has: []string{`"carrier":"VAN","closes":"9999-12-31T23:59:59Z"`}})
	s.do(call{name: "closed", method: "POST", path: at + "/NORTH/close?why=full", status: 200, has: []string{`"at":"2027-03-01T09:30:00Z"`}, hasNot: []string{`"open"`}})
	s.do(call{name: "too late to order", method: "POST", path: "/v1/orders", body: `{"customer":"MILL","pickup":"2027-03-03","lines":[{"product":"B12","cases":1}]}`, status: 409})
	s.do(call{name: "opened again", method: "POST", path: at + "/NORTH/open", status: 200, has: []string{`"open":true`}})
	s.create("/v1/orders", `{"customer":"MILL","pickup":"2027-03-03","lines":[{"product":"B12","cases":1}]}`)
	s.do(call{name: "nobody comes then", method: "POST", path: at + "/NORTH/not-collected", body: `{"to":"2027-03-04"}`, status: 422, has: []string{`"pointer":"#/to"`, "does not come"}})
	s.do(call{name: "moved", method: "POST", path: at + "/NORTH/not-collected", body: `{"to":"2027-03-05"}`, status: 200, has: []string{`"lines":5`}})
	s.do(call{name: "Friday has them", method: "GET", path: "/v1/days/" + friday, status: 200, has: []string{`"moved_from":"2027-03-03"`}})
}

func TestUndoing(t *testing.T) {
	s := newService(t)
	s.settle()
	before := s.do(call{method: "GET", path: "/v1/orders/O1", status: 200})
	s.do(call{method: "PUT", path: "/v1/orders/O1", body: `{"customer":"MILL","pickup":"2027-03-03","lines":[{"product":"B12","cases":9}]}`, header: map[string]string{"If-Match": before.Header().Get("ETag")}, status: 200})
	s.do(call{name: "taken back", method: "POST", path: "/v1/orders/O1/undo", status: 200, has: []string{`"undone":true`}})
	s.do(call{name: "four again", method: "GET", path: "/v1/orders/O1", status: 200, has: []string{`"cases":4`}})
	s.do(call{name: "and brought back", method: "POST", path: "/v1/orders/O1/undo", status: 200})
	s.do(call{name: "nine", method: "GET", path: "/v1/orders/O1", status: 200, has: []string{`"cases":9`}})
	s.do(call{name: "nothing was decided", method: "POST", path: "/v1/lines/O1/B12/NORTH/" + wednesday + "/undo", status: 404})
}

func TestGrowingOverTheWire(t *testing.T) {
	s := newFurnished(t)
	s.do(call{name: "the batch", method: "GET", path: "/v1/batches/OAK-0120", status: 200, has: []string{`"method":"told"`, `"step":"lifted"`, `"lift":"L1"`}})
	s.do(call{name: "all that grow", method: "GET", path: "/v1/batches", status: 200, has: []string{`"code":"OAK-0120"`}, hasNot: []string{`"events"`}})
	s.do(call{name: "wrong in two places", method: "POST", path: "/v1/batch-events", status: 422, has: []string{`"pointer":"#/events/0/trays"`, `"pointer":"#/events/1/batch"`},
		body: `{"events":[{"step":"sown","variety":"OAK","day":"2027-03-01"},{"step":"lost","batch":"NOPE","day":"2027-03-01","heads":3}]}`})
	s.do(call{name: "struck", method: "POST", path: "/v1/batch-events", body: `{"events":[{"step":"struck","corrects":"E3","day":"2027-03-01"}]}`, status: 200, has: []string{`"corrects":"E3"`}})
	s.do(call{name: "those of the batch", method: "GET", path: "/v1/batch-events?batch=OAK-0120", status: 200, has: []string{`"id":"E1"`, `"id":"E3"`, `"step":"struck"`}})
	s.do(call{name: "no figures", method: "PUT", path: "/v1/growing", body: `{"cells_per_tray":162,"sites_per_raft":36,"assurance":90,"table_weeks":6}`, header: map[string]string{"If-Match": `"0"`},
		status: 422, has: []string{`"pointer":"#/figures"`}, hasNot: []string{"#/figures/"}})
	s.do(call{name: "what to sow", method: "GET", path: "/v1/sowing-table", status: 200, has: []string{`"sowings":[{"day":"2027-03-01"`}})
	s.do(call{name: "the outlook", method: "GET", path: "/v1/outlook?weeks=3", status: 200, has: []string{`"last":"2027-03-21"`, `"state":`}})
	s.do(call{name: "too far", method: "GET", path: "/v1/outlook?weeks=27", status: 400, has: []string{`"parameter":"weeks"`, "from 1 to 26"}})
	s.do(call{name: "nothing has finished", method: "GET", path: "/v1/how-it-went", status: 200, has: []string{`"months":[]`}})
	s.do(call{name: "what can be promised", method: "GET", path: "/v1/availability", status: 200, has: []string{`"as_of":"2027-03-01"`}})
	s.do(call{name: "to paste, and to send", method: "GET", path: "/v1/availability?hold_back=2", status: 200, has: []string{`"lines":["`, ` spare"]`}})
	s.do(call{name: "as a paper", method: "GET", path: "/v1/availability.pdf?paper=letter", status: 200, has: []string{"%PDF letter 2027-03-01"}})
	s.do(call{name: "no country, no holidays", method: "GET", path: "/v1/holidays?from=2027-01-01", status: 200, has: []string{`"items":[]`}})
	s.do(call{method: "PUT", path: "/v1/farm", body: strings.Replace(farmBody, `"units"`, `"country":"de","units"`, 1), header: map[string]string{"If-Match": `"0"`}, status: 200})
	s.do(call{name: "Labour Day", method: "GET", path: "/v1/holidays?from=2027-05-01&days=1", status: 200, has: []string{`"day":"2027-05-01"`, `"told":false`}})
}
