package edge

import (
	"bytes"
	"errors"
	"io"
	"math/big"
	"mime"
	"net/http"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

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

// asTold reads an instant in UTC to the microsecond, as the book keeps them, and
// takes no empty text for a day: one that is not told is left out. Weekdays have
// one writing here, though people may write them in several.
var asTold = json.WithUnmarshalers(json.JoinUnmarshalers(
	json.UnmarshalFunc(fromText(func(text string) (time.Time, error) {
		at, err := time.Parse(time.RFC3339Nano, text)
		return at.UTC().Truncate(time.Microsecond), err
	})),
	json.UnmarshalFunc(fromText(domain.ParseDay)),
	json.UnmarshalFunc(shortWeekdays),
))

func shortWeekdays(b []byte, into *domain.Weekdays) error {
	if string(b) == "null" {
		return nil
	}
	var names []string
	if err := json.Unmarshal(b, &names); err != nil {
		return errNoWeekdays
	}
	for _, name := range names {
		if !slices.Contains(domain.EveryDay.Names(), name) {
			return errNoWeekdays
		}
	}
	set, err := domain.ParseWeekdays(names)
	*into = set
	return err
}

var errNoWeekdays = errors.New("no weekdays")

var errNoText = errors.New("no text")

// fromText reads a value from a JSON text; null, which stands where something
// was found wrong before, is none.
func fromText[T any](parse func(string) (T, error)) func([]byte, *T) error {
	return func(b []byte, into *T) (err error) {
		if string(b) == "null" {
			return nil
		}
		var text string
		if json.Unmarshal(b, &text) != nil {
			return errNoText
		}
		*into, err = parse(text)
		return err
	}
}

// cleaned copies a document without what was already found wrong in it: members
// nobody knows are left out and wrong values are null. A null that was sent is
// a fault, told once. Whole numbers written 12.0 or 1.2e1 are written 12.
func cleaned(body []byte, wrong map[jsontext.Pointer]bool, faults *domain.Faults) ([]byte, error) {
	var out bytes.Buffer
	in, enc := jsontext.NewDecoder(bytes.NewReader(body)), jsontext.NewEncoder(&out)
	first := len(wrong) == 0
	for {
		kind := in.PeekKind()
		if kind == 0 {
			_, err := in.ReadToken()
			if err == io.EOF {
				return out.Bytes(), nil
			}
			return nil, err
		}
		inObject, length := in.StackIndex(in.StackDepth())
		isName := inObject == '{' && length%2 == 0 && kind != '}'
		if isName {
			name, err := in.ReadToken()
			if err != nil {
				return nil, err
			}
			token := name.Clone()
			if unknown, is := wrong[in.StackPointer()]; is && unknown {
				if err := in.SkipValue(); err != nil {
					return nil, err
				}
				continue
			}
			if err := enc.WriteToken(token); err != nil {
				return nil, err
			}
			continue
		}
		if err := copyValue(in, enc, wrong, faults, first); err != nil {
			return nil, err
		}
	}
}

// copyValue copies the next token that is no member's name.
func copyValue(in *jsontext.Decoder, enc *jsontext.Encoder, wrong map[jsontext.Pointer]bool, faults *domain.Faults, first bool) error {
	kind := in.PeekKind()
	if kind == '}' || kind == ']' {
		token, err := in.ReadToken()
		if err != nil {
			return err
		}
		return enc.WriteToken(token)
	}
	if _, is := wrong[nextPointer(in)]; is {
		if err := in.SkipValue(); err != nil {
			return err
		}
		return enc.WriteToken(jsontext.Null)
	}
	token, err := in.ReadToken()
	switch {
	case err != nil:
		return err
	case kind == 'n' && first:
		faults.Add(placeOf(in.StackPointer()), "null")
	case kind == '0':
		return enc.WriteValue(jsontext.Value(plainNumber(token.String())))
	}
	return enc.WriteToken(token)
}

// nextPointer is the place of the value the decoder stands before.
func nextPointer(in *jsontext.Decoder) jsontext.Pointer {
	kind, length := in.StackIndex(in.StackDepth())
	if kind != '[' {
		return in.StackPointer() // that of the member whose name was read
	}
	parent := in.StackPointer()
	if length > 0 {
		parent = parent.Parent()
	}
	return jsontext.Pointer(string(parent) + "/" + strconv.FormatInt(length, 10))
}

// plainNumber writes a number that is whole or ends in a half without an exponent
// or needless zeros, as long as its digits are few enough to be no burden.
func plainNumber(text string) string {
	_, exponent, has := strings.Cut(strings.ToLower(text), "e")
	if power, err := strconv.Atoi(exponent); len(text) > 40 || has && (err != nil || power < -30 || power > 30) {
		return text
	}
	exact, ok := new(big.Rat).SetString(text)
	switch {
	case ok && exact.IsInt():
		return exact.Num().String()
	case ok && exact.Denom().IsInt64() && exact.Denom().Int64() == 2:
		return exact.FloatString(1)
	}
	return text
}

// syntax is the refusal of a text that is no JSON document.
func syntax(err error) error {
	var s *jsontext.SyntacticError
	if !errors.As(err, &s) {
		return malformed(InBody, "", "json", "byte", 0)
	}
	if errors.Is(err, jsontext.ErrDuplicateName) {
		return malformed(InBody, placeOf(s.JSONPointer), "member_twice")
	}
	return malformed(InBody, placeOf(s.JSONPointer), "json", "byte", s.ByteOffset)
}

// misfit is the fault of a value of the wrong kind.
func misfit(e *json.SemanticError, unknown bool) domain.Fault {
	fault := domain.Fault{Place: placeOf(e.JSONPointer), Code: "unknown_member"}
	if !unknown {
		fault.Code = kindCode(e.GoType)
	}
	return fault
}

// kindCode says what a value of a type must look like.
func kindCode(t reflect.Type) string {
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch t {
	case nil:
		return "wrong_kind"
	case reflect.TypeFor[domain.Day]():
		return "must_be_day"
	case reflect.TypeFor[domain.Clock]():
		return "clock"
	case reflect.TypeFor[domain.Weekdays]():
		return "must_be_weekdays"
	case reflect.TypeFor[domain.HalfRafts]():
		return "must_be_rafts"
	case reflect.TypeFor[time.Time]():
		return "must_be_instant"
	}
	switch t.Kind() {
	case reflect.String:
		return "must_be_text"
	case reflect.Bool:
		return "must_be_truth"
	case reflect.Float64:
		return "must_be_number"
	case reflect.Slice:
		return "must_be_list"
	case reflect.Struct, reflect.Map:
		return "must_be_object"
	}
	return "must_be_whole"
}
