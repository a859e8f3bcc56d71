package api_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
)

const tuesday = "2027-03-02"

// operation is an address and a body that the furnished farm takes, and an
// address of the operation at which there is nothing.
type operation struct{ at, body, nothing string }

const growingBody = `{"cells_per_tray":162,"sites_per_raft":36,"nursery_trays":40,"sowing_days":["mon","thu"],"assurance":90,"table_weeks":6,
"figures":{"nursery_days":11,"bed_days":24,"late_days":3,"good_seedlings":80,"good_heads":95},"table":[{"variety":"OAK","weekday":"mon","trays":2}]}`

// operations are those of the packing room and of growing, by their names.
var operations = map[string]operation{
	"setGrowing":        {"/v1/growing", growingBody, ""},
	"agreeSowingTable":  {"/v1/growing/table", `{"rows":[{"variety":"OAK","weekday":"mon","trays":2}]}`, ""},
	"trustLearned":      {"/v1/growing/learned/OAK", `{"use":true}`, "/v1/growing/learned/NOPE"},
	"bringForward":      {"/v1/batches/bring-forward", `{"variety":"OAK","days":2,"day":"2027-03-01"}`, ""},
	"sowingWhatIf":      {"/v1/sowing-table/what-if", `{"trays":[{"variety":"OAK","trays":3}]}`, ""},
	"surgeWhatIf":       {"/v1/surges/what-if", `{"from":"2027-04-14","variety":"OAK","heads":300}`, ""},
	"drawGrowingPaper":  {"/v1/growing-days/2027-01-20/papers/tray-labels.pdf", "", "/v1/growing-days/2027-01-20/papers/nope.pdf"},
	"getOutlookCell":    {"/v1/outlook/OAK/2027-03-03", "", "/v1/outlook/NOPE/2027-03-03"},
	"getBatch":          {"/v1/batches/OAK-0120", "", "/v1/batches/NOPE"},
	"tellBatchEvents":   {"/v1/batch-events", `{"events":[{"step":"sown","variety":"BUTTER","day":"2027-03-01","trays":2,"seed_lot":"K 7"}]}`, ""},
	"getPickup":         {"/v1/pickups/" + wednesday, "", ""},
	"closePickup":       {"/v1/pickups/" + wednesday + "/NORTH/close", "", "/v1/pickups/2027-03-04/NORTH/close"},
	"openPickup":        {"/v1/pickups/" + wednesday + "/NORTH/open", "", "/v1/pickups/" + wednesday + "/NOPE/open"},
	"departPickup":      {"/v1/pickups/" + wednesday + "/NORTH/depart", "", "/v1/pickups/2027-03-04/NORTH/depart"},
	"notCollected":      {"/v1/pickups/" + wednesday + "/NORTH/not-collected", `{"to":"2027-03-05"}`, "/v1/pickups/2027-03-04/NORTH/not-collected"},
	"tellReturn":        {"/v1/returns", `{"day":"2027-03-01","customer":"MILL","product":"B12","cases":1,"became":"compost"}`, ""},
	"tellLift":          {"/v1/lifts", `{"day":"2027-03-01","rows":[{"variety":"BUTTER","rafts":0.5,"heads":17,"culls":1}]}`, ""},
	"tellPacking":       {"/v1/packings", `{"day":"2027-03-01","gone_only":true,"gone":[{"variety":"OAK","heads":1,"where":"staff"}]}`, ""},
	"getPackingDay":     {"/v1/packing-days/" + tuesday, "", "/v1/packing-days/2027-02-01"},
	"drawPaper":         {"/v1/packing-days/" + tuesday + "/papers/harvest.pdf", "", "/v1/packing-days/" + tuesday + "/papers/nope.pdf"},
	"listDayIssues":     {"/v1/packing-days/" + tuesday + "/issues", "", ""},
	"issueDay":          {"/v1/packing-days/" + tuesday + "/issues", "", "/v1/packing-days/2027-02-01/issues"},
	"listKeptPapers":    {"/v1/issues/1/papers", "", "/v1/issues/NOPE/papers"},
	"getKeptPaper":      {"/v1/issues/1/papers/harvest.pdf", "", "/v1/issues/1/papers/harvest"},
	"getTrace":          {"/v1/traces/OAK-0120", "", "/v1/traces/NOPE"},
	"getRecall":         {"/v1/traces/OAK-0120/recall", "", "/v1/traces/NOPE/recall"},
	"drawRecall":        {"/v1/traces/OAK-0120/recall.pdf", "", "/v1/traces/NOPE/recall.pdf"},
	"getKeyData":        {"/v1/traces/OAK-0120/records", "", "/v1/traces/NOPE/records"},
	"exportKeyData":     {"/v1/traces/OAK-0120/records.xlsx", "", "/v1/traces/NOPE/records.xlsx"},
	"getRecipe":         {"/v1/days/" + wednesday + "/recipes/SPARE", "", "/v1/days/" + wednesday + "/recipes/NOPE"},
	"typeRecipe":        {"/v1/days/" + wednesday + "/recipes/SPARE", `{"contents":[{"variety":"OAK","heads":1}],"note":"oak is small"}`, "/v1/days/" + wednesday + "/recipes/NOPE"},
	"clearRecipe":       {"/v1/days/" + wednesday + "/recipes/SPARE", "", "/v1/days/" + wednesday + "/recipes/NOPE"},
	"undoRecipe":        {"/v1/days/" + wednesday + "/recipes/SPARE/undo", "", "/v1/days/" + wednesday + "/recipes/NOPE/undo"},
	"undoOrder":         {"/v1/orders/O2/undo", "", "/v1/orders/NOPE/undo"},
	"undoStandingOrder": {"/v1/standing-orders/S1/undo", "", "/v1/standing-orders/NOPE/undo"},
	"undoDecision":      {"/v1/lines/O2/B12/NORTH/" + wednesday + "/undo", "", "/v1/lines/NOPE/B12/NORTH/" + wednesday + "/undo"},
	"listHolidays":      {"/v1/holidays?from=2027-01-01", "", ""},
	"getTaking":         {"/v1/imports/orders/taking/sent", "", "/v1/imports/orders/taking/never"},
	"getFeed":           {"", "", "/feed/nope.ics"},
	"export":            {"/v1/exports/orders", "", "/v1/exports/nope"},
}

