package book

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner/stock"
)

// Trace is what the records say about a code: the runs it touches, the lots
// whose heads can be in them, and everybody who got cases of them. Within a run
// heads of one variety cannot be told apart, so every lot of a run can be in
// each of its cases.
type Trace struct {
	Code     string
	Runs     []TracedRun
	Lots     []TracedLot
	Sent     []Sent
	Returned []domain.Return
	OnHand   map[string]domain.Cases // trace -> cases packed, or come back to be sold, and not recorded as sent
}

// TracedRun is cases packed to one recipe, with its traceability lot code.
type TracedRun struct {
	Packed domain.Day
	domain.PackedRun
}

// TracedLot is where heads came from.
type TracedLot struct {
	Lot     string
	Variety string
	Bed     string
	Lifted  domain.Day
	Heads   domain.Heads // good ones lifted that day, where recorded
	Culls   domain.Heads
	Count   string     // the walk count the lot was known by, if any
	Batch   string     // the batch it grew from, if recorded
	Sown    domain.Day // of the batch
	SeedLot string
}

// Sent is cases that left for a customer.
type Sent struct {
	Day     domain.Day
	Carrier string
	domain.Shipped
	Name  string
	Phone string
}

// Trace follows a code both ways. The code may be a case's traceability lot
// code, a lot, a batch, a seed lot, or a customer.
func (b *Book) Trace(ctx context.Context, who Person, code string) (*Trace, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*Trace, error) {
		r, err := readRecords(tx, b.now())
		if err != nil {
			return nil, err
		}
		t := r.trace(code)
		if len(t.Runs) == 0 && len(t.Lots) == 0 && len(t.Sent) == 0 {
			return nil, domain.Refuse(domain.ErrNotFound, "trace", code)
		}
		return t, nil
	})
}

// records is everything a trace is read from: all that was ever told.
type records struct {
	lifts     []domain.Lift
	packings  []domain.Packing
	left      []domain.Departure
	returns   []domain.Return
	customers map[string]domain.Customer
	sown      map[string]domain.BatchEvent // batch -> its sowing
}

func readRecords(tx *store.Tx, now time.Time) (*records, error) {
	all := Query{Ended: true}
	r := &records{sown: map[string]domain.BatchEvent{}}
	var err error
	if r.lifts, err = store.Lifts.Values(tx, all); err != nil {
		return nil, err
	}
	if r.packings, err = store.Packings.Values(tx, all); err != nil {
		return nil, err
	}
	if err := r.addPrinted(tx, now); err != nil {
		return nil, err
	}
	if r.left, err = store.Departures.Values(tx, all); err != nil {
		return nil, err
	}
	if r.returns, err = store.Returns.Values(tx, all); err != nil {
		return nil, err
	}
	customers, err := store.Customers.Values(tx, all)
	if err != nil {
		return nil, err
	}
	r.customers = byCode(customers, func(c domain.Customer) string { return c.Code })
	events, err := store.BatchEvents.Values(tx, all)
	for _, e := range events {
		if e.Step == domain.Sown {
			r.sown[e.Batch] = e
		}
	}
	return r, err
}

// addPrinted adds the packings of printed days that count as done.
func (r *records) addPrinted(tx *store.Tx, now time.Time) error {
	issues, err := store.Issues.Values(tx, Query{Ended: true})
	if err != nil {
		return err
	}
	cal, err := calendar(tx)
	if err != nil {
		return err
	}
	for _, x := range stock.Unrecorded(issues, r.lifts, r.packings, cal.Today(now)) {
		r.packings = append(r.packings, stock.PrintedPacking(x, x.At))
		r.lifts = append(r.lifts, domain.Lift{ID: "printed" + x.ID, Day: x.Day, Rows: x.Pulls, At: x.At})
	}
	return nil
}

