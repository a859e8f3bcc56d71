package api_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSettlingALine(t *testing.T) {
	s := newService(t)
	s.settle()
	at := "/v1/lines/O2/B12/NORTH/" + wednesday
	from := func(tag string) map[string]string { return map[string]string{"If-Match": tag} }
	first := s.do(call{name: "nothing settled", method: "GET", path: at + "/decision", status: 200, has: []string{`"revision":0`}, hasNot: []string{"promised"}})
	tag := first.Header().Get("ETag")
	require.Equal(t, `"0"`, tag)
	s.do(call{name: "more than was asked", method: "POST", path: at + "/promise", body: `{"cases":7}`, header: from(tag), status: 422, has: []string{`"pointer":"#/cases"`, "from 1 to 6"}})
	s.do(call{name: "a negative word", method: "POST", path: at + "/promise", body: `{"cases":-1}`, header: from(tag), status: 422, has: []string{`"pointer":"#/cases"`}})
	tag = s.do(call{name: "a word for three", method: "POST", path: at + "/promise?why=on%20the%20phone", body: `{"cases":3}`, header: from(tag), status: 200, has: []string{`"promised":3`, `"promised_at":"2027-03-01T09:30:00Z"`}}).Header().Get("ETag")
	s.do(call{name: "from before the word", method: "POST", path: at + "/promise", body: `{"cases":4}`, header: from(`"0"`), status: 412})
	s.do(call{name: "a word is not lowered", method: "POST", path: at + "/promise", body: `{"cases":2}`, header: from(tag), status: 409, has: []string{"a word was given for 3 cases; release it first"}})
	s.do(call{name: "nor cut away", method: "POST", path: at + "/cut", body: `{"at_most":2}`, header: from(tag), status: 409, has: []string{"release it first"}})
	tag = s.do(call{name: "released to one", method: "POST", path: at + "/release", body: `{"cases":1}`, header: from(tag), status: 200, has: []string{`"promised":1`}}).Header().Get("ETag")
	s.do(call{name: "released to more", method: "POST", path: at + "/release", body: `{"cases":1}`, header: from(tag), status: 422, has: []string{"from 0 to 0"}})
	tag = s.do(call{name: "cut to two", method: "POST", path: at + "/cut", body: `{"at_most":2}`, header: from(tag), status: 200, has: []string{`"at_most":2`}}).Header().Get("ETag")
	s.do(call{name: "the day shows it", method: "GET", path: "/v1/days/" + wednesday, status: 200, has: []string{`"at_most":2`, `"cut":4`, `"promised":1`}})
	tag = s.do(call{name: "the cut is lifted", method: "POST", path: at + "/cut", body: `{}`, header: from(tag), status: 200, hasNot: []string{"at_most"}}).Header().Get("ETag")
	tag = s.do(call{name: "takes a substitution", method: "POST", path: at + "/agree", body: `{"agreed":true}`, header: from(tag), status: 200, has: []string{`"agreed":true`}}).Header().Get("ETag")
	s.do(call{name: "to a day nobody comes", method: "POST", path: at + "/move", body: `{"to":"2027-03-04"}`, header: from(tag), status: 422, has: []string{`"pointer":"#/to"`, "does not come"}})
	s.do(call{name: "to no day", method: "POST", path: at + "/move", body: `{}`, header: from(tag), status: 422, has: []string{`"pointer":"#/to"`, `"code":"required"`}})
	s.do(call{name: "to a day that is none", method: "POST", path: at + "/move", body: `{"to":"2027-02-29"}`, header: from(tag), status: 422, has: []string{`"pointer":"#/to"`, `"code":"must_be_day"`}})
	s.do(call{name: "to Friday", method: "POST", path: at + "/move", body: `{"to":"2027-03-05"}`, header: from(tag), status: 200, has: []string{`"moved_to":"2027-03-05"`}})
	s.do(call{name: "Friday has it", method: "GET", path: "/v1/days/" + friday, status: 200, has: []string{`"line":"` + at + `"`, `"moved_from":"2027-03-03"`}})
	s.do(call{name: "a day that is none", method: "GET", path: "/v1/lines/O2/B12/NORTH/2027-02-29/decision", status: 400, has: []string{`"parameter":"pickup"`}})
	s.do(call{name: "as of a day that is none", method: "GET", path: at + "/decision?as_of=2027-02-29", status: 400, has: []string{`"parameter":"as_of"`}})
}

