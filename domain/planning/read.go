package planning

import (
	"bytes"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-json-experiment/json/jsontext"

	"headtally/domain"
)

// Read reads a problem document and checks it. Either the problem keeps every
// rule and there are no faults, or every fault is told and there is no problem.
func Read(r io.Reader) (*Problem, Faults) {
	text, err := io.ReadAll(r)
	if err != nil {
		return nil, Faults{{"document", "cannot be read: " + err.Error()}}
	}
	return ReadBytes(text)
}

// ReadBytes is Read for a document in memory.
func ReadBytes(text []byte) (*Problem, Faults) {
	d := newReader(text)
	p := &Problem{}
	object(d, problemFields, p)
	d.end()
	var faults Faults
	if !d.broken {
		faults = check(p, d.holes)
	}
	if len(faults)+len(d.found) > 0 {
		return nil, inDocumentOrder(d.found, faults, text)
	}
	return p, nil
}

// field is one field of an object of the document and how its value is read.
type field[T any] struct {
	name string
	must bool // may not be left out
	read func(*reader, *T)
}

// The fields of the document, object by object, in the order of the contract.
var (
	problemFields = []field[Problem]{
		{"as_of", true, func(r *reader, p *Problem) { p.AsOf = r.day() }},
		{"next_pull", false, func(r *reader, p *Problem) { p.NextPull = r.day() }},
		{"lead_days", true, func(r *reader, p *Problem) { p.LeadDays = r.whole() }},
		{"pull_days", false, func(r *reader, p *Problem) { p.PullDays = list(r, r.day) }},
		{"rank", false, func(r *reader, p *Problem) { p.Rank = oneOf(r, DayFirst, PriorityFirst) }},
		{"share_rule", false, func(r *reader, p *Problem) { p.ShareRule = oneOf(r, EvenShare, FirstCome) }},
		{"pickup_days", true, func(r *reader, p *Problem) { p.PickupDays = list(r, r.day) }},
		{"cooler", true, func(r *reader, p *Problem) { object(r, coolerFields, &p.Cooler) }},
		{"max_recipes", false, func(r *reader, p *Problem) { p.MaxRecipes = r.atLeastOne() }},
		{"work", false, func(r *reader, p *Problem) { object(r, workFields, &p.Work) }},
		{"varieties", true, func(r *reader, p *Problem) { p.Varieties = objects(r, varietyFields) }},
		{"products", true, func(r *reader, p *Problem) { p.Products = objects(r, productFields) }},
		{"lots", true, func(r *reader, p *Problem) { p.Lots = objects(r, lotFields) }},
		{"packed", false, func(r *reader, p *Problem) { p.Packed = objects(r, packedFields) }},
		{"lines", true, func(r *reader, p *Problem) { p.Lines = objects(r, lineFields) }},
	}
	coolerFields = []field[Cooler]{
		{"case_spaces", true, func(r *reader, c *Cooler) { c.CaseSpaces = r.whole() }},
		{"tray_spaces", true, func(r *reader, c *Cooler) { c.TraySpaces = r.whole() }},
		{"case_rule", false, func(r *reader, c *Cooler) { c.CaseRule = oneOf(r, Warn, Limit) }},
	}
	workFields = []field[Work]{
		{"rafts_per_day", false, func(r *reader, w *Work) { w.RaftsPerDay = r.whole() }},
		{"harvest_heads_per_hour", false, func(r *reader, w *Work) { w.HarvestHeadsPerHour = float64(r.whole()) }},
		{"harvest_hours", false, func(r *reader, w *Work) { w.HarvestHours = r.hours() }},
		{"pack_cases_per_hour", false, func(r *reader, w *Work) { w.PackCasesPerHour = float64(r.whole()) }},
		{"pack_hours", false, func(r *reader, w *Work) { w.PackHours = r.hours() }},
	}
	varietyFields = []field[Variety]{
		{"code", true, func(r *reader, v *Variety) { v.Code = r.text() }},
		{"name", true, func(r *reader, v *Variety) { v.Name = r.text() }},
		{"shelf_days", true, func(r *reader, v *Variety) { v.ShelfDays = r.whole() }},
		{"hold_days", false, func(r *reader, v *Variety) { v.HoldDays = new(r.whole()) }},
		{"heads_per_tray", true, func(r *reader, v *Variety) { v.HeadsPerTray = r.whole() }},
	}
	productFields = []field[Product]{
		{"code", true, func(r *reader, p *Product) { p.Code = r.text() }},
		{"name", true, func(r *reader, p *Product) { p.Name = r.text() }},
		{"slots", true, func(r *reader, p *Product) { p.Slots = objects(r, slotFields) }},
		{"max_heads_per_variety", false, func(r *reader, p *Product) { p.MaxHeadsPerVariety = new(r.whole()) }},
	}
	slotFields = []field[Slot]{
		{"heads", true, func(r *reader, s *Slot) { s.Heads = r.whole() }},
		{"accept", true, func(r *reader, s *Slot) { s.Accept = list(r, r.text) }},
		{"growers_choice", false, func(r *reader, s *Slot) { s.GrowersChoice = r.truth() }},
	}
	lotFields = []field[Lot]{
		{"code", true, func(r *reader, l *Lot) { l.Code = r.text() }},
		{"variety", true, func(r *reader, l *Lot) { l.Variety = r.text() }},
		{"place", true, func(r *reader, l *Lot) { l.Place = oneOf(r, Bed, Chilled) }},
		{"heads", true, func(r *reader, l *Lot) { l.Heads = r.whole() }},
		{"cautious_heads", false, func(r *reader, l *Lot) { l.CautiousHeads = new(r.whole()) }},
		{"rafts", false, func(r *reader, l *Lot) { l.Rafts = new(r.rafts()) }},
		{"ready", false, func(r *reader, l *Lot) { l.Ready = r.day() }},
		{"last", false, func(r *reader, l *Lot) { l.Last = r.day() }},
		{"bed", false, func(r *reader, l *Lot) { l.BedName = r.text() }},
		{"at", false, func(r *reader, l *Lot) { l.At = new(r.whole()) }},
		{"pulled", false, func(r *reader, l *Lot) { l.Pulled = r.day() }},
	}
	packedFields = []field[Packed]{
		{"code", true, func(r *reader, p *Packed) { p.Code = r.text() }},
		{"product", true, func(r *reader, p *Packed) { p.Product = r.text() }},
		{"cases", true, func(r *reader, p *Packed) { p.Cases = r.whole() }},
		{"contents", true, func(r *reader, p *Packed) { p.Contents = objects(r, contentFields) }},
		{"pulled", true, func(r *reader, p *Packed) { p.Pulled = r.day() }},
		{"line", false, func(r *reader, p *Packed) { p.Line = r.code() }},
	}
	contentFields = []field[VarietyHeads]{
		{"variety", true, func(r *reader, c *VarietyHeads) { c.Variety = r.text() }},
		{"heads", true, func(r *reader, c *VarietyHeads) { c.Heads = r.whole() }},
	}
	lineFields = []field[Line]{
		{"id", true, func(r *reader, l *Line) { l.ID = r.text() }},
		{"customer", true, func(r *reader, l *Line) { l.Customer = r.text() }},
		{"product", true, func(r *reader, l *Line) { l.Product = r.text() }},
		{"pickup", true, func(r *reader, l *Line) { l.Pickup = r.day() }},
		{"cases", true, func(r *reader, l *Line) { l.Cases = r.whole() }},
		{"received", true, func(r *reader, l *Line) { l.Received = r.instant() }},
		{"priority", false, func(r *reader, l *Line) { l.Priority = r.atLeastOne() }},
		{"promised", false, func(r *reader, l *Line) { l.Promised = r.whole() }},
		{"promised_at", false, func(r *reader, l *Line) { l.PromisedAt = r.instant() }},
		{"at_most", false, func(r *reader, l *Line) { l.AtMost = new(r.whole()) }},
		{"all_or_none", false, func(r *reader, l *Line) { l.AllOrNone = r.truth() }},
		{"substitutes", false, func(r *reader, l *Line) {
			l.Substitutes = oneOf(r, SubstituteYes, SubstituteAsk, SubstituteNever)
		}},
		{"refuse", false, func(r *reader, l *Line) { l.Refuse = list(r, r.text) }},
		{"min_shelf_days", false, func(r *reader, l *Line) { l.MinShelfDays = r.whole() }},
		{"lead_days", false, func(r *reader, l *Line) { l.LeadDays = new(r.whole()) }},
	}
)

