package contract

import (
	"bytes"
	"encoding/json"
	"fmt"
	"mime"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// Exchange is one request and its answer.
type Exchange struct {
	Method  string
	URL     *url.URL
	Header  http.Header
	Body    []byte
	Status  int
	Answers http.Header
	Answer  []byte
}

// undocumented are the statuses that default stands for: what may befall any
// request. Every other status must be documented where it is answered.
var undocumented = []int{http.StatusUnauthorized, http.StatusTooManyRequests, http.StatusMisdirectedRequest, http.StatusInternalServerError, http.StatusServiceUnavailable, http.StatusInsufficientStorage}

// Check is everything in an exchange that the contract does not allow.
func (c *Contract) Check(x Exchange) (wrong []string) {
	op, parts := c.Find(x.Method, x.URL.EscapedPath())
	if op == nil {
		return c.checkStray(x)
	}
	c.seen[op.ID+" "+strconv.Itoa(x.Status)] = true
	if x.Status < 300 {
		for _, f := range op.RequestFaults(x, parts) {
			wrong = append(wrong, "was taken, though "+f)
		}
	}
	answer := op.Answers[strconv.Itoa(x.Status)]
	if answer == nil && slices.Contains(undocumented, x.Status) {
		answer = op.Answers["default"]
	}
	if answer == nil {
		return append(wrong, fmt.Sprintf("%s answered %d, which is not documented", op.ID, x.Status))
	}
	for name, h := range answer.Headers {
		if value := x.Answers.Get(name); value == "" && h.Required {
			wrong = append(wrong, "the answer lacks "+name)
		} else if err := h.Schema.check.Validate(value); err != nil && value != "" {
			wrong = append(wrong, name+": "+value+": "+err.Error())
		}
	}
	return append(wrong, c.checkContent(answer.Content, x)...)
}

// checkStray holds the answer to an address or method that is not in the document.
func (c *Contract) checkStray(x Exchange) []string {
	known := c.Knows(x.URL.EscapedPath())
	switch {
	case known && x.Status == http.StatusMethodNotAllowed && x.Answers.Get("Allow") == "":
		return []string{"405 without Allow"}
	case known && (x.Status == http.StatusMethodNotAllowed || x.Status == http.StatusForbidden), !known && x.Status == http.StatusNotFound:
		return checkProblem(x)
	case known && x.Method == http.MethodOptions && x.Status == http.StatusNoContent:
		return nil
	}
	return []string{fmt.Sprintf("%s %s is not documented and answered %d", x.Method, x.URL.Path, x.Status)}
}

func (c *Contract) checkContent(content map[string]*Schema, x Exchange) []string {
	if content == nil {
		if len(x.Answer) > 0 {
			return []string{"the answer has a body and should have none"}
		}
		return nil
	}
	kind, _, err := mime.ParseMediaType(x.Answers.Get("Content-Type"))
	schema, known := content[kind]
	if err != nil || !known {
		return []string{fmt.Sprintf("Content-Type %q is not documented for %d", x.Answers.Get("Content-Type"), x.Status)}
	}
	var wrong []string
	if schema != nil {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(x.Answer))
		if err == nil {
			err = schema.check.Validate(doc)
		}
		if err != nil {
			wrong = append(wrong, "the answer: "+err.Error())
		}
	}
	if kind == "application/problem+json" {
		wrong = append(wrong, checkProblem(x)...)
	}
	return wrong
}

