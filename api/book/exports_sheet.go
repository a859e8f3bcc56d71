package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
)

// Export is one of the tables that leave the book for a spreadsheet.
type Export string

// The exports. Orders can be changed in the spreadsheet and taken back as an
// order sheet: a row's reference names the order it came from.
const (
	ExportOrders  Export = "orders"  // one-offs and standing orders, from the first day on
	ExportTally   Export = "tally"   // heads by pickup day and variety
	ExportPlan    Export = "plan"    // what every line gets, and what is packed
	ExportOutlook Export = "outlook" // heads listed as far as the tally looks
	ExportShipped Export = "shipped" // what left, for the accounts
)

// Exports lists them.
var Exports = []Export{ExportOrders, ExportTally, ExportPlan, ExportOutlook, ExportShipped}

// The columns that only exports have.
const (
	colListed   column = "listed"
	colAssigned column = "assigned"
	colShort    column = "short"
	colCounted  column = "counted"
	colGiven    column = "given"
	colSure     column = "sure"
	colWhy      column = "why"
	colPacking  column = "packing day"
	colTrace    column = "trace"
	colShipped  column = "shipped on"
)

// Export makes one of the tables as of a day. Orders and what was shipped are
// those of the days from first to last, of which 0 leaves one open; the others
// are the plan's days.
func (b *Book) Export(ctx context.Context, who Person, what Export, asOf, first, last domain.Day) ([]Table, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	make := map[Export]func(*exporter) error{ExportOrders: (*exporter).orders, ExportTally: (*exporter).tally, ExportPlan: (*exporter).plan,
		ExportOutlook: (*exporter).outlook, ExportShipped: (*exporter).shipped}[what]
	if make == nil {
		return nil, domain.Faults{{Place: "export", Code: "one_of", Args: map[string]any{"allowed": Exports}}}
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]Table, error) {
		facts, err := tx.Facts(asOf)
		if err != nil {
			return nil, err
		}
		e := &exporter{book: b, tx: tx, facts: &facts, asOf: asOf, first: first, last: cmp.Or(last, domain.MustDay("9999-12-31"))}
		if err := e.names(); err != nil {
			return nil, err
		}
		err = make(e)
		return e.tables, err
	})
}

// exporter makes the tables of one export.
type exporter struct {
	book        *Book
	tx          *store.Tx
	facts       *domain.Facts
	asOf        domain.Day
	first, last domain.Day
	tables      []Table

	varieties, products, customers, carriers map[string]string // code -> name
}

// names are those of all records, for what has ended can still have been
// shipped.
func (e *exporter) names() error {
	all := Query{Ended: true}
	varieties, err := store.Varieties.Values(e.tx, all)
	if err != nil {
		return err
	}
	products, err := store.Products.Values(e.tx, all)
	if err != nil {
		return err
	}
	customers, err := store.Customers.Values(e.tx, all)
	if err != nil {
		return err
	}
	carriers, err := store.Carriers.Values(e.tx, all)
	e.varieties = namesBy(varieties, func(v domain.Variety) Named { return Named{v.Code, v.Name} })
	e.products = namesBy(products, func(v domain.Product) Named { return Named{v.Code, v.Name} })
	e.customers = namesBy(customers, func(v domain.Customer) Named { return Named{v.Code, v.Name} })
	e.carriers = namesBy(carriers, func(v domain.Carrier) Named { return Named{v.Code, v.Name} })
	return err
}

// namesBy are the names of records by their codes; where two records share a
// name both are told by their code, which a sheet is read by too.
func namesBy[T any](list []T, named func(T) Named) map[string]string {
	of, first := map[string]string{}, map[string]string{}
	for _, v := range list {
		n := named(v)
		key := foldKey(n.Name)
		of[n.Code] = n.Name
		if other, twice := first[key]; twice {
			of[n.Code], of[other] = n.Code, other
			continue
		}
		first[key] = n.Code
	}
	return of
}

// table begins a table with its headings.
func (e *exporter) table(name string, cols ...column) *Table {
	e.tables = append(e.tables, Table{Name: name})
	t := &e.tables[len(e.tables)-1]
	headings := make([]any, len(cols))
	for i, col := range cols {
		headings[i] = TableCell{Kind: CellHeading, Text: string(col)}
	}
	t.Add(headings...)
	return t
}

func (e *exporter) inside(d domain.Day) bool { return e.first <= d && d <= e.last }

