package api_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestARecipeIsTypedOverForADay(t *testing.T) {
	s := newService(t)
	s.settle()
	day := "/v1/days/" + wednesday
	at := day + "/recipes/MIX"
	first := map[string]string{"If-Match": `"0"`}
	s.do(call{name: "none was typed", method: "GET", path: at, status: 200, has: []string{`"contents":[]`, `"revision":0`}})
	s.do(call{name: "as planned", method: "GET", path: day + "/recipes", status: 200, has: []string{`"by_hand":false,"recipe_revision":0`}})
	for _, c := range []call{
		{name: "too few heads", body: `{"contents":[{"variety":"OAK","heads":11}]}`, status: 422, has: []string{`"pointer":"#/contents"`, "holds 11 heads, and a case holds 12"}},
		{name: "no such variety", body: `{"contents":[{"variety":"NOPE","heads":12}]}`, status: 422, has: []string{`"pointer":"#/contents/0/variety"`}},
		{name: "half a head", body: `{"contents":[{"variety":"OAK","heads":1.5}]}`, status: 422, has: []string{"must be a whole number"}},
	} {
		c.method, c.path, c.header = "PUT", at, first
		s.do(c)
	}
	typed := s.do(call{name: "typed over", method: "PUT", path: at + "?why=oak+is+small", body: `{"contents":[{"variety":"BUTTER","heads":10},{"variety":"OAK","heads":2}]}`,
		header: first, status: 200, has: []string{`"id":"MIX/2027-03-03"`, `"ended":false`}})
	s.do(call{name: "planned so", method: "GET", path: day + "/recipes", status: 200,
		has: []string{`"by_hand":true`, `"contents":[{"variety":"BUTTER","heads":10},{"variety":"OAK","heads":2}]`, `"instead":{`, `"more_stand_ins":`, `"recipe_substitutes"`}})
	require.NotContains(t, s.do(call{name: "the day speaks of the product", method: "GET", path: day, status: 200, has: []string{`"product":"MIX"`, `"by_hand":true`}}).Body.String(), "by hand 2027")
	require.NotContains(t, s.do(call{name: "so does the pack list", method: "GET", path: day + "/pack-list", status: 200}).Body.String(), "by hand 2027")
	require.NotContains(t, s.do(call{name: "so does the plan", method: "GET", path: "/v1/plan", status: 200, has: []string{`"product":"MIX"`}}).Body.String(), "by hand 2027")
	s.do(call{name: "the problem has a product of its own", method: "GET", path: "/v1/plan?problem=true", status: 200, has: []string{`"code":"MIX by hand 2027-03-03"`}})
	s.do(call{name: "the history", method: "GET", path: "/v1/history?kind=recipe", status: 200, has: []string{"oak is small"}})

	s.create("/v1/packing-days/"+tuesday+"/issues", "")
	tag := map[string]string{"If-Match": typed.Header().Get("ETag")}
	other := `{"contents":[{"variety":"BUTTER","heads":9},{"variety":"OAK","heads":3}]}`
	s.do(call{name: "it was printed", method: "PUT", path: at, body: other, header: tag, status: 409, has: []string{"say why the change comes late"}})
	s.do(call{name: "nor is it cleared", method: "DELETE", path: at, header: tag, status: 409})
	s.do(call{name: "nor taken back", method: "POST", path: at + "/undo", status: 409})
	late := s.do(call{name: "with a reason it is", method: "PUT", path: at + "?late=short", body: other, header: tag, status: 200})
	s.do(call{name: "the paper is old", method: "GET", path: day + "/recipes", status: 200, has: []string{`"printed":1,"print_again":true`}})
	s.do(call{name: "taken back", method: "POST", path: at + "/undo?late=mistake", status: 200, has: []string{`"undone":true`}})
	s.do(call{name: "from an older revision", method: "DELETE", path: at + "?late=mistake", header: map[string]string{"If-Match": late.Header().Get("ETag")}, status: 412})
	now := s.do(call{name: "as it was", method: "GET", path: at, status: 200, has: []string{`"heads":10`}})
	s.do(call{name: "cleared", method: "DELETE", path: at + "?late=mistake", header: map[string]string{"If-Match": now.Header().Get("ETag")}, status: 200, has: []string{`"ended":true`}})
	require.NotContains(t, s.do(call{name: "as planned again", method: "GET", path: day + "/recipes", status: 200}).Body.String(), `"by_hand":true`)
}