// checkProblem holds a problem document to what a schema cannot say: its status
// is the answer's, and its pointers lead somewhere in the request's body or to
// a member that is missing there.
func checkProblem(x Exchange) (wrong []string) {
	var p struct {
		Type   string `json:"type"`
		Status int    `json:"status"`
		Errors []struct {
			Pointer *string `json:"pointer"`
		} `json:"errors"`
	}
	if kind := x.Answers.Get("Content-Type"); kind != "application/problem+json" {
		return []string{fmt.Sprintf("%d with Content-Type %q", x.Status, kind)}
	}
	if err := json.Unmarshal(x.Answer, &p); err != nil {
		return []string{"the problem: " + err.Error()}
	}
	if p.Status != x.Status {
		wrong = append(wrong, fmt.Sprintf("the problem says %d, the answer %d", p.Status, x.Status))
	}
	var body any
	if json.Unmarshal(x.Body, &body) != nil {
		return wrong // what is no JSON has no places
	}
	for _, e := range p.Errors {
		if e.Pointer != nil && !leads(*e.Pointer, body) {
			wrong = append(wrong, fmt.Sprintf("pointer %s leads nowhere in %.300s", *e.Pointer, x.Body))
		}
	}
	return wrong
}

// leads says whether a pointer leads to a value, or to a member that an
// object there lacks.
func leads(pointer string, doc any) bool {
	fragment, ok := strings.CutPrefix(pointer, "#")
	if !ok {
		return false
	}
	fragment, err := url.PathUnescape(fragment)
	if err != nil || fragment == "" {
		return err == nil
	}
	parts := strings.Split(fragment, "/")[1:]
	for i, part := range parts {
		part = strings.NewReplacer("~1", "/", "~0", "~").Replace(part)
		switch here := doc.(type) {
		case map[string]any:
			inner, there := here[part]
			if !there {
				return i == len(parts)-1
			}
			doc = inner
		case []any:
			n, err := strconv.Atoi(part)
			if err != nil || n < 0 || n >= len(here) {
				return false
			}
			doc = here[n]
		default:
			return false
		}
	}
	return true
}

// RequestFaults is everything in a request that the contract does not allow.
func (op *Operation) RequestFaults(x Exchange, parts map[string]string) (faults []string) {
	query := x.URL.Query()
	for _, p := range op.Parameters {
		var value string
		given := true
		switch p.In {
		case "path":
			value = parts[p.Name]
		case "query":
			value, given = query.Get(p.Name), query.Has(p.Name)
			if len(query[p.Name]) > 1 {
				faults = append(faults, p.Name+" is given twice")
			}
			query.Del(p.Name)
		case "header":
			value, given = x.Header.Get(p.Name), len(x.Header.Values(p.Name)) > 0
		}
		switch {
		case !given && p.Required:
			faults = append(faults, p.Name+" is missing")
		case !utf8.ValidString(value):
			faults = append(faults, p.Name+" is no UTF-8")
		case given:
			if err := p.Schema.check.Validate(asKind(value, p.Schema.Raw)); err != nil {
				faults = append(faults, p.Name+": "+err.Error())
			}
		}
	}
	for name := range query {
		faults = append(faults, name+" is no parameter")
	}
	if op.Body == nil {
		return faults
	}
	return append(faults, op.bodyFaults(x)...)
}

func (op *Operation) bodyFaults(x Exchange) []string {
	kind, _, err := mime.ParseMediaType(x.Header.Get("Content-Type"))
	schema, known := op.Body[kind]
	if err != nil || !known {
		return []string{"Content-Type " + x.Header.Get("Content-Type") + " is not taken"}
	}
	if schema == nil || kind != "application/json" {
		return nil // a file is held against nothing here, its parts are looked at by its reader
	}
	return schema.Faults(x.Body)
}

// Faults is what a schema refuses in a JSON text.
func (s *Schema) Faults(body []byte) []string {
	if !jsontext.Value(body).IsValid() {
		return []string{"the text is no JSON, or has a member twice"}
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(body))
	if err == nil {
		err = s.check.Validate(doc)
	}
	if err != nil {
		return []string{err.Error()}
	}
	return nil
}

// asKind reads a parameter's text as the kind its schema names.
func asKind(value string, schema map[string]any) any {
	switch schema["type"] {
	case "integer", "number":
		if json.Valid([]byte(value)) {
			return json.Number(value)
		}
	case "boolean":
		if b, err := strconv.ParseBool(value); err == nil && (value == "true" || value == "false") {
			return b
		}
	}
	return value
}
