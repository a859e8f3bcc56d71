package book

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// Layouts is the shelf of how senders write their order sheets.
func (b *Book) Layouts() Shelf[domain.Layout] {
	return Shelf[domain.Layout]{book: b, kind: store.Layouts, may: MayOrder,
		fill: func(_ *store.Tx, v *domain.Layout, taken func(string) bool) error {
			v.Code = cmp.Or(v.Code, codeFor(v.Name, taken))
			return nil
		},
		check: checkLayout}
}

func checkLayout(tx *store.Tx, v, _ *domain.Layout) (domain.Faults, error) {
	faults := domain.Check(v)
	headings := map[string]string{}
	for _, col := range slices.Sorted(maps.Keys(v.Columns)) {
		if orderColumns[column(col)] == nil {
			faults.Add("columns."+col, "one_of", "allowed", orderColumnNames())
			continue
		}
		key := foldKey(v.Columns[col])
		if other, twice := headings[key]; twice || key == "" {
			faults.Add("columns."+col, "layout_heading", "value", v.Columns[col], "other", other)
		}
		headings[key] = col
	}
	for _, name := range slices.Sorted(maps.Keys(v.Customers)) {
		if err := known(tx, store.Customers, &faults, "customers."+name, v.Customers[name]); err != nil {
			return nil, err
		}
	}
	for _, name := range slices.Sorted(maps.Keys(v.Products)) {
		if err := known(tx, store.Products, &faults, "products."+name, v.Products[name]); err != nil {
			return nil, err
		}
	}
	return faults, nil
}

func orderColumnNames() []string {
	names := make([]string, 0, len(orderColumns))
	for col := range orderColumns {
		names = append(names, string(col))
	}
	slices.Sort(names)
	return names
}

// layoutFor is the layout an order sheet is read by: the one that was named,
// else the one of which a sheet has all the headings. Of several that fit it is
// the one naming most; two that name equally many leave the choice to a person.
func layoutFor(tx *store.Tx, tables []Table, o OrderSheet) (*Record[domain.Layout], error) {
	if o.Layout != "" {
		rec, err := store.Layouts.Get(tx, o.Layout)
		return &rec, err
	}
	if o.Sender != "" || len(o.Columns) > 0 {
		return nil, nil
	}
	records, err := store.Layouts.List(tx, Query{})
	if err != nil {
		return nil, err
	}
	var best *Record[domain.Layout]
	equal := false
	for i := range records {
		l := &records[i].Value
		if !fits(l, tables) {
			continue
		}
		switch {
		case best == nil || len(l.Columns) > len(best.Value.Columns):
			best, equal = &records[i], false
		case len(l.Columns) == len(best.Value.Columns):
			equal = true
		}
	}
	if equal {
		return nil, nil
	}
	return best, nil
}

// fits says whether a sheet has all the headings that a layout names, in one
// row, and the name it tells.
func fits(l *domain.Layout, tables []Table) bool {
	if len(l.Columns) == 0 {
		return false
	}
	for i := range tables {
		t := &tables[i]
		if l.Sheet != "" && foldKey(l.Sheet) != foldKey(t.Name) {
			continue
		}
		for k := range t.Rows[:min(headingSearch, len(t.Rows))] {
			has := map[string]bool{}
			for _, c := range t.Rows[k].Cells {
				has[foldKey(c.Text)] = true
			}
			all := true
			for _, heading := range l.Columns {
				all = all && has[foldKey(heading)]
			}
			if all {
				return true
			}
		}
	}
	return false
}

// by is how a sheet is read by a layout; what the person told goes before it.
func (o OrderSheet) by(l *domain.Layout) OrderSheet {
	o.Sender = cmp.Or(o.Sender, l.Name)
	o.Sheet = cmp.Or(o.Sheet, l.Sheet)
	o.DayOrder = cmp.Or(o.DayOrder, DayOrder(l.DayOrder))
	o.Unit = cmp.Or(o.Unit, l.Unit)
	o.Mode = cmp.Or(o.Mode, l.Mode)
	o.Customer = cmp.Or(o.Customer, l.Customer)
	if o.DaysAfterPickup == nil {
		o.DaysAfterPickup = l.DaysAfterPickup
	}
	if len(o.Columns) == 0 {
		o.Columns = l.Columns
	}
	return o
}

// learn enters the names that a layout has tied to ours before; those of records
// that have ended are left out.
func (t *trade) learn(l *domain.Layout) {
	for _, known := range []struct {
		names map[string]string
		of    *register
	}{{l.Customers, t.customers}, {l.Products, t.products}} {
		for name, code := range known.names {
			if known.of.taken(code) {
				known.of.exact[name] = code
				known.of.folded[foldKey(name)] = []string{code}
			}
		}
	}
}

// keepTies remembers in a layout what names of its sender were tied to, so that
// the next sheet needs no ties.
func keepTies(tx *store.Tx, rec *Record[domain.Layout], ties []Tie, customers []domain.Customer, products []domain.Product) error {
	if rec == nil || len(ties) == 0 {
		return nil
	}
	l := rec.Value
	l.Customers, l.Products = maps.Clone(l.Customers), maps.Clone(l.Products)
	madeCustomers, madeProducts := 0, 0
	for _, tie := range ties {
		code, names := tie.Code, &l.Products
		if tie.Kind == "customer" {
			names = &l.Customers
		}
		switch {
		case tie.Customer != nil:
			code = customers[madeCustomers].Code
			madeCustomers++
		case tie.Product != nil:
			code = products[madeProducts].Code
			madeProducts++
		}
		if *names == nil {
			*names = map[string]string{}
		}
		(*names)[tie.Name] = code
	}
	_, err := store.Layouts.Replace(tx, l, rec.Rev)
	return err
}

// KeepLayout makes or changes the layout of a sender out of how a sheet was just
// read.
func (b *Book) KeepLayout(ctx context.Context, who Person, o OrderSheet, note Note) (Record[domain.Layout], error) {
	l := domain.Layout{Name: o.Sender, Columns: o.Columns, Sheet: o.Sheet, DayOrder: string(o.DayOrder), DaysAfterPickup: o.DaysAfterPickup, Unit: o.Unit,
		Mode: o.Mode, Customer: o.Customer}
	for _, tie := range o.Ties {
		names := &l.Products
		if tie.Kind == "customer" {
			names = &l.Customers
		}
		if tie.Code == "" {
			continue
		}
		if *names == nil {
			*names = map[string]string{}
		}
		(*names)[tie.Name] = tie.Code
	}
	if o.Layout == "" {
		return b.Layouts().Create(ctx, who, l, note)
	}
	return b.Layouts().Replace(ctx, who, o.Layout, l, note)
}
