package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/internal/edge"
	"headtally/api/pages"
	v1 "headtally/api/v1"
)

// matrix is who may use what, written down apart from the program: the rights an
// address asks for, by the words of its group. Addresses are those of JSON and of
// pages; parts are in braces.
var matrix = map[string]string{
	"anybody": `GET /feed/{feed}, GET /healthz, GET /readyz, GET /openapi.yaml, GET /openapi.json, GET /problems/{kind}, GET /static/{file},
		GET /sign-in, POST /sign-in, POST /sign-out, GET /begin, POST /begin, POST /begin/alone, GET /welcome, POST /welcome`,
	"read": `GET /v1/availability, GET /v1/availability.pdf, GET /v1/traces/{code}/recall, GET /v1/traces/{code}/recall.pdf, GET /availability, GET /availability.pdf, GET /trace/recall.pdf, GET /v1/batch-events, GET /v1/batch-events/{id}, GET /v1/batches, GET /v1/batches/{batch}, GET /v1/beds, GET /v1/beds/{code},
		GET /v1/departures, GET /v1/exports/{export}, GET /v1/growing, GET /v1/growing-days/{day}/papers/{paper}, GET /v1/house, POST /v1/sowing-table/what-if, POST /v1/surges/what-if, GET /v1/holidays, GET /v1/how-it-went, GET /v1/issues, GET /v1/issues/{id},
		GET /v1/issues/{id}/papers, GET /v1/issues/{id}/papers/{paper}, GET /v1/lifts, GET /v1/lifts/{id}, GET /v1/outlook, GET /v1/outlook/{variety}/{pickup}, GET /v1/packing-days,
		GET /v1/packing-days/{day}, GET /v1/packing-days/{day}/issues, GET /v1/packing-days/{day}/papers/{paper}, GET /v1/packings, GET /v1/packings/{id},
		GET /v1/pickups/{pickup}, GET /v1/profiles, GET /v1/profiles/{id}, GET /v1/returns, GET /v1/returns/{id}, GET /v1/sowing-table, GET /v1/surges,
		GET /v1/surges/{id}, GET /v1/traces/{code}, GET /v1/traces/{code}/records, GET /v1/traces/{code}/records.xlsx, GET /v1/farm, GET /v1/varieties, GET /v1/varieties/{code}, GET /v1/products, GET /v1/products/{code}, GET /v1/carriers, GET /v1/carriers/{code}, GET /v1/layouts, GET /v1/layouts/{code},
		GET /v1/customers, GET /v1/customers/{code}, GET /v1/calendar, GET /v1/calendar/{id}, GET /v1/standing-orders, GET /v1/standing-orders/{id},
		GET /v1/orders, GET /v1/orders/{id}, GET /v1/counts, GET /v1/counts/{id}, GET /v1/lines/{order}/{product}/{carrier}/{pickup}/decision,
		GET /v1/tally, GET /v1/plan, GET /v1/days/{pickup}, GET /v1/days/{pickup}/recipes, GET /v1/days/{pickup}/recipes/{product}, GET /v1/days/{pickup}/pack-list, GET /v1/days/{pickup}/pack-list.pdf, GET /v1/history,
		POST /v1/plans/what-if, GET /v1/promises, POST /v1/promises/what-if, GET /v1/imports/parked,
		GET /, GET /me, POST /me, GET /first, GET /farm, GET /history, GET /trace, GET /manual, GET /manual/{chapter}, GET /day, GET /day/{day}, GET /day/{day}/line, GET /orders, GET /orders/{day},
		GET /week/{day}, GET /customer/{code}, GET /promise, GET /sheet, GET /sheet/parked/{id}, GET /exports, GET /exports/{export}, GET /after, GET /after/{day}, GET /holidays, GET /surges, GET /surges/{code}, GET /layouts, GET /layouts/{code}, GET /outlook, GET /outlook/{variety}/{day}, GET /recipe,
		GET /recipe/{day}, GET /beds, GET /beds/walk, GET /beds/without, GET /batches, GET /batches/{code}, GET /sowing, GET /growing-papers/{day}/{name}, GET /went, GET /growing, GET /raft-beds, GET /raft-beds/{code}, GET /profiles, GET /profiles/{code}, GET /papers, GET /papers/{day},
		GET /papers/{day}/{name}, GET /kept/{issue}/{name}, GET /morning, GET /morning/{day}, GET /customers, GET /customers/{code}, GET /products,
		GET /products/{code}, GET /varieties, GET /varieties/{code}, GET /carriers, GET /carriers/{code}, GET /calendar, GET /calendar/{code}, GET /standing,
		GET /standing/{code}`,
	"orders": `GET /metrics, DELETE /v1/surges/{id}, POST /v1/lines/{order}/{product}/{carrier}/{pickup}/undo, POST /v1/orders/{id}/undo,
		PUT /v1/days/{pickup}/recipes/{product}, DELETE /v1/days/{pickup}/recipes/{product}, POST /v1/days/{pickup}/recipes/{product}/undo,
		POST /v1/packing-days/{day}/issues, POST /v1/pickups/{pickup}/{carrier}/close, POST /v1/pickups/{pickup}/{carrier}/open,
		POST /v1/standing-orders/{id}/undo, POST /v1/surges, PUT /v1/surges/{id}, POST /v1/layouts, PUT /v1/layouts/{code}, DELETE /v1/layouts/{code}, POST /v1/carriers, PUT /v1/carriers/{code}, DELETE /v1/carriers/{code}, POST /v1/customers, PUT /v1/customers/{code}, DELETE /v1/customers/{code},
		POST /v1/calendar, PUT /v1/calendar/{id}, DELETE /v1/calendar/{id}, POST /v1/standing-orders, PUT /v1/standing-orders/{id}, DELETE /v1/standing-orders/{id},
		POST /v1/orders, PUT /v1/orders/{id}, DELETE /v1/orders/{id}, POST /v1/lines/{order}/{product}/{carrier}/{pickup}/promise,
		POST /v1/lines/{order}/{product}/{carrier}/{pickup}/release, POST /v1/lines/{order}/{product}/{carrier}/{pickup}/cut,
		POST /v1/lines/{order}/{product}/{carrier}/{pickup}/move, POST /v1/lines/{order}/{product}/{carrier}/{pickup}/agree,
		POST /v1/imports/orders/preview, POST /v1/imports/orders, GET /v1/imports/orders/taking/{key}, POST /v1/imports/parked/{id}/settle,
		POST /recipe/{day}, POST /day/{day}/answer, POST /day/{day}/close, POST /day/{day}/sure, POST /orders/{day}, POST /week/{day}, GET /p/cell, POST /p/cell,
		POST /customer/{code}/entry, POST /promise, POST /sheet, GET /sheet/{id}, POST /sheet/{id}, GET /sheet/{id}/taking, POST /sheet/parked/{id}, POST /history/undo, POST /surges/{code}, POST /surges/{code}/end, POST /layouts/{code}, POST /layouts/{code}/end, POST /papers/{day}/issue,
		POST /customers/{code}, POST /customers/{code}/end, POST /carriers/{code}, POST /carriers/{code}/end, POST /calendar/{code}, POST /calendar/{code}/end,
		POST /standing/{code}, POST /standing/{code}/end`,
	"beds": `DELETE /v1/beds/{code}, DELETE /v1/profiles/{id}, POST /v1/batch-events, POST /v1/beds, POST /v1/profiles, PUT /v1/beds/{code}, PUT /v1/growing, PUT /v1/growing/table, PUT /v1/growing/learned/{variety}, POST /v1/batches/bring-forward,
		PUT /v1/profiles/{id}, POST /v1/counts, PUT /v1/counts/{id}, DELETE /v1/counts/{id}, POST /v1/imports/counts/preview, POST /v1/imports/counts, POST /beds/walk, POST /batches, POST /batches/{code}, POST /forward, POST /sowing, POST /went, POST /growing,
		POST /raft-beds/{code}, POST /raft-beds/{code}/end, POST /profiles/{code}, POST /profiles/{code}/end`,
	"beds or packing":   `POST /morning/{day}/lift, POST /morning/{day}/sheet, POST /v1/lifts, POST /v1/imports/lifts/preview, POST /v1/imports/lifts`,
	"orders or packing": `POST /v1/pickups/{pickup}/{carrier}/not-collected, POST /after/{day}/not-collected`,
	"packing":           `POST /v1/packings, POST /v1/pickups/{pickup}/{carrier}/depart, POST /v1/returns, POST /after/{day}/came-back, POST /morning/{day}/packed, POST /morning/{day}/gone`,
	"manage": `PUT /v1/farm, POST /v1/varieties, PUT /v1/varieties/{code}, DELETE /v1/varieties/{code}, POST /v1/products, PUT /v1/products/{code},
		DELETE /v1/products/{code}, POST /v1/imports/workbook/preview, POST /v1/imports/workbook,
		GET /people, POST /people, GET /people/{code}, POST /people/{code}, POST /people/{code}/password, POST /people/{code}/end, POST /keys, POST /feeds, POST /devices,
		POST /passes/{id}/end, POST /first, POST /first/demo, POST /farm, POST /varieties/{code}, POST /varieties/{code}/end, POST /products/{code}, POST /products/{code}/end`,
}

