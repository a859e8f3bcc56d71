package api_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"mime/multipart"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/api/sheets"
	"headtally/api/words"
	"headtally/domain"
)

const anOrderSheet = "Customer,Product,Day,Cases,Purchase order\nMill kitchen,Butterhead 12,2027-03-05,3,PO-1\nQuay grocers,MIX,2027-03-05,2,\n"

const aLiftSheet = "Variety,Bed,Heads,Culls\nGreen butterhead,,17,1\nRed oakleaf,A2,12,\n"

const aCountSheet = "Bed,Variety,Rafts ready now,Heads by next harvest\nA1,Green butterhead,2.5,\nA2,Red oakleaf,,30\n"

// aWorkbook is the workbook of a first week with its example rows.
var aWorkbook = sync.OnceValue(func() string {
	farm := book.ExampleFarm(domain.MustDay(monday))
	var b bytes.Buffer
	if err := sheets.WriteXLSX(&b, book.WorkbookTables(&farm), words.In("en")); err != nil {
		panic(err)
	}
	return b.String()
})

// csv is a call that sends a CSV file.
func csv(path, body string, status int) call {
	return call{method: "POST", path: path, body: body, status: status, header: map[string]string{"Content-Type": "text/csv"}}
}

func TestAnOrderSheetIsPreviewedAndTaken(t *testing.T) {
	s := newService(t)
	s.settle()
	before := s.revision()
	c := csv("/v1/imports/orders/preview?name=march.csv", anOrderSheet, 200)
	c.has = []string{`"fate":"line"`, `"customer":"MILL"`, `"faults":[]`, `"purchase_order":"PO-1"`, `"was":0,"now":3`, `"already":false`}
	seen := s.do(c)
	require.Equal(t, before, s.revision(), "a dry run stores nothing")
	take := func(body string, status int, has ...string) call {
		c := csv("/v1/imports/orders?name=march.csv", body, status)
		c.header["If-Match"], c.has = seen.Header().Get("ETag"), has
		return c
	}
	s.create("/v1/varieties", `{"name":"In between"}`)
	s.do(take(anOrderSheet, 412, "/problems/stale"))
	seen = s.do(csv("/v1/imports/orders/preview", anOrderSheet, 200))
	s.do(take(anOrderSheet, 200, `"added":2`, `"name":"march.csv"`, `"already":false`))
	s.do(call{method: "GET", path: "/v1/orders?from=2027-03-05", status: 200, has: []string{"PO-1"}})
	after := s.revision()
	s.do(take(anOrderSheet, 200, `"already":true`, `"added":0`))
	require.Equal(t, after, s.revision(), "the same file again changes nothing")
	c = csv("/v1/imports/orders/preview", anOrderSheet, 200)
	c.has = []string{`"already":true`}
	s.do(c)
}

// TestALayoutIsKeptAndReadBy: how a sheet was read is kept when it is taken, and
// the sender's next sheet needs nothing said.
func TestALayoutIsKeptAndReadBy(t *testing.T) {
	s := newService(t)
	s.settle()
	sheet := func(cases string) string {
		return "Account,SKU,Deliver on,Qty\nMill kitchen,Butterhead 12,06/03/2027," + cases + "\n"
	}
	const told = "sender=Depot&day_order=dmy&days_after_pickup=1&keep=true"
	c := csv("/v1/imports/orders?"+told, sheet("3"), 200)
	c.header["If-Match"] = s.do(csv("/v1/imports/orders/preview?"+told, sheet("3"), 200)).Header().Get("ETag")
	s.do(c)
	s.do(call{method: "GET", path: "/v1/layouts/DEPOT", status: 200, has: []string{`"arrival day":"Deliver on"`, `"days_after_pickup":1`}})
	c = csv("/v1/imports/orders/preview", sheet("5"), 200)
	c.has = []string{`"layout":"DEPOT"`, `"was":3,"now":5`, `"faults":[]`}
	s.do(c)
	c = csv("/v1/imports/orders/preview?keep=true", sheet("5"), 422)
	c.has = []string{"sender"}
	s.do(c)
	c = csv("/v1/imports/orders/preview?layout=NONE", sheet("5"), 422)
	c.has = []string{"layout"}
	s.do(c)
}

