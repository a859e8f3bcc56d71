package api_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestBadBodies has a body for every way in which one can be wrong, each with
// the place and the sentence it must be told by. None may change the book.
func TestBadBodies(t *testing.T) {
	s := newService(t)
	s.settle()
	order := func(members string) string { return `{"customer":"MILL","pickup":"2027-03-03",` + members + `}` }
	lines := func(line string) string { return order(`"lines":[` + line + `]`) }
	for _, c := range []call{
		// Text that is no JSON document.
		{name: "no JSON", body: `customer=MILL`, status: 400, has: []string{"is no JSON at byte 0"}},
		{name: "a member twice", body: order(`"lines":[],"customer":"QUAY"`), status: 400, has: []string{`"pointer":"#/customer"`, "stands twice"}},
		{name: "bytes that are no UTF-8", body: order("\"note\":\"\xff\""), status: 400},
		{name: "half a surrogate", body: order(`"note":"\ud800"`), status: 400},
		{name: "a comment", body: "// hello\n{}", status: 400},
		{name: "a comma too many", body: order(`"lines":[],`), status: 400},
		{name: "NaN", body: lines(`{"product":"B12","cases":NaN}`), status: 400},
		{name: "depth without end", body: strings.Repeat("[", 100_000), status: 400},
		// Values of the wrong kind, all told at once, in the document's order.
		{name: "a text", body: `"MILL"`, status: 422, has: []string{`"pointer":"#"`, "must be an object"}},
		{name: "wrong kinds", body: `{"customer":7,"pickup":20270303,"lines":[{"product":"B12","cases":"two"},{"product":true,"cases":1.5}],"note":["x"],"received":"noon"}`, status: 422,
			has: []string{`"errors":[{"pointer":"#/customer","code":"must_be_text","detail":"must be a text"},{"pointer":"#/pickup","code":"must_be_day"`,
				`"pointer":"#/lines/0/cases","code":"must_be_whole"`, `"pointer":"#/lines/1/product"`, `"pointer":"#/lines/1/cases"`, `"pointer":"#/note"`, `"pointer":"#/received","code":"must_be_instant"`}},
		{name: "lines that are an object", body: order(`"lines":{}`), status: 422, has: []string{`"pointer":"#/lines"`, "must be a list"}},
		{name: "a truth that is a number", body: lines(`{"product":"B12","cases":1,"all_or_none":1}`), status: 422, has: []string{`"pointer":"#/lines/0/all_or_none"`, "true or false"}},
		{name: "nulls", body: order(`"lines":null,"note":null`), status: 422, has: []string{`"pointer":"#/lines","code":"null"`, `"pointer":"#/note","code":"null"`}},
		{name: "members with odd names", body: order(`"lines":[],"a/b~c":1,"":2,"x.y[0]":3`), status: 422, has: []string{`"pointer":"#/a~1b~0c"`, `"pointer":"#/"`, `"pointer":"#/x.y%5B0%5D"`}},
		// Figures out of range.
		{name: "negative cases", body: lines(`{"product":"B12","cases":-3}`), status: 422, has: []string{`"pointer":"#/lines/0/cases"`, "must be 0 or more"}},
		{name: "too many cases", body: lines(`{"product":"B12","cases":1000001}`), status: 422, has: []string{"must be 1000000 or less"}},
		{name: "cases beyond all numbers", body: lines(`{"product":"B12","cases":99999999999999999999}`), status: 422, has: []string{`"pointer":"#/lines/0/cases"`}},
		{name: "cases beyond all exponents", body: lines(`{"product":"B12","cases":1e400}`), status: 422, has: []string{`"pointer":"#/lines/0/cases"`}},
		{name: "no lines", body: order(`"lines":[]`), status: 422, has: []string{`"pointer":"#/lines"`, "needs at least 1"}},
		{name: "a note too long", body: order(`"lines":[{"product":"B12","cases":1}],"note":"` + strings.Repeat("ä", 401) + `"`), status: 422, has: []string{`"pointer":"#/note"`, "at most 400 characters"}},
		{name: "a reference of two lines", body: order(`"lines":[{"product":"B12","cases":1}],"reference":"a\nb"`), status: 422, has: []string{`"pointer":"#/reference"`, "one line"}},
		{name: "an id that is none", body: order(`"lines":[{"product":"B12","cases":1}],"id":"a/b"`), status: 422, has: []string{`"pointer":"#/id"`}},
		// Days.
		{name: "29 February of a common year", body: `{"customer":"MILL","pickup":"2027-02-29","lines":[{"product":"B12","cases":1}]}`, status: 422, has: []string{`"pointer":"#/pickup"`, "a day of the calendar"}},
		{name: "a day in another writing", body: `{"customer":"MILL","pickup":"03/03/2027","lines":[{"product":"B12","cases":1}]}`, status: 422, has: []string{`"pointer":"#/pickup"`}},
		{name: "no day", body: `{"customer":"MILL","pickup":"","lines":[{"product":"B12","cases":1}]}`, status: 422, has: []string{`"pointer":"#/pickup"`}},
		{name: "a day without a pickup", body: `{"customer":"MILL","pickup":"2027-03-04","lines":[{"product":"B12","cases":1}]}`, status: 422, has: []string{`"pointer":"#/pickup"`, "NORTH does not come on Thursday 4 March; its next pickup is Friday 5 March"}},
		// What contradicts the book or itself.
		{name: "nobody and nothing", body: `{"customer":"NOPE","pickup":"2027-03-03","carrier":"SOUTH","lines":[{"product":"B13","cases":1}]}`, status: 422,
			has: []string{`"pointer":"#/customer"`, "there is no customer NOPE", `"pointer":"#/carrier"`, `"pointer":"#/lines/0/product"`}},
		{name: "a product twice", body: lines(`{"product":"B12","cases":1},{"product":"B12","cases":2}`), status: 422, has: []string{`"pointer":"#/lines/1/product"`, "B12 stands twice"}},
		{name: "missing members", body: `{}`, status: 422, has: []string{`"pointer":"#/customer"`, `"pointer":"#/pickup"`, `"pointer":"#/lines"`}},
	} {
		c.method, c.path = "POST", "/v1/orders"
		before := s.revision()
		s.do(c)
		require.Equal(t, before, s.revision(), c.name)
	}
}

