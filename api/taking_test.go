package api_test

import (
	"encoding/json"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// takingDoc is how far a sheet is, as a client reads it.
type takingDoc struct {
	State        string
	Written, Of  int
	Began, Ended time.Time
}

func (s *service) taking(key string) (t takingDoc) {
	s.t.Helper()
	require.NoError(s.t, json.Unmarshal(s.do(call{method: "GET", path: "/v1/imports/orders/taking/" + key, status: 200}).Body.Bytes(), &t))
	return t
}

// TestASheetsSenderSeesHowFarItIs holds the book's one place for writing while
// a sheet waits for it.
func TestASheetsSenderSeesHowFarItIs(t *testing.T) {
	s := newService(t)
	s.settle()
	c := csv("/v1/imports/orders", anOrderSheet, 200)
	c.header["If-Match"], c.header["Idempotency-Key"] = s.tagOf(c.path), `"march/1"`
	s.do(call{method: "GET", path: "/v1/imports/orders/taking/march%2F1", status: 404})

	free := s.holdWriting()
	answer, request := make(chan *httptest.ResponseRecorder), s.request(c)
	go func() {
		res := httptest.NewRecorder()
		s.handler.ServeHTTP(res, request)
		answer <- res
	}()
	require.Eventually(t, func() bool {
		return s.send(call{method: "GET", path: "/v1/imports/orders/taking/march%2F1"}).Code == 200
	}, 10*time.Second, time.Millisecond)
	seen := s.taking("march%2F1")
	require.Equal(t, takingDoc{State: "under_way", Began: now.UTC()}, seen)
	s.clock(time.Minute)
	free()
	require.Equal(t, 200, (<-answer).Code)

	ended := takingDoc{State: "taken", Written: 2, Of: 2, Began: now.UTC(), Ended: now.Add(time.Minute).UTC()}
	require.Equal(t, ended, s.taking("march%2F1"))
	s.do(c)
	require.Equal(t, ended, s.taking("march%2F1"), "the same request again takes nothing")
}

func TestASheetThatIsRefusedIsNotTaken(t *testing.T) {
	s := newService(t)
	s.settle()
	c := csv("/v1/imports/orders", strings.Replace(anOrderSheet, "MIX", "Nobody's", 1), 422)
	c.header["If-Match"], c.header["Idempotency-Key"] = s.tagOf(c.path), `"march"`
	s.do(c)
	require.Equal(t, takingDoc{State: "refused", Began: now.UTC(), Ended: now.UTC()}, s.taking("march"))
	c = csv(c.path, anOrderSheet, 200)
	c.header["If-Match"], c.header["Idempotency-Key"] = s.tagOf(c.path), `"march"`
	s.do(c)
	require.Equal(t, "taken", s.taking("march").State, "a request that was refused has not used its key")
}

// TestTakingsAreForgotten: an hour after their end, when the next one begins.
func TestTakingsAreForgotten(t *testing.T) {
	s := newService(t)
	s.settle()
	take := func(key string) {
		c := csv("/v1/imports/orders", anOrderSheet, 200)
		c.header["If-Match"], c.header["Idempotency-Key"] = s.tagOf(c.path), key
		s.do(c)
		s.clock(time.Minute)
	}
	take("first")
	take("second")
	s.clock(59 * time.Minute)
	take("third")
	s.do(call{method: "GET", path: "/v1/imports/orders/taking/first", status: 404, has: []string{"sheet under the key first"}})
	require.Equal(t, "taken", s.taking("second").State)
}