// reader reads a document and notes what cannot be read; it goes on behind
// each fault until the text is no JSON any more.
type reader struct {
	in     *jsontext.Decoder
	doc    string // the document; texts without escapes are pieces of it
	at     place
	found  []found
	holes  map[string]bool // places whose value is missing or could not be read
	broken bool            // the text is no JSON from here on
}

func newReader(text []byte) *reader {
	return &reader{
		in:    jsontext.NewDecoder(bytes.NewBuffer(text), jsontext.AllowDuplicateNames(true)),
		doc:   string(text),
		holes: map[string]bool{},
	}
}

// object reads an object field by field. Fields usually come in the order of
// the contract, so each is looked for from the one before it.
func object[T any](r *reader, fields []field[T], into *T) {
	if !r.expect('{', "an object") {
		return
	}
	begin := r.in.InputOffset()
	r.token()
	var seen, given uint32
	next := 0
	for r.more('}') {
		i := r.fieldName(len(fields), next, func(i int) string { return fields[i].name })
		switch {
		case r.broken:
			return
		case i < 0:
			r.skip()
			continue
		}
		next = i + 1
		r.at = r.at.field(fields[i].name)
		switch {
		case seen&(1<<i) != 0:
			r.fault("is there twice; a field may be given once")
			r.skip()
		case r.in.PeekKind() == 'n':
			r.token()
		default:
			given |= 1 << i
			fields[i].read(r, into)
		}
		seen |= 1 << i
		r.at = r.at.up()
	}
	r.token()
	for i := range fields {
		if fields[i].must && given&(1<<i) == 0 && !r.broken {
			r.note(begin, fields[i].name+" is missing")
			r.holes[r.at.field(fields[i].name).String()] = true
		}
	}
}

