package contract

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/openapi"
)

// TestTheContractBites shows Check exchanges that are wrong in one way each.
func TestTheContractBites(t *testing.T) {
	document, err := openapi.JSON()
	require.NoError(t, err)
	c, err := Read(document)
	require.NoError(t, err)
	const variety = `{"code":"OAK","name":"Red oakleaf","revision":1,"ended":false}`
	const refusal = `{"type":"/problems/invalid","title":"x","status":422,"detail":"x","request":"x","errors":[{"pointer":"#/name","code":"x","detail":"x"}]}`
	good := func() Exchange {
		return Exchange{Method: "POST", URL: &url.URL{Path: "/v1/varieties"}, Body: []byte(`{"name":"Red oakleaf"}`), Status: 201, Answer: []byte(variety),
			Header:  http.Header{"Content-Type": {"application/json"}, "Idempotency-Key": {`"k"`}},
			Answers: http.Header{"Content-Type": {"application/json"}, "Etag": {`"1"`}, "Location": {"/v1/varieties/OAK"}}}
	}
	require.Empty(t, c.Check(good()))
	require.NotContains(t, c.Unseen(), "createVariety 201")
	require.Contains(t, c.Unseen(), "createVariety 409")
	for name, spoil := range map[string]func(*Exchange){
		"is not documented":                 func(x *Exchange) { x.Status = 202 },
		"answered 204":                      func(x *Exchange) { x.Method, x.Status = "PATCH", 204 },
		"lacks ETag":                        func(x *Exchange) { x.Answers.Del("ETag") },
		"is not documented for 201":         func(x *Exchange) { x.Answers.Set("Content-Type", "text/plain") },
		"'revision'":                        func(x *Exchange) { x.Answer = []byte(`{"code":"OAK","name":"x","ended":false}`) },
		"'/colour'":                         func(x *Exchange) { x.Answer = []byte(strings.Replace(variety, "{", `{"colour":1,`, 1)) },
		"Idempotency-Key is missing":        func(x *Exchange) { x.Header.Del("Idempotency-Key") },
		"colour is no parameter":            func(x *Exchange) { x.URL = &url.URL{Path: "/v1/varieties", RawQuery: "colour=red"} },
		"was taken":                         func(x *Exchange) { x.Body = []byte(`{"name":""}`) },
		"the answer 422":                    func(x *Exchange) { x.refused(422, strings.Replace(refusal, "422", "400", 1)) },
		"leads nowhere":                     func(x *Exchange) { x.refused(422, strings.Replace(refusal, "#/name", "#/slots/0/heads", 1)) },
		"Content-Type \"text/plain\"":       func(x *Exchange) { x.refused(422, refusal); x.Answers.Set("Content-Type", "text/plain") },
		"minItems":                          func(x *Exchange) { x.refused(422, refusal[:strings.Index(refusal, "[")]+"[]}") },
		"405 without Allow":                 func(x *Exchange) { x.Method = "PATCH"; x.refused(405, strings.Replace(refusal, "422", "405", 1)) },
		"the answer has a body":             func(x *Exchange) { x.Method, x.URL, x.Status = "GET", &url.URL{Path: "/v1/varieties/OAK"}, 304 },
		"is no JSON, or has a member twice": func(x *Exchange) { x.Body = []byte(`{"name":"a","name":"b"}`) },
	} {
		x := good()
		spoil(&x)
		require.Contains(t, strings.Join(c.Check(x), "\n"), name)
	}
}

func (x *Exchange) refused(status int, body string) {
	x.Status, x.Answer = status, []byte(body)
	x.Answers = http.Header{"Content-Type": {"application/problem+json"}}
}

func TestOpenSchemasAreFound(t *testing.T) {
	c, err := Read([]byte(`{"openapi":"3.1.0","paths":{},"components":{"schemas":{
		"Part":{"type":"object","properties":{"a":{"type":"string"}}},
		"Closed":{"$ref":"#/components/schemas/Part","unevaluatedProperties":false},
		"Open":{"type":"object","properties":{"b":{"type":"object","additionalProperties":false}}},
		"Loose":{"type":"array","items":{"$ref":"#/components/schemas/Other"}},
		"Other":{"type":"object","properties":{}}}}}`))
	require.NoError(t, err)
	require.Equal(t, []string{"#/components/schemas/Open", "#/components/schemas/Other"}, c.Open())
}