// trace collects the runs that a code touches, then their lots and shipments.
func (r *records) trace(code string) *Trace {
	t := &Trace{Code: code, OnHand: map[string]domain.Cases{}}
	sentTo := r.tracesSentTo(code)
	lots := map[string]domain.LotTaken{}
	for _, p := range r.packings {
		for _, run := range p.Runs {
			touched := run.Trace == code || sentTo[run.Trace] ||
				slices.ContainsFunc(run.Lots, func(l domain.LotTaken) bool { return r.isOf(l.Lot, code) })
			if !touched {
				continue
			}
			t.Runs = append(t.Runs, TracedRun{p.Day, run})
			t.OnHand[run.Trace] += run.Cases
			for _, l := range run.Lots {
				lots[l.Lot] = l
			}
		}
	}
	for _, l := range lots {
		t.Lots = append(t.Lots, r.lot(l))
	}
	r.addLifted(t, code, lots)
	r.addSent(t)
	slices.SortFunc(t.Runs, func(a, b TracedRun) int {
		return cmp.Or(cmp.Compare(a.Packed, b.Packed), cmp.Compare(a.Trace, b.Trace))
	})
	slices.SortFunc(t.Lots, func(a, b TracedLot) int { return cmp.Or(cmp.Compare(a.Lifted, b.Lifted), cmp.Compare(a.Lot, b.Lot)) })
	return t
}

// tracesSentTo are the traceability lot codes that went to a customer.
func (r *records) tracesSentTo(customer string) map[string]bool {
	traces := map[string]bool{}
	for _, d := range r.left {
		for _, s := range d.Took {
			if s.Customer == customer && s.Trace != "" {
				traces[s.Trace] = true
			}
		}
	}
	return traces
}

// isOf says whether a lot is the code itself, comes from the batch of that code,
// or from the seed lot of that code.
func (r *records) isOf(lot, code string) bool {
	source, _ := splitLot(lot)
	batch, _, _ := strings.Cut(source, "/")
	sown, known := r.sown[batch]
	return lot == code || source == code || batch == code && known || known && sown.SeedLot == code
}

// splitLot takes a cooler lot's code apart into the bed lot it was lifted from
// and the day.
func splitLot(lot string) (source string, lifted domain.Day) {
	source, day, chilled := strings.Cut(lot, "@")
	if chilled {
		lifted, _ = domain.ParseDay(day)
	}
	return source, lifted
}

// lot tells where the heads of a lot in the cooler came from.
func (r *records) lot(taken domain.LotTaken) TracedLot {
	source, lifted := splitLot(taken.Lot)
	t := TracedLot{Lot: source, Variety: taken.Variety, Lifted: cmp.Or(lifted, taken.Pulled)}
	for _, l := range r.lifts {
		for _, row := range l.Rows {
			if row.Lot == source && l.Day == t.Lifted {
				t.Bed, t.Heads, t.Culls = row.Bed, t.Heads+row.Heads, t.Culls+row.Culls
			}
		}
	}
	r.origin(&t)
	return t
}

// origin names the batch or the walk count that a lot's code tells of.
func (r *records) origin(t *TracedLot) {
	parts := strings.Split(t.Lot, "/")
	if sown, known := r.sown[parts[0]]; known {
		t.Batch, t.Sown, t.SeedLot = sown.Batch, sown.Day, sown.SeedLot
		if t.Bed == "" && len(parts) > 1 {
			t.Bed = parts[1]
		}
		return
	}
	if len(parts) == 3 {
		t.Bed = cmp.Or(t.Bed, parts[0])
		t.Count, _, _ = strings.Cut(parts[2], ".")
	}
}

// addLifted adds lots of the code that were lifted and never packed.
func (r *records) addLifted(t *Trace, code string, packed map[string]domain.LotTaken) {
	for _, l := range r.lifts {
		for _, row := range l.Rows {
			chilled := stock.ChilledCode(row.Lot, l.Day)
			_, known := packed[chilled]
			if _, direct := packed[row.Lot]; direct || known || !r.isOf(row.Lot, code) {
				continue
			}
			packed[chilled] = domain.LotTaken{}
			t.Lots = append(t.Lots, r.lot(domain.LotTaken{Lot: chilled, Variety: row.Variety, Pulled: l.Day}))
		}
	}
}