func init() {
	for noun, x := range map[string]struct{ at, body string }{
		"beds":         {"/A1", `{"name":"A1","walk":1,"rafts":40}`},
		"profiles":     {"/G1", `{"variety":"OAK","bed_days":25}`},
		"surges":       {"/U1", `{"from":"2027-06-02","percent":20}`},
		"batch-events": {"/E1", ""}, "returns": {"/R1", ""}, "lifts": {"/L1", ""}, "packings": {"/P1", ""}, "issues": {"/1", ""},
		"batches": {"/OAK-0120", ""}, "traces": {"/OAK-0120", ""},
	} {
		examples[noun] = x
	}
}

// operate stores what the operations name: a batch that is ready and was lifted
// from, what came back, a day on which nothing was packed, and an issue.
func (s *service) operate() {
	s.t.Helper()
	s.create("/v1/beds", `{"code":"A1","name":"A1","rafts":40}`)
	s.create("/v1/profiles", `{"id":"G1","variety":"OAK","bed_days":24}`)
	s.create("/v1/surges", `{"id":"U1","from":"2027-06-02","percent":10}`)
	s.do(call{method: "POST", path: "/v1/batch-events", status: 200, body: `{"events":[
		{"id":"E1","step":"sown","variety":"OAK","day":"2027-01-20","trays":1,"seed_lot":"K 6"},
		{"id":"E2","step":"set","batch":"OAK-0120","day":"2027-02-01","rafts":2,"bed":"A1"},
		{"id":"E3","step":"lifted","batch":"OAK-0120","day":"2027-03-01","heads":5}]}`})
	s.create("/v1/returns", `{"day":"2027-03-01","customer":"QUAY","product":"MIX","cases":1,"became":"food_bank","why":"too many"}`)
	s.create("/v1/packings", `{"day":"2027-02-01"}`)
	s.create("/v1/packing-days/"+tuesday+"/issues", "")
}

// TestOperationsOnce sends every such POST under one key: while it is under way,
// again when it is done, and for another reason.
func TestOperationsOnce(t *testing.T) {
	c, err := readContract()
	require.NoError(t, err)
	for _, op := range c.Operations {
		if operations[op.ID].at == "" && !strings.Contains("createBed createProfile createSurge", op.ID) || !needs(op, "Idempotency-Key") {
			continue
		}
		t.Run(op.ID, func(t *testing.T) {
			s := newFurnished(t)
			s.prepare(op.ID)
			good := s.ready(op)
			good.status, good.header["Idempotency-Key"] = goodStatus(op), `"once"`
			free := s.holdWriting()
			answers := make(chan *httptest.ResponseRecorder)
			var requests [2]*http.Request
			for i := range requests {
				requests[i] = s.request(good)
				go func() {
					res := httptest.NewRecorder()
					s.handler.ServeHTTP(res, requests[i])
					answers <- res
				}()
			}
			busy := <-answers
			require.Equal(t, http.StatusConflict, busy.Code, busy.Body)
			require.Empty(t, s.contract.Check(exchange(requests[0], []byte(good.body), busy)))
			free()
			first := <-answers
			require.Equal(t, good.status, first.Code, first.Body)
			rev := s.revision()
			require.Equal(t, first.Body.String(), s.do(good).Body.String())
			other := good
			other.path, other.status, other.has = good.path+"?why=another", 422, []string{"/problems/key-reused"}
			s.do(other)
			require.Equal(t, rev, s.revision())
		})
	}
}

// feed is the address of a new calendar.
func (s *service) feed() string {
	s.t.Helper()
	_, secret, err := s.book.NewFeed(context.Background(), book.Owner(), "office wall", now.AddDate(1, 0, 0))
	require.NoError(s.t, err)
	return "/feed/" + secret + ".ics"
}

// prepare makes what an operation changes, where the furnished farm has none.
func (s *service) prepare(id string) {
	s.t.Helper()
	if id == "releaseCases" || id == "undoDecision" {
		s.do(call{method: "POST", path: "/v1/lines/O2/B12/NORTH/" + wednesday + "/promise", body: `{"cases":2}`, header: map[string]string{"If-Match": `"0"`}, status: 200})
	}
	if id == "getTaking" {
		c := csv("/v1/imports/orders", anOrderSheet, 200)
		c.header["If-Match"], c.header["Idempotency-Key"] = s.tagOf(c.path), `"sent"`
		s.do(c)
	}
	if id == "clearRecipe" || id == "undoRecipe" {
		typed := operations["typeRecipe"]
		s.do(call{method: "PUT", path: typed.at, body: typed.body, header: map[string]string{"If-Match": `"0"`}, status: 200})
	}
}
