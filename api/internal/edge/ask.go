package edge

import (
	"bytes"
	"net/http"
	"strconv"

	json "github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	jsonv1 "github.com/go-json-experiment/json/v1"

	"headtally/api/book"
)

// Ask is one request as a handler sees it.
type Ask struct {
	*http.Request
	Person book.Person
	Path   func(name string) string // a part of the address, decoded
	Limit  int64                    // most bytes of the body

	body []byte
	read bool
}

// Handler answers a request. It returns an answer or an error, never neither.
type Handler func(*Ask) (*Answer, error)

// Route is one line of a face's table. Path names its parts in braces, as
// openapi.yaml does.
type Route struct {
	Method string
	Path   string
	May    book.Right // what who asks must be allowed; Anybody: nothing
	Limit  int64      // most bytes of a body; 0: it takes none
	Handle Handler
}

// The most bytes a body may have.
const (
	JSONLimit    = 1 << 20  // a record
	SheetLimit   = 25 << 20 // a sheet
	ProblemLimit = 64 << 20 // a planning problem: 200,000 lines and their lots
)

// Answer is what goes back.
type Answer struct {
	Status int
	Header map[string]string
	Body   []byte // with its Content-Type in Header
}

// JSON is an answer with a document. Lists that hold nothing are written [].
func JSON(status int, v any) (*Answer, error) {
	body, err := Marshal(v)
	if err != nil {
		return nil, err
	}
	return &Answer{Status: status, Header: map[string]string{"Content-Type": "application/json"}, Body: append(body, '\n')}, nil
}

// Marshal writes a document as answers hold it. Bytes of an address that are no
// UTF-8 are shown as replacement characters.
func Marshal(v any) ([]byte, error) {
	return json.Marshal(v, jsonv1.OmitEmptyWithLegacySemantics(true), json.Deterministic(true), jsontext.AllowInvalidUTF8(true))
}

// With adds a header.
func (a *Answer) With(name, value string) *Answer {
	if a.Header == nil {
		a.Header = map[string]string{}
	}
	a.Header[name] = value
	return a
}

// Write sends the answer.
func (a *Answer) Write(w http.ResponseWriter) error {
	for name, value := range a.Header {
		w.Header().Set(name, value)
	}
	if a.Status != http.StatusNotModified {
		w.Header().Set("Content-Length", strconv.Itoa(len(a.Body)))
	}
	w.WriteHeader(a.Status)
	_, err := bytes.NewReader(a.Body).WriteTo(w)
	return err
}
