package book

import (
	"cmp"
	"errors"
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
			faults.Add("columns."+col, "one_of", "allowed", OrderColumns())
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

// OrderColumns are our columns of an order sheet, as a layout names them, in the
// order in which people think of them.
func OrderColumns() []string {
	return []string{string(colCustomer), string(colProduct), string(colDay), string(colArrival), string(colCases), string(colHeads), string(colDozens),
		string(colPO), string(colReference), string(colNote)}
}

// layoutFor is the layout an order sheet is read by: the one that was named,
// else that of the sender who was told, else the one of which a sheet has all
// the headings. Of several that fit it is the one naming most; two that name
// equally many leave the choice to a person, as do columns that were told.
func layoutFor(tx *store.Tx, tables []Table, o OrderSheet) (*Record[domain.Layout], error) {
	if o.Layout != "" {
		rec, err := store.Layouts.Get(tx, o.Layout)
		if errors.Is(err, domain.ErrNotFound) {
			err = domain.Faults{{Place: "layout", Code: "unknown", Args: map[string]any{"what": store.Layouts.Name, "value": o.Layout}}}
		}
		return &rec, err
	}
	records, err := store.Layouts.List(tx, Query{})
	if err != nil {
		return nil, err
	}
	if o.Sender != "" {
		of := func(r Record[domain.Layout]) bool { return foldKey(r.Value.Name) == foldKey(o.Sender) }
		if i := slices.IndexFunc(records, of); i >= 0 {
			return &records[i], nil
		}
	}
	if o.Sender != "" || len(o.Columns) > 0 {
		return nil, nil
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

// By is how a sheet is read by a layout; what the person told goes before it.
func (o OrderSheet) By(l *domain.Layout) OrderSheet {
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
	l.Customers, l.Products = tied(l.Customers, l.Products, ties, customers, products)
	_, err := store.Layouts.Replace(tx, l, rec.Rev)
	return err
}

// tied are the names of a sender with what more of them were tied to. The
// records that were made for ties are given in the order of their ties.
func tied(wasCustomers, wasProducts map[string]string, ties []Tie, customers []domain.Customer, products []domain.Product) (ofCustomers, ofProducts map[string]string) {
	ofCustomers, ofProducts = maps.Clone(wasCustomers), maps.Clone(wasProducts)
	enter := func(names *map[string]string, name, code string) {
		if *names == nil {
			*names = map[string]string{}
		}
		(*names)[name] = code
	}
	madeCustomers, madeProducts := 0, 0
	for _, tie := range ties {
		switch {
		case tie.Customer != nil:
			enter(&ofCustomers, tie.Name, customers[madeCustomers].Code)
			madeCustomers++
		case tie.Product != nil:
			enter(&ofProducts, tie.Name, products[madeProducts].Code)
			madeProducts++
		case tie.Kind == "customer":
			enter(&ofCustomers, tie.Name, tie.Code)
		default:
			enter(&ofProducts, tie.Name, tie.Code)
		}
	}
	return ofCustomers, ofProducts
}

// keepLayout makes or changes the layout of a sender out of how a sheet was
// just read: what was told this time, else what the layout said before. The
// names that were tied are in it already where there was one.
func (b *Book) keepLayout(tx *store.Tx, p *OrderPreview, o OrderSheet) error {
	r := p.Read
	l := domain.Layout{Name: r.Sender, Columns: r.Columns, Sheet: r.Sheet, DayOrder: string(r.DayOrder), DaysAfterPickup: r.DaysAfterPickup,
		Unit: r.Unit, Mode: r.Mode, Customer: r.Customer}
	if len(l.Columns) == 0 {
		l.Columns = p.headings
	}
	if p.layout == nil {
		l.Customers, l.Products = tied(nil, nil, o.Ties, p.customers, p.products)
		_, err := b.Layouts().create(tx, l)
		return err
	}
	now, err := store.Layouts.Get(tx, p.layout.Value.Code)
	if err != nil {
		return err
	}
	l.Code, l.Customers, l.Products = now.Value.Code, now.Value.Customers, now.Value.Products
	_, err = b.Layouts().replace(tx, l.Code, l, now.Rev)
	return err
}
