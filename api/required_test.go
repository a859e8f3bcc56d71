package api_test

import (
	"encoding/json"
	"maps"
	"net/http"
	"net/http/httptest"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestNothingIsTakenWithoutWhatMustBeSaid leaves out one member after another of
// every body that the furnished farm takes. What the contract asks for is never
// filled in by the service: an empty table is no table left out.
func TestNothingIsTakenWithoutWhatMustBeSaid(t *testing.T) {
	s := newService(t)
	s.settle()
	s.furnish()
	asked := 0
	for _, op := range s.contract.Operations {
		if op.Body["application/json"] == nil {
			continue
		}
		good := s.ready(op)
		for _, body := range leftOut(t, good.body) {
			c := good
			c.body, c.header = body, maps.Clone(good.header)
			x := exchange(s.request(c), []byte(body), httptest.NewRecorder())
			_, parts := s.contract.Find(x.Method, x.URL.EscapedPath())
			if len(op.RequestFaults(x, parts)) == 0 {
				continue // it need not be said
			}
			asked++
			res := s.send(c)
			assert.Contains(t, []int{http.StatusBadRequest, http.StatusUnprocessableEntity}, res.Code, "%s without it: %s\n%s", op.ID, body, res.Body)
		}
	}
	require.Greater(t, asked, 60)
}

// leftOut are the bodies that lack one member, here or further down.
func leftOut(t *testing.T, body string) (bodies []string) {
	var doc any
	require.NoError(t, json.Unmarshal([]byte(body), &doc), body)
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, item := range v {
				walk(item)
			}
		case map[string]any:
			for _, name := range slices.Sorted(maps.Keys(v)) {
				was := v[name]
				delete(v, name)
				without, err := json.Marshal(doc)
				require.NoError(t, err)
				bodies = append(bodies, string(without))
				v[name] = was
				walk(was)
			}
		}
	}
	walk(doc)
	return bodies
}