// may is what each kind of asker may do.
var may = map[string][]string{
	"owner":   {"read", "orders", "beds", "packing", "manage"},
	"office":  {"read", "orders"},
	"growing": {"read", "beds"},
	"packing": {"read", "packing"},
	"device":  {"read", "packing"},

	"key office":  {"read", "orders"},
	"key growing": {"read", "beds"},
	"key packing": {"read", "packing"},

	"nobody": nil, "a guess": nil, "a guessed key": nil,
}

// asks is the matrix by address.
func asks(t *testing.T) map[string]string {
	by := map[string]string{}
	for right, list := range matrix {
		for address := range strings.SplitSeq(list, ",") {
			address = strings.TrimSpace(address)
			_, twice := by[address]
			require.False(t, twice, address)
			by[address] = right
		}
	}
	return by
}

// addresses are all that the service has.
func addresses(p *peopled) (all []string) {
	for _, r := range v1.New(v1.Deps{Book: p.book}).Routes() {
		all = append(all, r.Method+" "+r.Path)
	}
	for _, own := range []string{"/healthz", "/readyz", "/metrics", "/openapi.yaml", "/openapi.json", "/problems/{kind}", "/feed/{feed}"} {
		all = append(all, "GET "+own)
	}
	for address := range pages.New(pages.Deps{Book: p.book}).May() {
		all = append(all, address)
	}
	slices.Sort(all)
	return all
}