func TestOrderSheetsWithFaults(t *testing.T) {
	s := newService(t)
	s.settle()
	before := s.revision()
	bad := "customer,product,day,cases\nMill kitchen,Butterhead 12,2027-03-05,-3\nMill kitchen,Butterhead 12,2027-02-29,3\nMill kitchn,Butterhead 12,2027-03-05,3\nMill kitchen,MIX,2027-03-04,1\n"
	c := csv("/v1/imports/orders/preview", bad, 200)
	c.has = []string{`"fate":"refused"`, `row 2`, `row 3`, `row 4`, `row 5`, `"kind":"customer","name":"Mill kitchn"`, `"nearest":[{"code":"MILL"`}
	seen := s.do(c)
	c = csv("/v1/imports/orders", bad, 422)
	c.header["If-Match"], c.has = seen.Header().Get("ETag"), []string{"/problems/invalid", `"place":"sheet`, "row 2", "row 5"}
	s.do(c)
	c = csv("/v1/imports/orders?day_order=guess&days_after_pickup=31&unit=pallets&mode=maybe&park=yes", bad, 400)
	c.header["If-Match"] = seen.Header().Get("ETag")
	c.has = []string{`"parameter":"day_order"`, `"parameter":"days_after_pickup"`, `"parameter":"unit"`, `"parameter":"mode"`, `"parameter":"park"`}
	s.do(c)
	for name, content := range map[string]string{"text called a workbook": "customer,product", "a workbook cut off": "PK\x03\x04\x14\x00", "a workbook of old": "\xd0\xcf\x11\xe0\xa1"} {
		c := csv("/v1/imports/orders/preview?name=orders.xlsx", content, 422)
		c.name, c.has = name, []string{`"place":"file orders.xlsx"`}
		s.do(c)
	}
	require.Equal(t, before, s.revision())
}

func TestOrderSheetsInAForm(t *testing.T) {
	s := newService(t)
	s.settle()
	form := func(parts ...string) (body, kind string) {
		var b bytes.Buffer
		w := multipart.NewWriter(&b)
		for i := 0; i < len(parts); i += 2 {
			make := w.CreateFormField
			if parts[i] == "file" {
				make = func(name string) (io.Writer, error) { return w.CreateFormFile(name, "C:\\orders\\\"march\".csv") }
			}
			to, err := make(parts[i])
			require.NoError(t, err)
			_, err = to.Write([]byte(parts[i+1]))
			require.NoError(t, err)
		}
		require.NoError(t, w.Close())
		return b.String(), w.FormDataContentType()
	}
	renamed := strings.Replace(strings.Replace(anOrderSheet, "Customer", "Who", 1), "Mill kitchen", "The mill", 1)
	options := `{"columns":{"customer":"Who"},"ties":[{"kind":"customer","name":"The mill","code":"MILL"}]}`
	send := func(path, key, tag string, status int, parts ...string) call {
		body, kind := form(parts...)
		return call{method: "POST", path: path, body: body, status: status, header: map[string]string{"Content-Type": kind, "Idempotency-Key": key, "If-Match": tag}}
	}
	c := send("/v1/imports/orders/preview", "", "", 200, "file", renamed, "options", options)
	c.has = []string{`"customer":"MILL"`, `"faults":[]`}
	tag := s.do(c).Header().Get("ETag")
	first := s.do(send("/v1/imports/orders", "form-1", tag, 200, "file", renamed, "options", options))
	again := s.do(send("/v1/imports/orders", "form-1", tag, 200, "file", renamed, "options", options))
	require.Equal(t, first.Body.String(), again.Body.String(), "the form's bytes differ, what it says does not")
	s.do(send("/v1/imports/orders", "form-1", tag, 422, "file", anOrderSheet))
	for name, c := range map[string]call{
		"without a file":            send("/v1/imports/orders/preview", "", "", 400, "options", options),
		"with two files":            send("/v1/imports/orders/preview", "", "", 400, "file", renamed, "file", renamed),
		"with something else":       send("/v1/imports/orders/preview", "", "", 400, "file", renamed, "admin", "1"),
		"with options in no form":   send("/v1/imports/orders/preview", "", "", 400, "file", renamed, "options", "columns=1"),
		"with a column that is not": send("/v1/imports/orders/preview", "", "", 422, "file", renamed, "options", `{"columns":{"shoe size":"Who"}}`),
		"with a tie to nothing":     send("/v1/imports/orders/preview", "", "", 422, "file", renamed, "options", `{"ties":[{"kind":"truck"}]}`),
	} {
		c.name = name
		s.do(c)
	}
	var doc struct{ Sheet struct{ Name string } }
	require.NoError(t, json.Unmarshal(first.Body.Bytes(), &doc))
	require.NotContains(t, doc.Sheet.Name, "\n")
}

// parked is the rows that wait.
func (s *service) parked() (rows struct{ Items []parkedItem }) {
	s.t.Helper()
	require.NoError(s.t, json.Unmarshal(s.do(call{method: "GET", path: "/v1/imports/parked?from=2027-01-01", status: 200}).Body.Bytes(), &rows))
	return rows
}

type parkedItem struct {
	ID       string
	Revision int64
}

func (p parkedItem) tag() string { return fmt.Sprintf("%q", fmt.Sprint(p.Revision)) }