// addSent adds everybody who got cases of the traced runs, and what came back.
func (r *records) addSent(t *Trace) {
	for _, d := range r.left {
		for _, s := range d.Took {
			if _, traced := t.OnHand[s.Trace]; !traced {
				continue
			}
			c := r.customers[s.Customer]
			t.OnHand[s.Trace] -= s.Cases
			t.Sent = append(t.Sent, Sent{d.Day, d.Carrier, s, c.Name, c.Phone})
		}
	}
	for _, x := range r.returns {
		if _, traced := t.OnHand[x.Trace]; traced && x.Trace != "" {
			t.Returned = append(t.Returned, x)
			if x.Became == "stock" {
				t.OnHand[x.Trace] += x.Cases
			}
		}
	}
	slices.SortFunc(t.Sent, func(a, b Sent) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Customer, b.Customer), cmp.Compare(a.Trace, b.Trace), cmp.Compare(a.Line, b.Line))
	})
}

// KeyData is one record of what the US rule on food traceability asks a grower
// and packer of leafy greens to keep: which event, by its paragraph of 21 CFR
// part 1 subpart S, and its data elements. It is a help for keeping records and
// no legal advice: exemptions and local rules decide.
type KeyData struct {
	Event     string // "harvesting", "cooling", "initial packing", "shipping"
	Paragraph string
	Trace     string // traceability lot code, from initial packing on
	Commodity string // commodity and variety, or the product
	Quantity  int
	Unit      string // "heads" or "cases"
	Day       domain.Day
	From      string // the farm, the growing area, or the dock
	To        string // the next in the chain
	Document  string // reference document
}

// KeyData lists a trace's records, event by event, ready to be sorted in a
// spreadsheet.
func (b *Book) KeyData(ctx context.Context, who Person, code string) ([]KeyData, error) {
	t, err := b.Trace(ctx, who, code)
	if err != nil {
		return nil, err
	}
	farm, err := b.Farm(ctx)
	if err != nil {
		return nil, err
	}
	return keyData(t, location(farm.Value)), nil
}

// location is a location as the rule asks for it: name, address and telephone.
func location(f domain.Farm) string {
	parts := slices.DeleteFunc([]string{f.Name, f.Address, f.Phone}, func(s string) bool { return s == "" })
	return strings.Join(parts, ", ")
}

func keyData(t *Trace, farm string) []KeyData {
	var rows []KeyData
	for _, l := range t.Lots {
		area := farm
		if l.Bed != "" {
			area += ", bed " + l.Bed
		}
		document := "lift of " + l.Lifted.String()
		rows = append(rows,
			KeyData{"harvesting", "§ 1.1325(a)(1)", "", "lettuce, " + l.Variety, int(l.Heads), "heads", l.Lifted, area, farm, document},
			KeyData{"cooling", "§ 1.1325(b)(1)", "", "lettuce, " + l.Variety, int(l.Heads), "heads", l.Lifted, farm, farm, document})
	}
	for _, r := range t.Runs {
		rows = append(rows, KeyData{"initial packing", "§ 1.1330(a)", r.Trace, r.Product, int(r.Cases), "cases", r.Packed, farm, farm,
			"packing of " + r.Packed.String()})
	}
	for _, s := range t.Sent {
		document := "departure " + domain.PickupID(s.Carrier, s.Day)
		if s.PO != "" {
			document += ", purchase order " + s.PO
		}
		rows = append(rows, KeyData{"shipping", "§ 1.1340(a)", s.Trace, s.Product, int(s.Cases), "cases", s.Day, farm, s.Name, document})
	}
	return rows
}

// KeyDataTable is the records as a sheet that can be sorted. Its first line says
// that it is a help for keeping records.
func KeyDataTable(rows []KeyData) Table {
	t := Table{Name: "Trace"}
	t.Add(TableCell{Kind: CellHelp, Text: "trace"})
	var headings []any
	for _, name := range []string{"event", "paragraph", "lot code", "commodity", "quantity", "unit", "day", "from", "to", "document"} {
		headings = append(headings, TableCell{Kind: CellHeading, Text: "trace " + name})
	}
	t.Add(headings...)
	for _, r := range rows {
		t.Add(r.Event, r.Paragraph, r.Trace, r.Commodity, r.Quantity, r.Unit, r.Day, r.From, r.To, r.Document)
	}
	return t
}
