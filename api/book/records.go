package book

import (
	"cmp"
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner/stock"
)

// records is everything a trace is read from: all that was ever told. Nothing of
// it is ever deleted; what stands instead of something else leaves that on
// record.
type records struct {
	today     domain.Day
	lifts     []domain.Lift // those that hold
	packings  []packed
	left      []domain.Departure
	returns   []domain.Return
	customers map[string]domain.Customer
	products  map[string]domain.Product
	varieties map[string]domain.Variety
	sown      map[string]domain.BatchEvent // batch -> its sowing
}

// packed is a packing that was told, or was printed and counts as done.
type packed struct {
	domain.Packing
	printed bool
}

// document names the record it was told with.
func (p *packed) document() string {
	if p.printed {
		return "issue " + strings.TrimPrefix(p.ID, "printed") + ", as printed"
	}
	return "packing record " + p.ID
}

func readRecords(tx *store.Tx, now time.Time) (*records, error) {
	all := Query{Ended: true}
	r := &records{}
	cal, err := calendar(tx)
	if err != nil {
		return nil, err
	}
	r.today = cal.Today(now)
	lifts, err := store.Lifts.Values(tx, all)
	if err != nil {
		return nil, err
	}
	r.lifts = domain.HoldingLifts(lifts)
	packings, err := store.Packings.Values(tx, all)
	if err != nil {
		return nil, err
	}
	issues, err := store.Issues.Values(tx, all)
	if err != nil {
		return nil, err
	}
	r.addDone(packings, issues)
	return r, errors.Join(r.readSent(tx, all), r.readNames(tx, all))
}

// addDone adds what was told to be packed, and printed days that count as done.
func (r *records) addDone(packings []domain.Packing, issues []domain.Issue) {
	told := slices.Clone(r.lifts)
	for _, p := range packings {
		r.packings = append(r.packings, packed{p, false})
	}
	for _, x := range stock.Unrecorded(issues, told, packings, r.today) {
		p := stock.PrintedPacking(x.Issue, x.At)
		if x.Lifted {
			r.lifts = append(r.lifts, domain.Lift{ID: p.ID, Day: x.Day, Rows: stock.PrintedPulls(x.Issue, told), At: x.At})
		}
		if x.Packed {
			r.packings = append(r.packings, packed{p, true})
		}
	}
}

func (r *records) readSent(tx *store.Tx, all Query) (err error) {
	if r.left, err = store.Departures.Values(tx, all); err != nil {
		return err
	}
	r.returns, err = store.Returns.Values(tx, all)
	return err
}

// readNames reads what the records name by a code, ended ones too.
func (r *records) readNames(tx *store.Tx, all Query) error {
	customers, err := store.Customers.Values(tx, all)
	if err != nil {
		return err
	}
	products, err := store.Products.Values(tx, all)
	if err != nil {
		return err
	}
	varieties, err := store.Varieties.Values(tx, all)
	if err != nil {
		return err
	}
	r.customers = byCode(customers, func(c domain.Customer) string { return c.Code })
	r.products = byCode(products, func(p domain.Product) string { return p.Code })
	r.varieties = byCode(varieties, func(v domain.Variety) string { return v.Code })
	r.sown = map[string]domain.BatchEvent{}
	events, err := store.BatchEvents.Values(tx, all)
	for _, e := range domain.Holding(events) {
		if e.Step == domain.Sown {
			r.sown[e.Batch] = *e
		}
	}
	return err
}

// product and variety are the names of codes, or the codes.
func (r *records) product(code string) string { return cmp.Or(r.products[code].Name, code) }
func (r *records) variety(code string) string { return cmp.Or(r.varieties[code].Name, code) }

// described is a case as a record describes it: its product and what is in it.
func (r *records) described(product string, contents []domain.VarietyHeads) string {
	var heads []string
	for _, c := range contents {
		heads = append(heads, strconv.Itoa(int(c.Heads))+" "+r.variety(c.Variety))
	}
	if len(heads) == 0 {
		return r.product(product)
	}
	return r.product(product) + " (" + strings.Join(heads, ", ") + ")"
}

// run is the packed run of a traceability lot code, or nil.
func (r *records) run(trace string) *domain.PackedRun {
	for _, p := range r.packings {
		for i := range p.Runs {
			if trace != "" && p.Runs[i].Trace == trace {
				return &p.Runs[i]
			}
		}
	}
	return nil
}