// parkedRow parks a row, unless one waits already, and gives its address.
func (s *service) parkedRow() string {
	s.t.Helper()
	if len(s.parked().Items) == 0 {
		c := csv("/v1/imports/orders?park=true", "customer,product,day,cases\nNobody known,MIX,2027-03-05,1\n", 200)
		c.header["If-Match"] = s.tagOf("/v1/imports/orders")
		s.do(c)
	}
	return "/v1/imports/parked/" + s.parked().Items[0].ID + "/settle"
}

func TestARowThatCannotBeReadWaits(t *testing.T) {
	s := newService(t)
	s.settle()
	s.do(call{method: "GET", path: "/v1/imports/parked", status: 200, has: []string{`"items":[]`}})
	at := s.parkedRow()
	s.do(call{method: "GET", path: "/v1/imports/parked", status: 200, has: []string{`"day":"2027-03-05"`, "Nobody known", `"fault":{"place":"sheet`}})
	s.do(call{name: "whatever is there", method: "POST", path: at, body: `{"done":"they rang"}`, header: map[string]string{"If-Match": "*"}, status: 200, has: []string{`"ended":true`}})
	s.do(call{method: "GET", path: "/v1/imports/parked", status: 200, has: []string{`"items":[]`}})
}

func TestACountIsTakenFromASheet(t *testing.T) {
	s := newService(t)
	s.settle()
	before := s.revision()
	c := csv("/v1/imports/counts/preview?day=2027-03-01&whole=true", aCountSheet, 200)
	c.has = []string{`"bed":"A1"`, `"rafts_now":2.5`, `"heads_next":30`, `"faults":[]`, `"whole":true`}
	tag := s.do(c).Header().Get("ETag")
	bad := "Bed,Variety,Rafts ready now\nA1,Kale,2.3\n"
	c = csv("/v1/imports/counts/preview?day=2027-03-01", bad, 200)
	c.has, c.hasNot = []string{`"place":"sheet`, "row 2"}, []string{`"count":`}
	s.do(c)
	c = csv("/v1/imports/counts?day=2027-03-01", bad, 422)
	c.header["If-Match"], c.has = tag, []string{"row 2"}
	s.do(c)
	require.Equal(t, before, s.revision())
	c = csv("/v1/imports/counts?day=2027-03-01", aCountSheet, 200)
	c.header["If-Match"], c.has = tag, []string{`"already":false`, `"bed":"A1"`}
	s.do(c)
	require.Equal(t, before+1, s.revision())
	c.has = []string{`"already":true`}
	s.do(c)
	require.Equal(t, before+1, s.revision(), "the same file again changes nothing")
}

func TestALiftIsTakenFromASheet(t *testing.T) {
	s := newService(t)
	s.settle()
	before := s.revision()
	c := csv("/v1/imports/lifts/preview?day=2027-03-01", aLiftSheet, 200)
	c.has, c.hasNot = []string{`"day":"2027-03-01"`, `"heads":17`, `"culls":1`, `"bed":"A2"`, `"done":true`, `"faults":[]`}, []string{`"id":`}
	tag := s.do(c).Header().Get("ETag")
	bad := "Variety,Heads,Culls\nGreen butterhead,12,0\nRed oaklef,3,1\n"
	c = csv("/v1/imports/lifts/preview?day=2027-03-01&open=true", bad, 200)
	c.has, c.hasNot = []string{`"place":"sheet`, "row 3"}, []string{`"lift":`}
	s.do(c)
	c = csv("/v1/imports/lifts?day=2027-03-01", bad, 422)
	c.header["If-Match"], c.has = tag, []string{"row 3"}
	s.do(c)
	require.Equal(t, before, s.revision())
	c = csv("/v1/imports/lifts?day=2027-03-01", aLiftSheet, 200)
	c.header["If-Match"], c.has = tag, []string{`"already":false`, `"id":"L1"`, `"kind":"lift"`}
	s.do(c)
	require.Equal(t, before+1, s.revision())
	c.has = []string{`"already":true`}
	s.do(c)
	require.Equal(t, before+1, s.revision(), "the same file again changes nothing")
}

func TestAFirstWeekIsTakenFromAWorkbook(t *testing.T) {
	s := newService(t)
	send := func(path string, status int, has ...string) call {
		return call{method: "POST", path: path, body: aWorkbook(), status: status, has: has, header: map[string]string{"Content-Type": "application/octet-stream"}}
	}
	s.do(send("/v1/imports/workbook/preview?name=week.xlsx", 200, `"faults":[]`, `"counts":1`))
	require.Zero(t, s.revision())
	s.do(send("/v1/imports/workbook?name=week.xlsx", 200, `"already":false`))
	s.do(call{method: "GET", path: "/v1/orders", status: 200, hasNot: []string{`"items":[]`}})
	after := s.revision()
	s.do(send("/v1/imports/workbook?name=week.xlsx", 200, `"already":true`))
	require.Equal(t, after, s.revision())
	damaged := send("/v1/imports/workbook", 422, `"place":`)
	damaged.body = damaged.body[:len(damaged.body)/2]
	s.do(damaged)
}
