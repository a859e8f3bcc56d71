package api_test

import "testing"

// TestAChangeThatComesLate touches the order of a pickup that is closed with every
// kind of record that can: each needs the tick.
func TestAChangeThatComesLate(t *testing.T) {
	s := newService(t)
	s.settle()
	s.create("/v1/carriers", `{"code":"TODAY","name":"Monday round","pickups":["mon"],"hour":"06:00"}`)
	s.create("/v1/customers", `{"code":"INN","name":"Inn","carrier":"TODAY"}`)
	s.create("/v1/orders?late=customer", `{"id":"O9","customer":"INN","pickup":"2027-03-01","lines":[{"product":"MIX","cases":1}]}`)
	s.create("/v1/standing-orders?late=mistake", `{"id":"S9","customer":"INN","product":"B12","terms":[{"from":"2027-03-01","cases":1}]}`)
	s.create("/v1/calendar", `{"id":"X9","day":"2027-03-03","kind":"extra","carrier":"TODAY"}`)
	s.do(call{name: "an order", method: "POST", path: "/v1/orders", body: `{"customer":"INN","pickup":"2027-03-01","lines":[{"product":"MIX","cases":1}]}`, status: 409, has: []string{"closed", "say why the change comes late"}})
	s.do(call{name: "for a reason of their own", method: "POST", path: "/v1/orders?late=whim", body: `{"customer":"INN","pickup":"2027-03-01","lines":[{"product":"MIX","cases":1}]}`, status: 400, has: []string{`"parameter":"late"`}})
	for _, c := range []call{
		{method: "PUT", path: "/v1/orders/O9", body: `{"customer":"INN","pickup":"2027-03-01","lines":[{"product":"MIX","cases":2}]}`},
		{method: "PUT", path: "/v1/standing-orders/S9", body: `{"customer":"INN","product":"B12","terms":[{"from":"2027-03-01","cases":2}]}`},
		{method: "PUT", path: "/v1/calendar/X9", body: `{"day":"2027-03-01","kind":"closed","carrier":"TODAY"}`},
		{method: "PUT", path: "/v1/carriers/TODAY", body: `{"name":"Tuesday round","pickups":["tue"],"hour":"06:00"}`},
		{method: "PUT", path: "/v1/customers/INN", body: `{"name":"Inn","carrier":"NORTH"}`},
		{method: "DELETE", path: "/v1/orders/O9"},
		{method: "DELETE", path: "/v1/standing-orders/S9"},
	} {
		c.name, c.status, c.header = c.method+" "+c.path, 409, map[string]string{"If-Match": s.tagOf(c.path)}
		c.has = []string{"/problems/conflict", "closed"}
		s.do(c)
	}
	s.do(call{name: "with the tick", method: "DELETE", path: "/v1/orders/O9?late=customer&why=banquet%20off", header: map[string]string{"If-Match": s.tagOf("/v1/orders/O9")}, status: 200})
	s.do(call{name: "the history has it", method: "GET", path: "/v1/history?limit=1", status: 200, has: []string{"late (customer): banquet off"}})
	closed := s.do(call{method: "PUT", path: "/v1/calendar/X9?late=transport", body: `{"day":"2027-03-01","kind":"closed","carrier":"TODAY"}`, header: map[string]string{"If-Match": s.tagOf("/v1/calendar/X9")}, status: 200})
	s.do(call{name: "a closed day is taken away", method: "DELETE", path: "/v1/calendar/X9", header: map[string]string{"If-Match": closed.Header().Get("ETag")}, status: 409})
}