func (e *exporter) orders() error {
	orders, err := store.Orders.Values(e.tx, Query{From: map[string]string{"pickup": e.first.String()}, To: map[string]string{"pickup": e.last.String()}})
	if err != nil {
		return err
	}
	slices.SortStableFunc(orders, func(a, b domain.Order) int {
		return cmp.Or(cmp.Compare(a.Pickup, b.Pickup), strings.Compare(a.Customer, b.Customer), strings.Compare(a.ID, b.ID))
	})
	t := e.table(sheetOrders, colCustomer, colProduct, colDay, colCases, colPO, colReference, colNote)
	for _, o := range orders {
		for _, l := range o.Lines {
			t.Add(e.customers[o.Customer], e.products[l.Product], o.Pickup, l.Cases, o.PO, cmp.Or(o.Reference, o.ID), o.Note)
		}
	}
	t = e.table(sheetStanding, colCustomer, colProduct, colWeekdays, colCases, colEvery, colFrom, colUntil, colPO, colNote)
	for _, s := range e.facts.Standing {
		for _, term := range s.Terms {
			t.Add(e.customers[s.Customer], e.products[s.Product], weekdaysText(term.Weekdays), term.Cases, term.Every, term.From, term.Until, s.PO, s.Note)
		}
	}
	return nil
}

// sheetStanding is the sheet of standing orders in an export; the order sheets
// that are read pass it over.
const sheetStanding = "Standing"

func (e *exporter) tally() error {
	w, err := e.book.week(e.tx, e.asOf)
	if err != nil {
		return err
	}
	t := e.table("Tally", colDay, colVariety, colListed, colAssigned, colShort, colCounted)
	for _, d := range w.Problem.PickupDays {
		for _, row := range NewDay(e.facts, w, d).Tally {
			short := any(row.Short)
			if !row.Counted {
				short = nil // what was not counted is not short
			}
			t.Add(d, e.varieties[row.Variety.Code], row.Listed, row.Assigned, short, yesOrNo(row.Counted))
		}
	}
	return nil
}

func yesOrNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

func (e *exporter) plan() error {
	w, err := e.book.week(e.tx, e.asOf)
	if err != nil {
		return err
	}
	t := e.table("Plan", colDay, colCarrier, colCustomer, colProduct, colPO, colCases, colGiven, colSure, colShort, colWhy)
	for _, d := range w.Problem.PickupDays {
		for _, l := range NewDay(e.facts, w, d).Lines {
			t.Add(d, e.carriers[l.Carrier], e.customers[l.Customer.Code], e.products[l.Product.Code], l.PO, l.Cases, l.Plan.Filled, l.Plan.Firm, l.Plan.Short, why(l))
		}
	}
	t = e.table("Runs", colPacking, colDay, colProduct, colCases, colContents)
	for _, r := range w.Plan.Runs {
		t.Add(r.Pack, r.Pickup, e.products[r.Product], r.Cases, e.contents(r.Contents))
	}
	return nil
}

// why is the code of a short line's reason, to be put in a language's words.
func why(l DayLine) any {
	switch {
	case l.Plan.Short == 0:
		return nil
	case !l.Counted:
		return TableCell{Kind: CellWord, Text: "brief.not_counted"}
	case l.Plan.Reason == nil:
		return nil
	}
	return TableCell{Kind: CellWord, Text: "brief." + string(l.Plan.Reason.Code)}
}

// contents writes what is in a case as the cooler sheet reads it.
func (e *exporter) contents(list []planning.VarietyHeads) string {
	parts := make([]string, len(list))
	for i, c := range list {
		parts[i] = fmt.Sprintf("%d %s", c.Heads, e.varieties[c.Variety])
	}
	return strings.Join(parts, " / ")
}

func (e *exporter) outlook() error {
	w, err := e.book.week(e.tx, e.asOf)
	if err != nil {
		return err
	}
	t := e.table("Outlook", colDay, colVariety, colListed)
	for _, row := range w.Plan.Tally {
		if row.Listed > 0 {
			t.Add(row.Pickup, e.varieties[row.Variety], row.Listed)
		}
	}
	for _, l := range w.Ahead {
		t.Add(l.Pickup, e.varieties[l.Variety], l.Heads)
	}
	return nil
}

func (e *exporter) shipped() error {
	left, err := store.Departures.Values(e.tx, Query{Ended: true})
	if err != nil {
		return err
	}
	type key struct {
		day                        domain.Day
		customer, po, product, via string
		trace                      string
	}
	sums := map[key]domain.Cases{}
	for _, d := range left {
		if !e.inside(d.Day) {
			continue
		}
		for _, s := range d.Took {
			sums[key{d.Day, s.Customer, s.PO, s.Product, d.Carrier, s.Trace}] += s.Cases
		}
	}
	keys := make([]key, 0, len(sums))
	for k := range sums {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b key) int {
		return cmp.Or(strings.Compare(a.customer, b.customer), strings.Compare(a.po, b.po), strings.Compare(a.product, b.product),
			cmp.Compare(a.day, b.day), strings.Compare(a.via, b.via), strings.Compare(a.trace, b.trace))
	})
	t := e.table("Shipped", colCustomer, colPO, colProduct, colShipped, colCases, colCarrier, colTrace)
	for _, k := range keys {
		t.Add(e.customers[k.customer], k.po, e.products[k.product], k.day, sums[k], e.carriers[k.via], k.trace)
	}
	return nil
}
