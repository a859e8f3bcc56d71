package edge

import (
	"errors"
	"reflect"
	"slices"
	"time"

	json "github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"headtally/domain"
)

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
