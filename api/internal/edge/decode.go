package edge

import (
	"bytes"
	"errors"
	"io"
	"mime"
	"net/http"
	"reflect"
	"strings"

	json "github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"headtally/domain"
)

// faultsTold is how many wrong values of one document are told at most.
const faultsTold = 100

// Body is the request's body, read once, or a refusal of its size or kind.
func (a *Ask) Body(types ...string) ([]byte, error) {
	if a.read {
		return a.body, nil
	}
	kind, params, err := mime.ParseMediaType(a.Header.Get("Content-Type"))
	otherText := kind == "application/json" && params["charset"] != "" && !strings.EqualFold(params["charset"], "utf-8")
	if err != nil || !contains(types, kind) || otherText {
		b := &Bad{Kind: ErrMediaType, In: InHeader}
		b.Faults.Add("Content-Type", "one_of", "allowed", types)
		return nil, b
	}
	if a.body, err = a.limited(); err != nil {
		return nil, err
	}
	a.read = true
	return a.body, nil
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if strings.EqualFold(x, s) {
			return true
		}
	}
	return false
}

// limited reads up to Limit bytes; one more is a refusal.
func (a *Ask) limited() ([]byte, error) {
	body, err := io.ReadAll(http.MaxBytesReader(nil, a.Request.Body, a.Limit))
	var over *http.MaxBytesError
	switch {
	case errors.As(err, &over):
		return nil, TooLarge(a.Limit)
	case err != nil:
		return nil, malformed(InBody, "", "cut_off")
	}
	return body, nil
}

// TooLarge is the refusal of a body above a number of bytes.
func TooLarge(limit int64) error {
	b := &Bad{Kind: ErrTooLarge, In: InBody}
	b.Faults.Add("", "at_most_bytes", "limit", limit)
	return b
}

// Decode reads the body as one JSON document into v and tells everything that
// does not fit: text that is no JSON is malformed; members v does not have,
// values of another kind and null are faults with their places.
func (a *Ask) Decode(v any) error {
	body, err := a.Body("application/json")
	if err != nil {
		return err
	}
	return DecodeJSON(body, v)
}

// DecodeJSON is Decode for a text in memory.
func DecodeJSON(body []byte, v any) error {
	if len(bytes.TrimSpace(body)) == 0 {
		return malformed(InBody, "", "required")
	}
	faults, clean := domain.Faults(nil), body
	wrong := map[jsontext.Pointer]bool{} // true: a member v does not have
	var err error
	for len(faults) < faultsTold {
		if clean, err = cleaned(body, wrong, &faults); err != nil {
			return syntax(err)
		}
		into := reflect.New(reflect.TypeOf(v).Elem())
		err = json.Unmarshal(clean, into.Interface(), json.RejectUnknownMembers(true), asTold)
		var found *json.SemanticError
		if err != nil && !errors.As(err, &found) {
			return syntax(err)
		}
		if err == nil && len(faults) == 0 {
			reflect.ValueOf(v).Elem().Set(into.Elem())
		}
		if err == nil {
			break
		}
		unknown := errors.Is(err, json.ErrUnknownName)
		if _, told := wrong[found.JSONPointer]; told {
			break // what stands instead of a wrong value does not fit either
		}
		wrong[found.JSONPointer] = unknown
		faults = append(faults, misfit(found, unknown))
	}
	return faults.Err()
}

// Members reads the members of a JSON object into a struct of raw values, each of
// which must be there.
func Members(body []byte, into any) error {
	if len(bytes.TrimSpace(body)) == 0 {
		return malformed(InBody, "", "required")
	}
	err := json.Unmarshal(body, into, json.RejectUnknownMembers(true), jsontext.AllowDuplicateNames(true))
	var found *json.SemanticError
	switch {
	case errors.As(err, &found):
		return domain.Faults{misfit(found, errors.Is(err, json.ErrUnknownName))}
	case err != nil:
		return syntax(err)
	}
	var faults domain.Faults
	v := reflect.ValueOf(into).Elem()
	for i := range v.NumField() {
		if v.Field(i).Len() == 0 {
			faults.Add(v.Type().Field(i).Tag.Get("json"), "required")
		}
	}
	return faults.Err()
}

// Under puts a place in front of the places of an error's faults.
func Under(place string, err error) error {
	var bad *Bad
	var faults domain.Faults
	switch {
	case errors.As(err, &bad):
		return &Bad{Kind: bad.Kind, In: bad.In, Faults: under(place, bad.Faults)}
	case errors.As(err, &faults):
		return under(place, faults)
	}
	return err
}

func under(place string, faults domain.Faults) domain.Faults {
	for i := range faults {
		if faults[i].Place == "document" {
			faults[i].Place = ""
		}
	}
	out := faults.Under(place)
	for i := range out {
		out[i].Place = strings.TrimSuffix(out[i].Place, ".")
	}
	return out
}