func TestDaysAndPapers(t *testing.T) {
	s := newService(t)
	s.settle()
	rev := `"11"`
	for _, c := range []call{
		{name: "the tally keeps short and not counted apart", path: "/v1/tally", has: []string{
			`{"variety":"BUTTER","name":"Green butterhead","listed":150,"assigned":90,"short":48,"not_counted":0}`,
			`{"variety":"OAK","name":"Red oakleaf","listed":12,"assigned":0,"short":0,"not_counted":12}`, `"ahead":[{"pickup":"2027-03-10"`}},
		{name: "the plan", path: "/v1/plan", has: []string{`"id":"O1/B12/NORTH/2027-03-03"`, `"code":"good_in_ten"`, `"pickup_days":["2027-03-03","2027-03-05"]`}, hasNot: []string{`"problem"`}},
		{name: "the plan and what it is made from", path: "/v1/plan?problem=true", has: []string{`"problem":{"as_of":"2027-03-01"`}},
		{name: "as of another day", path: "/v1/plan?as_of=2027-03-04", has: []string{`"as_of":"2027-03-04"`}, hasNot: []string{`"2027-03-03"`}},
		{name: "the day", path: "/v1/days/" + wednesday, has: []string{`"customer_name":"Mill kitchen"`, `"hour":"06:30"`, `"code":"not_enough_ready"`}},
		{name: "a day nobody counted", path: "/v1/days/" + friday, has: []string{`"short":0,"not_counted":2`}},
		{name: "the pack list", path: "/v1/days/" + wednesday + "/pack-list", has: []string{`"item_code":"K-77"`, `"trucks":[{"carrier":"NORTH"`}},
	} {
		c.method, c.status = "GET", 200
		require.Equal(t, rev, s.do(c).Header().Get("ETag"), c.name)
	}
	for paper, want := range map[string]string{"": "letter", "?paper=letter": "letter", "?paper=a4": "a4"} {
		res := s.do(call{name: "paper" + paper, method: "GET", path: "/v1/days/" + wednesday + "/pack-list.pdf" + paper, status: 200, has: []string{"%PDF " + want + " 2027-03-03"}})
		require.Equal(t, "application/pdf", res.Header().Get("Content-Type"))
		require.Equal(t, `inline; filename="pack-list-2027-03-03.pdf"`, res.Header().Get("Content-Disposition"))
	}
	s.do(call{name: "no such paper", method: "GET", path: "/v1/days/" + wednesday + "/pack-list.pdf?paper=a3", status: 400, has: []string{`"parameter":"paper"`, "letter and a4"}})
	for _, tail := range []string{"", "/pack-list", "/pack-list.pdf"} {
		s.do(call{name: "no pickup", method: "GET", path: "/v1/days/2027-03-04" + tail, status: 404, has: []string{"no pickup day Thursday 4 March 2027"}})
		s.do(call{name: "no day", method: "GET", path: "/v1/days/tomorrow" + tail, status: 400, has: []string{`"parameter":"pickup"`}})
	}
	s.create("/v1/varieties", `{"name":"Another"}`)
	s.do(call{name: "the book went on", method: "GET", path: "/v1/tally", header: map[string]string{"If-None-Match": rev}, status: 200})
}

func TestPromisesAndProblems(t *testing.T) {
	s := newService(t)
	s.settle()
	before := s.revision()
	for _, c := range []call{
		{name: "of the book", method: "GET", path: "/v1/promises?product=MIX&pickup=2027-03-05&cases=2&customer=QUAY", status: 200, has: []string{`"covered":true`, `"all_in":0`}},
		{name: "of a day beyond the plan", method: "GET", path: "/v1/promises?product=MIX&pickup=2027-06-05&cases=2", status: 200, has: []string{`"covered":false`}},
		{name: "of everything at once", method: "GET", path: "/v1/promises", status: 400, has: []string{`"parameter":"product"`, `"parameter":"pickup"`, `"parameter":"cases"`}},
		{name: "of no cases", method: "GET", path: "/v1/promises?product=MIX&pickup=2027-03-05&cases=0", status: 400, has: []string{"from 1 to 1000000"}},
		{name: "for nobody", method: "GET", path: "/v1/promises?product=MIX&pickup=2027-03-05&cases=1&customer=NOPE", status: 404, has: []string{"no customer NOPE"}},
		{name: "a plan", method: "POST", path: "/v1/plans/what-if", body: smallProblem, header: map[string]string{"Idempotency-Key": ""}, status: 200,
			has: []string{`"filled":4`, `"short":1`, `"totals":{"asked":6,"cut":0,"filled":5`}},
		{name: "a problem with faults", method: "POST", path: "/v1/plans/what-if", body: `{"as_of":"2027-02-30","lead_days":9,"lines":[{"id":"1","cases":-1,"colour":3}]}`, status: 422,
			has: []string{`"pointer":"#/as_of"`, `"pointer":"#/lead_days"`, `"pointer":"#/lines/0/cases"`, `"pointer":"#/lines/0/colour"`, "cooler is missing"}},
		{name: "a promise of a problem", method: "POST", path: "/v1/promises/what-if", header: map[string]string{"Idempotency-Key": ""},
			body: `{"problem":` + smallProblem + `,"question":{"product":"B12","pickup":"2027-03-03","cases":1}}`, status: 200, has: []string{`"sure":0,"all_in":0`}},
		{name: "a promise of a problem with faults", method: "POST", path: "/v1/promises/what-if", body: `{"problem":{"as_of":3},"question":{}}`, status: 422, has: []string{`"pointer":"#/problem/as_of"`}},
		{name: "a promise without a question", method: "POST", path: "/v1/promises/what-if", body: `{"problem":` + smallProblem + `}`, status: 422, has: []string{`"pointer":"#/question"`, `"code":"required"`}},
		{name: "a question with faults", method: "POST", path: "/v1/promises/what-if", body: `{"problem":` + smallProblem + `,"question":{"cases":0,"substitutes":"perhaps"}}`, status: 422,
			has: []string{`"pointer":"#/question/product"`, `"pointer":"#/question/cases"`, `"pointer":"#/question/substitutes"`}},
		{name: "a question about nothing there", method: "POST", path: "/v1/promises/what-if", body: `{"problem":` + smallProblem + `,"question":{"product":"NOPE","pickup":"2027-03-04","cases":1,"refuse":["A","Z"]}}`, status: 422,
			has: []string{`"pointer":"#/question/product"`, `"pointer":"#/question/pickup"`, `"pointer":"#/question/refuse/1"`}},
	} {
		s.do(c)
	}
	require.Equal(t, before, s.revision(), "nothing of it is stored")
}