func TestBadRecords(t *testing.T) {
	s := newService(t)
	s.settle()
	for _, c := range []call{
		{name: "a case that cannot be filled", path: "/v1/products", body: `{"name":"Six","slots":[{"heads":6,"accept":["OAK"]}],"max_heads_per_variety":5}`, has: []string{`"pointer":"#/max_heads_per_variety"`, "at most 5 heads"}},
		{name: "a slot of nothing", path: "/v1/products", body: `{"name":"Six","slots":[{"heads":0,"accept":[]}]}`, has: []string{`"pointer":"#/slots/0/heads"`, `"pointer":"#/slots/0/accept"`}},
		{name: "a variety that is none", path: "/v1/products", body: `{"name":"Six","slots":[{"heads":6,"accept":["OAK","KALE"]}]}`, has: []string{`"pointer":"#/slots/0/accept/1"`, "no variety KALE"}},
		{name: "a day that is none", path: "/v1/carriers", body: `{"name":"South","pickups":["mon","fry"]}`, has: []string{`"pointer":"#/pickups"`, "mon, tue, wed"}},
		{name: "no days", path: "/v1/carriers", body: `{"name":"South","pickups":[]}`, has: []string{`"pointer":"#/pickups"`}},
		{name: "an hour that is none", path: "/v1/carriers", body: `{"name":"South","pickups":["mon"],"hour":"24:00"}`, has: []string{`"pointer":"#/hour"`, "HH:MM"}},
		{name: "an importance of their own", path: "/v1/customers", body: `{"name":"Inn","importance":"vip","email":"nobody","refuse":["OAK","OAK"]}`,
			has: []string{`"pointer":"#/importance"`, "anchor, steady and casual", `"pointer":"#/email"`, `"pointer":"#/refuse"`}},
		{name: "a moved day without another", path: "/v1/calendar", body: `{"day":"2027-03-03","kind":"moved"}`, has: []string{`"pointer":"#/to"`}},
		{name: "terms backwards", path: "/v1/standing-orders", body: `{"customer":"MILL","product":"MIX","terms":[{"from":"2027-03-09"},{"from":"2027-03-01","until":"2027-02-01"}]}`,
			has: []string{`"pointer":"#/terms/1/until"`, `"pointer":"#/terms/1/from"`}},
		{name: "changes over each other", path: "/v1/standing-orders", body: `{"customer":"MILL","product":"MIX","terms":[{"from":"2027-03-01"}],"changes":[{"from":"2027-03-01","hold":true},{"from":"2027-04-01","cases":2}]}`,
			has: []string{`"pointer":"#/changes/1/from"`, "overlaps"}},
		{name: "rafts in thirds", path: "/v1/counts", body: `{"day":"2027-03-01","beds":[{"bed":"A1","variety":"OAK","rafts_now":1.3}]}`, has: []string{`"pointer":"#/beds/0/rafts_now"`, "whole or ending in .5"}},
		{name: "a bed twice", path: "/v1/counts", body: `{"day":"2027-03-01","beds":[{"bed":"A1","variety":"OAK"},{"bed":"A1","variety":"OAK"}]}`, has: []string{`"pointer":"#/beds/1/place"`}},
		{name: "pulled tomorrow", path: "/v1/counts", body: `{"day":"2027-03-01","loose":[{"variety":"OAK","heads":3,"pulled":"2027-03-02"}]}`, has: []string{`"pointer":"#/loose/0/pulled"`}},
	} {
		c.method, c.status = "POST", 422
		s.do(c)
	}
	farm := func(from, to string) call {
		return call{name: from, method: "PUT", path: "/v1/farm", body: strings.Replace(farmBody, from, to, 1), header: map[string]string{"If-Match": `"0"`}, status: 422}
	}
	for place, c := range map[string]call{
		"zone":            farm(`"UTC"`, `"Mars/Olympus"`),
		"plan_days":       farm(`"plan_days":8`, `"plan_days":32`),
		"crew/pack_hours": farm(`"crew":{}`, `"crew":{"pack_hours":25}`),
		"harvest_days":    farm(`["mon","tue"`, `["mon","mon"`),
	} {
		c.has = []string{`"pointer":"#/` + place + `"`}
		s.do(c)
	}
	s.do(call{name: "a code cannot change", method: "PUT", path: "/v1/varieties/OAK", body: `{"code":"ELM","name":"Oak"}`, header: map[string]string{"If-Match": s.tagOf("/v1/varieties/OAK")},
		status: 422, has: []string{`"pointer":"#/code"`, "is OAK and cannot be changed"}})
	s.create("/v1/orders", `{"id":"R1","customer":"MILL","pickup":"2027-03-05","mode":"replace","lines":[{"product":"MIX","cases":0}]}`)
	s.do(call{name: "two that stand instead", method: "POST", path: "/v1/orders", body: `{"customer":"MILL","pickup":"2027-03-05","mode":"replace","lines":[{"product":"MIX","cases":1}]}`, status: 409, has: []string{"R1 already stands instead"}})
	s.do(call{name: "one that comes to stand instead", method: "PUT", path: "/v1/orders/O1", body: `{"customer":"MILL","pickup":"2027-03-05","mode":"replace","lines":[{"product":"MIX","cases":1}]}`,
		header: map[string]string{"If-Match": s.tagOf("/v1/orders/O1")}, status: 409, has: []string{"R1 already stands instead"}})
}
