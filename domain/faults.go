package domain

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"unicode"

	"github.com/go-playground/validator/v10"
)

// The kinds of refusal. A face turns each into its own form (an HTTP status, a
// sentence on a page) and never looks further into an error than this.
var (
	ErrInvalid  = errors.New("invalid")     // what was sent breaks a rule; the Faults say which
	ErrNotFound = errors.New("not found")   // no record of that code
	ErrConflict = errors.New("conflict")    // contradicts something already in the book
	ErrStale    = errors.New("stale")       // made from an older revision than the record's
	ErrNoMatch  = errors.New("no revision") // a change came without the revision it was made from
	ErrDenied   = errors.New("denied")      // the person may not do that
	ErrFull     = errors.New("disk full")   // nothing can be written; reading goes on
	ErrDisk     = errors.New("disk fault")  // a write failed; what the disk holds must be read anew
	ErrAway     = errors.New("away")        // the database cannot be asked just now; whether a change under way was stored is not known
	ErrSignIn   = errors.New("sign in")     // nobody known: a wrong name or password, or a pass that lets nobody in
	ErrWait     = errors.New("wait")        // too many wrong tries; how long is in the refusal
)

// Fault is one thing wrong with what was sent: where, a code, and the figures
// its sentence needs. The sentence itself is made by the words of a language.
type Fault struct {
	Place string         // a path such as "lines[3].cases"; for a sheet "sheet Orders, row 7, column B"
	Code  string         // "required", "between", "one_of", ...
	Args  map[string]any // figures and values for the sentence
	In    *SheetPlace    // the place in a sheet, to be put in words; nil: Place is a path
}

// Faults is everything wrong with one request, in the order of the document.
type Faults []Fault

// Error lists places and codes; people are shown the words instead.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i, x := range f {
		lines[i] = strings.TrimSuffix(x.Place+": "+x.Code+" "+fmt.Sprint(x.Args), " map[]")
	}
	return strings.Join(lines, "\n")
}

// Is lets errors.Is find the kind.
func (f Faults) Is(kind error) bool { return kind == ErrInvalid }

// Add appends a fault; args are pairs of a name and a value.
func (f *Faults) Add(place, code string, args ...any) {
	fault := Fault{Place: place, Code: code}
	for i := 0; i+1 < len(args); i += 2 {
		if fault.Args == nil {
			fault.Args = map[string]any{}
		}
		fault.Args[args[i].(string)] = args[i+1]
	}
	*f = append(*f, fault)
}

// Err is nil when nothing is wrong.
func (f Faults) Err() error {
	if len(f) == 0 {
		return nil
	}
	return f
}

// Under puts a place in front of every fault's own.
func (f Faults) Under(place string) Faults {
	out := make(Faults, len(f))
	for i, x := range f {
		if x.Place != "" && x.Place[0] != '[' {
			x.Place = "." + x.Place
		}
		x.Place = place + x.Place
		out[i] = x
	}
	return out
}

// Refusal is a refusal of one of the kinds above that concerns one record.
type Refusal struct {
	Kind error  // one of the Err values
	What string // the kind of record: "customer", "standing order", ...
	Code string // its code
	Args map[string]any
}

// Refuse makes a Refusal; args are pairs of a name and a value.
func Refuse(kind error, what, code string, args ...any) error {
	r := &Refusal{Kind: kind, What: what, Code: code, Args: map[string]any{}}
	for i := 0; i+1 < len(args); i += 2 {
		r.Args[args[i].(string)] = args[i+1]
	}
	return r
}

func (r *Refusal) Error() string { return r.What + " " + r.Code + ": " + r.Kind.Error() }

// Unwrap lets errors.Is find the kind.
func (r *Refusal) Unwrap() error { return r.Kind }

// Check holds a record against its validate tags and gives every fault, with
// places by the names its document uses.
func Check(record any) Faults {
	err := checker.Struct(record)
	var found validator.ValidationErrors
	if err == nil || !errors.As(err, &found) {
		return nil
	}
	var faults Faults
	for _, f := range found {
		_, place, _ := strings.Cut(f.Namespace(), ".")
		faults = append(faults, faultOf(f, place))
	}
	return faults
}

// faultOf turns the library's finding into ours.
func faultOf(f validator.FieldError, place string) Fault {
	fault := Fault{Place: place, Code: f.Tag(), Args: map[string]any{}}
	switch f.Tag() {
	case "required":
		fault.Args = nil
	case "min", "max", "gte", "lte":
		fault.Code = map[string]string{"min": "at_least", "gte": "at_least", "max": "at_most", "lte": "at_most"}[f.Tag()]
		if k := f.Kind(); k == reflect.String {
			fault.Code = "too_long"
			if f.Tag() == "min" {
				fault.Code = "too_short"
			}
		} else if k == reflect.Slice || k == reflect.Map {
			fault.Code = map[string]string{"min": "too_few", "max": "too_many"}[f.Tag()]
		}
		fault.Args["limit"] = f.Param()
	case "oneof":
		fault.Code, fault.Args["allowed"] = "one_of", strings.Fields(f.Param())
	}
	return fault
}

var checker = newChecker()

func newChecker() *validator.Validate {
	v := validator.New(validator.WithRequiredStructEnabled())
	v.RegisterTagNameFunc(func(f reflect.StructField) string {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		return name
	})
	must := func(tag string, fits func(string) bool) {
		if err := v.RegisterValidation(tag, func(fl validator.FieldLevel) bool { return fits(fl.Field().String()) }); err != nil {
			panic("domain: " + err.Error())
		}
	}
	must("code", isCode)
	must("clock", func(s string) bool { _, err := ParseClock(s); return err == nil })
	must("zone", isZone)
	must("line", isPlainLine)
	return v
}

// isCode says whether text can be a code: letters, digits, - _ . and at most 40 of them.
func isCode(s string) bool {
	if s == "" || len(s) > 40 {
		return false
	}
	for _, r := range s {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && r != '_' && r != '.' {
			return false
		}
	}
	return true
}

// isPlainLine says whether text is one line without control characters.
func isPlainLine(s string) bool {
	for _, r := range s {
		if unicode.IsControl(r) {
			return false
		}
	}
	return true
}

// CodeFrom makes a code from a name: capitals and digits, the rest hyphens. A
// number is added until taken says it is free.
func CodeFrom(name string, taken func(string) bool) string {
	var b strings.Builder
	for _, r := range name {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(unicode.ToUpper(r))
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() > 24 {
			break
		}
	}
	base := strings.Trim(b.String(), "-")
	if base == "" {
		base = "X"
	}
	code := base
	for n := 2; taken(code); n++ {
		code = fmt.Sprintf("%s-%d", base, n)
	}
	return code
}