// TestMatrix walks every address as everybody. Who may not is told so before
// anything else is looked at; who may gets whatever else there is to say.
func TestMatrix(t *testing.T) {
	p := newPeopled(t)
	asked := asks(t)
	for _, address := range addresses(p) {
		right, stated := asked[address]
		require.True(t, stated, "%s has no row in the matrix", address)
		delete(asked, address)
		method, path, _ := strings.Cut(address, " ")
		at := strings.NewReplacer("{day}", "2027-03-03", "{pickup}", "2027-03-03", "{kind}", "stale", "{file}", "raft.svg",
			"{code}", "NONE", "{id}", "NONE", "{order}", "O", "{product}", "P", "{carrier}", "C", "{variety}", "V", "{issue}", "1", "{name}", "x", "{feed}", "x.ics", "{key}", "sent").Replace(path)
		if address == "POST /sign-out" { // would end the asker's own session
			continue
		}
		for who, rights := range may {
			p.holdTo(who, method, at, right, slices.ContainsFunc(strings.Split(right, " or "), func(r string) bool { return slices.Contains(rights, r) }))
		}
	}
	require.Empty(t, asked, "rows of addresses that are not there")
}

// holdTo asks once and judges by the status alone.
func (p *peopled) holdTo(who, method, at, right string, allowed bool) {
	p.Helper()
	before, err := p.book.Revision(p.Context())
	require.NoError(p, err)
	got := p.ask(who, method, at, "").Code
	page := !strings.HasPrefix(at, "/v1/") && at != "/metrics"
	known := may[who] != nil && (!page || p.holders[who].key == "")
	switch {
	case right == string(edge.Anybody):
		require.NotEqual(p, http.StatusInternalServerError, got, "%s %s as %s", method, at, who)
		return
	case allowed && known:
		require.NotContains(p, []int{401, 403, 429, 500}, got, "%s %s as %s", method, at, who)
		return
	case known:
		require.Equal(p, http.StatusForbidden, got, "%s %s as %s", method, at, who)
	case page && method == http.MethodGet:
		require.Equal(p, http.StatusSeeOther, got, "%s %s as %s", method, at, who)
	default:
		require.Equal(p, http.StatusUnauthorized, got, "%s %s as %s", method, at, who)
	}
	after, err := p.book.Revision(p.Context())
	require.NoError(p, err)
	require.Equal(p, before, after, "%s %s as %s changed the book", method, at, who)
}

// TestNothingChangesOnReading asks for every address that is read, as the owner.
func TestNothingChangesOnReading(t *testing.T) {
	p := newPeopled(t)
	before, err := p.book.Revision(t.Context())
	require.NoError(t, err)
	for _, address := range addresses(p) {
		if path, is := strings.CutPrefix(address, "GET "); is {
			for _, method := range []string{"GET", "HEAD"} {
				require.Less(t, p.ask("owner", method, strings.NewReplacer("{day}", "2027-03-03", "{pickup}", "2027-03-03").Replace(path), "").Code, 500, address)
			}
		}
	}
	after, err := p.book.Revision(t.Context())
	require.NoError(t, err)
	require.Equal(t, before, after)
}

// TestEveryAnswerIsGuarded looks at the headers of every address that is read,
// as the owner and as nobody.
func TestEveryAnswerIsGuarded(t *testing.T) {
	p := newPeopled(t)
	for _, address := range addresses(p) {
		path, is := strings.CutPrefix(address, "GET ")
		if !is {
			continue
		}
		for _, who := range []string{"owner", "nobody"} {
			res := p.ask(who, "GET", strings.NewReplacer("{day}", "2027-03-03", "{pickup}", "2027-03-03", "{file}", "raft.svg").Replace(path), "")
			h := res.Header()
			require.Equal(t, "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'", h.Get("Content-Security-Policy"), address)
			require.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), address)
			require.Equal(t, "same-origin", h.Get("Referrer-Policy"), address)
			require.Equal(t, "same-origin", h.Get("Cross-Origin-Opener-Policy"), address)
			require.Empty(t, h.Get("Server")+h.Get("X-Powered-By"), address)
			if path != "/static/{file}" {
				require.Equal(t, "no-store", h.Get("Cache-Control"), address)
			}
			if kind := h.Get("Content-Type"); strings.HasPrefix(kind, "text/") {
				require.Contains(t, strings.ToLower(kind), "charset=utf-8", address)
			}
		}
	}
}