// fieldName reads the name of the next field and finds which of n it is; an
// unknown one is a fault.
func (r *reader) fieldName(n, next int, name func(int) string) int {
	raw := r.textValue()
	for k := range n {
		if i := (next + k) % n; name(i) == raw {
			return i
		}
	}
	if !r.broken {
		r.at = r.at.field(raw)
		r.fault("is no field of the problem document here")
		r.at = r.at.up()
	}
	return -1
}

// list reads an array of plain values; an empty one is not nil.
func list[T any](r *reader, item func() T) []T {
	return array(r, func(into *T) { *into = item() })
}

// objects reads an array of objects.
func objects[T any](r *reader, fields []field[T]) []T {
	return array(r, func(into *T) { object(r, fields, into) })
}

func array[T any](r *reader, item func(*T)) []T {
	items := []T{}
	if !r.expect('[', "a list") {
		return items
	}
	begin := r.in.InputOffset()
	r.token()
	for i := 0; r.more(']'); i++ {
		r.at = r.at.item(i)
		if i == manyItems && len(r.at) == 2 { // a list of the document itself
			items = slices.Grow(items, r.likelyMore(begin, i))
		}
		items = append(items, *new(T))
		item(&items[i])
		r.at = r.at.up()
	}
	r.token()
	return items
}

// manyItems is from how many items on room is made for all that may come.
const manyItems = 32

// likelyMore is how many items like those of a list so far the rest of the
// document has room for: its lines stand last and take most of it. Documents
// that are made to mislead it get little for it.
func (r *reader) likelyMore(begin int64, items int) int {
	each := max(1, int(r.in.InputOffset()-begin)/items)
	return min((len(r.doc)-int(r.in.InputOffset()))/each+1, 64*items)
}

func oneOf[T ~string](r *reader, allowed ...T) T {
	text, ok := r.mayText()
	if !ok || slices.Contains(allowed, T(text)) {
		return T(text)
	}
	names := make([]string, len(allowed))
	for i, a := range allowed {
		names[i] = string(a)
	}
	r.hole(strconv.Quote(text) + " is not known; allowed is " + strings.Join(names, ", "))
	return ""
}

func (r *reader) text() string {
	text, _ := r.mayText()
	return text
}

// code is a text that names something, and so may not be empty.
func (r *reader) code() string {
	text, ok := r.mayText()
	if ok && text == "" {
		r.hole("is empty; leave it out or name what it refers to")
	}
	return text
}

func (r *reader) mayText() (string, bool) {
	if !r.expect('"', "a text") {
		return "", false
	}
	return r.textValue(), !r.broken
}

func (r *reader) day() domain.Day {
	text, ok := r.mayText()
	if !ok {
		return 0
	}
	d, err := domain.ParseDay(text)
	if err != nil {
		r.hole(err.Error())
	}
	return d
}

// instant is an RFC 3339 time as an instant in UTC.
func (r *reader) instant() (t time.Time) {
	text, ok := r.mayText()
	if !ok {
		return t
	}
	if err := t.UnmarshalText([]byte(text)); err != nil {
		r.hole(strconv.Quote(text) + " is not a time such as 2027-02-03T14:00:00Z (RFC 3339)")
	}
	return t.UTC()
}

func (r *reader) truth() bool {
	switch kind := r.in.PeekKind(); kind {
	case 't', 'f':
		r.token()
		return kind == 't'
	}
	r.expect('t', "true or false")
	return false
}

func (r *reader) whole() int {
	raw, ok := r.number()
	if !ok {
		return 0
	}
	twice, ok := halves(raw)
	if !ok || twice%2 != 0 {
		r.hole(raw + " is not a whole number")
	}
	return twice / 2
}

// atLeastOne is a whole number for which 0 would mean that none was given.
func (r *reader) atLeastOne() int {
	before := len(r.found)
	n := r.whole()
	if n == 0 && len(r.found) == before {
		r.hole("must be 1 or more, not 0")
	}
	return n
}

func (r *reader) rafts() domain.HalfRafts {
	raw, ok := r.number()
	if !ok {
		return 0
	}
	twice, ok := halves(raw)
	if !ok {
		r.hole(raw + " is no number of rafts: whole or ending in .5")
	}
	return domain.HalfRafts(twice)
}

func (r *reader) hours() float64 {
	raw, ok := r.number()
	if !ok {
		return 0
	}
	hours, err := strconv.ParseFloat(raw, 64)
	if err != nil {
		r.hole(raw + " is no number of hours")
	}
	return hours
}
