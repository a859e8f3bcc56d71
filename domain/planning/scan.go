package planning

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
)

// place is where the reader stands: the steps from the document down to a value.
type place []step

// step goes into a field by name, or into an item of a list by number.
type step struct {
	name string
	item int
}

func (p place) field(name string) place { return append(p, step{name, -1}) }
func (p place) item(i int) place        { return append(p, step{"", i}) }
func (p place) up() place               { return p[:len(p)-1] }

// String writes the place as lines[3].pickup.
func (p place) String() string {
	if len(p) == 0 {
		return "document"
	}
	var b strings.Builder
	for i, s := range p {
		switch {
		case s.item >= 0:
			fmt.Fprintf(&b, "[%d]", s.item)
		case i > 0:
			b.WriteString("." + fieldName(s.name))
		default:
			b.WriteString(fieldName(s.name))
		}
	}
	return b.String()
}

// fieldName is a field's name as it can stand in a place, on one line.
func fieldName(name string) string {
	if quoted := strconv.Quote(name); len(quoted) != len(name)+2 || strings.ContainsAny(name, " .[]:") {
		return quoted
	}
	return name
}

// found is a fault and the byte of the document at which its place begins.
type found struct {
	Fault
	begins int64
}

// fault notes that something is wrong where the reader stands.
func (r *reader) fault(text string) { r.note(r.in.InputOffset(), text) }

func (r *reader) note(begins int64, text string) {
	r.found = append(r.found, found{Fault{r.at.String(), text}, begins})
}

// hole is fault for a value that cannot be used, so that no check of the
// problem is made on it.
func (r *reader) hole(text string) {
	r.fault(text)
	r.holes[r.at.String()] = true
}

// breakOff ends the reading where the text is no JSON any more.
func (r *reader) breakOff(err error) {
	if r.broken {
		return
	}
	r.broken = true
	r.fault(fmt.Sprintf("the document is no JSON at byte %d: %s", r.in.InputOffset(), plain(err)))
}

func plain(err error) string {
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return "it ends too early"
	}
	return strings.TrimPrefix(err.Error(), "jsontext: ")
}

// end is reached behind the document, where nothing may follow.
func (r *reader) end() {
	if r.broken {
		return
	}
	if _, err := r.in.ReadToken(); err != io.EOF {
		r.fault("there is more text behind the problem")
	}
}

// more says whether the object or list goes on before its closing bracket.
func (r *reader) more(closing jsontext.Kind) bool {
	if r.broken {
		return false
	}
	switch r.in.PeekKind() {
	case closing:
		return false
	case 0:
		r.token()
	}
	return !r.broken
}

func (r *reader) token() {
	if _, err := r.in.ReadToken(); err != nil && !r.broken {
		r.breakOff(err)
	}
}

func (r *reader) skip() {
	if err := r.in.SkipValue(); err != nil {
		r.breakOff(err)
	}
}

// expect says whether the next value is of a kind; if not it is passed over
// as a fault.
func (r *reader) expect(kind jsontext.Kind, called string) bool {
	got := r.in.PeekKind()
	if r.broken || got == kind {
		return !r.broken
	}
	r.skip()
	if !r.broken {
		r.hole("must be " + called)
	}
	return false
}

// textValue reads a text; without escapes it is a piece of the document.
func (r *reader) textValue() string {
	raw, err := r.in.ReadValue()
	if err != nil {
		r.breakOff(err)
		return ""
	}
	if slices.Contains(raw, '\\') {
		text, _ := jsontext.AppendUnquote(nil, raw)
		return string(text)
	}
	end := int(r.in.InputOffset()) - 1
	return r.doc[end-len(raw)+2 : end]
}

// number reads a number as it is written.
func (r *reader) number() (string, bool) {
	if !r.expect('0', "a number") {
		return "", false
	}
	raw, err := r.in.ReadValue()
	if err != nil {
		r.breakOff(err)
		return "", false
	}
	end := int(r.in.InputOffset())
	return r.doc[end-len(raw) : end], true
}

// tooLarge stands for any number beyond what a document may hold.
const tooLarge = math.MaxInt32

// halves is twice a number, exactly; false where that is not whole. 12.0 and
// 1.2e1 are 12, for a document says numbers, not how they are written. A
// number beyond all limits comes back as one that is certainly refused.
func halves(raw string) (int, bool) {
	if n, err := strconv.Atoi(raw); err == nil && -tooLarge < n && n < tooLarge {
		return 2 * n, true
	}
	digits, negative := strings.CutPrefix(raw, "-")
	mantissa, exponent, _ := strings.Cut(strings.ToLower(digits), "e")
	whole, part, _ := strings.Cut(mantissa, ".")
	power, _ := strconv.Atoi(exponent) // beyond the range of int: its nearest end
	shift := min(max(power, -tooLarge), tooLarge) - len(part)
	all := strings.TrimLeft(whole+part, "0")
	for shift < 0 && strings.HasSuffix(all, "0") {
		all, shift = all[:len(all)-1], shift+1
	}
	twice := 0
	switch {
	case all == "":
		return 0, true
	case len(all)+shift > 9:
		twice = 2 * tooLarge
	case shift == -1 && strings.HasSuffix(all, "5"):
		n, _ := strconv.Atoi("0" + all[:len(all)-1])
		twice = 2*n + 1
	case shift < 0:
		return 0, false
	default:
		twice, _ = strconv.Atoi(all + strings.Repeat("0", shift))
		twice *= 2
	}
	if negative {
		twice = -twice
	}
	return twice, true
}

// locate notes where in the document each wanted place begins.
func locate(r *reader, begins map[string]int64) {
	begin := r.in.InputOffset()
	if at, wanted := begins[r.at.String()]; wanted && at < 0 {
		begins[r.at.String()] = begin
	}
	switch r.in.PeekKind() {
	case '{':
		r.token()
		for r.more('}') {
			r.at = r.at.field(r.textValue())
			locate(r, begins)
			r.at = r.at.up()
		}
		r.token()
	case '[':
		r.token()
		for i := 0; r.more(']'); i++ {
			r.at = r.at.item(i)
			locate(r, begins)
			r.at = r.at.up()
		}
		r.token()
	default:
		r.skip()
	}
}

// inDocumentOrder sorts what the reader found and what the checks found by
// where it begins in the document.
func inDocumentOrder(read []found, checked Faults, text []byte) Faults {
	begins := map[string]int64{}
	for _, f := range checked {
		begins[f.Place] = -1
	}
	locate(newReader(text), begins)
	for _, f := range checked {
		read = append(read, found{f, begins[f.Place]})
	}
	slices.SortStableFunc(read, func(a, b found) int { return cmp.Compare(a.begins, b.begins) })
	faults := make(Faults, len(read))
	for i, f := range read {
		faults[i] = f.Fault
	}
	return faults
}
