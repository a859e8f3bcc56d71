package book

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"headtally/domain"
	"headtally/domain/store"
)

// Tie settles a name of a sheet that the book does not know: it means a record
// of ours, or a new one that is made when the sheet is taken.
type Tie struct {
	Kind     string // "customer" or "product"
	Name     string // as the sheet writes it
	Code     string // ours that is meant
	Customer *domain.Customer
	Product  *domain.Product
}

// Unknown is a name of a sheet that the book does not know, with the known names
// nearest to it.
type Unknown struct {
	Kind    string // "customer" or "product"
	Name    string
	Rows    []int // that say it, the first few
	Count   int   // of rows
	Nearest []Named
	New     bool // a record of this name is made when the sheet is taken
}

// Named is a record's code and name.
type Named struct{ Code, Name string }

// register finds records of one kind by what a sheet calls them: the code, the
// name, or either written otherwise in case, accents, spaces and punctuation.
type register struct {
	kind    string
	list    []Named
	codes   map[string]bool
	exact   map[string]string
	folded  map[string][]string
	unknown map[string]*Unknown
	order   []string // of unknown
}

func newRegister[T any](kind string, list []T, named func(T) Named) *register {
	r := &register{kind: kind, codes: map[string]bool{}, exact: map[string]string{}, folded: map[string][]string{}, unknown: map[string]*Unknown{}}
	for _, v := range list {
		r.add(named(v))
	}
	return r
}

func (r *register) add(n Named) {
	r.list = append(r.list, n)
	r.codes[n.Code] = true
	r.exact[n.Code] = n.Code
	if !r.codes[n.Name] { // a code goes before another's name
		r.exact[n.Name] = n.Code
	}
	for _, text := range []string{n.Name, n.Code} {
		if key := foldKey(text); !slices.Contains(r.folded[key], n.Code) {
			r.folded[key] = append(r.folded[key], n.Code)
		}
	}
}

// find is the code of what a sheet calls by a name; it is a misreading where
// several records are meant alike, or none.
func (r *register) find(name string) (string, *misread) {
	if code, ok := r.exact[name]; ok {
		return code, nil
	}
	switch codes := r.folded[foldKey(name)]; len(codes) {
	case 0:
		return "", unread("unknown_"+r.kind, "value", name)
	case 1:
		return codes[0], nil
	default:
		return "", unread("ambiguous", "value", name, "codes", codes)
	}
}

// name is the name of the record of a code.
func (r *register) name(code string) string {
	if i := slices.IndexFunc(r.list, func(n Named) bool { return n.Code == code }); i >= 0 {
		return r.list[i].Name
	}
	return code
}

// taken says whether a code is used.
func (r *register) taken(code string) bool { return r.codes[code] }

// rowsListed is how many rows an unknown name lists.
const rowsListed = 10

// miss notes that a row calls something by an unknown name.
func (r *register) miss(name string, row int) *Unknown {
	key := foldKey(name)
	u := r.unknown[key]
	if u == nil {
		u = &Unknown{Kind: r.kind, Name: name}
		if len(r.order) < nearestFor {
			u.Nearest = r.nearest(name)
		}
		r.unknown[key] = u
		r.order = append(r.order, key)
	}
	if u.Count++; len(u.Rows) < rowsListed {
		u.Rows = append(u.Rows, row)
	}
	return u
}

func (r *register) missed() (list []Unknown) {
	for _, key := range r.order {
		list = append(list, *r.unknown[key])
	}
	return list
}

// Nearest names are told for the first unknown names only, and so many of each:
// a sheet with more has another trouble than spelling.
const (
	nearestFor  = 500
	nearestEach = 3
)

// nearest lists the known names that are few letters away from a name, or
// begin with it, the nearest first.
func (r *register) nearest(name string) []Named {
	type near struct {
		Named
		letters int
	}
	var found []near
	key := []rune(foldKey(name))
	most := max(2, len(key)/3)
	for _, n := range r.list {
		best := most + 1
		for _, text := range []string{n.Name, n.Code} {
			other := []rune(foldKey(text))
			if len(key) >= 3 && len(other) >= 3 && (strings.HasPrefix(string(other), string(key)) || strings.HasPrefix(string(key), string(other))) {
				best = min(best, most)
			}
			best = min(best, lettersApart(key, other, best))
		}
		if best <= most {
			found = append(found, near{n, best})
		}
	}
	slices.SortStableFunc(found, func(a, b near) int { return cmp.Or(a.letters-b.letters, strings.Compare(a.Code, b.Code)) })
	var list []Named
	for _, f := range found[:min(nearestEach, len(found))] {
		list = append(list, f.Named)
	}
	return list
}

// lettersApart is how many letters must be put in, left out or changed to make
// one word the other (V. Levenshtein, 1966), or limit if that many or more.
func lettersApart(a, b []rune, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal, least := row[0], i+1
		row[0] = i + 1
		for j := range b {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j+1]+1, row[j]+1)
			least = min(least, row[j+1])
		}
		if least >= limit {
			return limit
		}
	}
	return min(row[len(b)], limit)
}

// trade is the records that a sheet can name, and the calendar its days are
// held against.
type trade struct {
	customers  *register
	products   *register
	varieties  *register
	carriers   *register
	customerOf map[string]domain.Customer
	productOf  map[string]domain.Product
	own        map[string]map[string]string // customer -> its own item code, folded -> product
	calendar   *domain.Calendar
	farm       domain.Farm
	onlyOne    string // the carrier, where there is only one

	// Codes that a new record cannot have beside those of the registers.
	usedCustomers, usedProducts func(code string) bool
}

// tradeOf reads the records of one moment of the book.
func tradeOf(tx *store.Tx) (*trade, error) {
	f, err := farm(tx)
	if err != nil {
		return nil, err
	}
	facts := domain.Facts{Farm: f.Value}
	var errs [5]error
	var customersEnded, productsEnded map[string]bool
	facts.Varieties, errs[0] = store.Varieties.Values(tx, Query{})
	facts.Products, productsEnded, errs[1] = inUse(tx, store.Products)
	facts.Carriers, errs[2] = store.Carriers.Values(tx, Query{})
	facts.Customers, customersEnded, errs[3] = inUse(tx, store.Customers)
	facts.Exceptions, errs[4] = store.Exceptions.Values(tx, Query{})
	if err := errors.Join(errs[:]...); err != nil {
		return nil, err
	}
	t := newTrade(&facts)
	t.usedCustomers = func(code string) bool { return customersEnded[code] }
	t.usedProducts = func(code string) bool { return productsEnded[code] }
	return t, nil
}

// inUse are the records of a kind that are in use, and the codes of those that
// have ended, which nothing new can have.
func inUse[T any](tx *store.Tx, kind store.Kind[T]) (list []T, ended map[string]bool, err error) {
	records, err := kind.List(tx, Query{Ended: true})
	ended = map[string]bool{}
	for _, r := range records {
		if r.Ended {
			ended[*kind.Code(&r.Value)] = true
			continue
		}
		list = append(list, r.Value)
	}
	return list, ended, err
}

func newTrade(f *domain.Facts) *trade {
	none := func(string) bool { return false }
	t := &trade{usedCustomers: none, usedProducts: none, customerOf: map[string]domain.Customer{}, productOf: map[string]domain.Product{}, own: map[string]map[string]string{},
		farm: f.Farm, calendar: f.Calendar(),
		customers: newRegister("customer", f.Customers, func(c domain.Customer) Named { return Named{c.Code, c.Name} }),
		products:  newRegister("product", f.Products, func(p domain.Product) Named { return Named{p.Code, p.Name} }),
		varieties: newRegister("variety", f.Varieties, func(v domain.Variety) Named { return Named{v.Code, v.Name} }),
		carriers:  newRegister("carrier", f.Carriers, func(c domain.Carrier) Named { return Named{c.Code, c.Name} })}
	for _, c := range f.Customers {
		t.customerOf[c.Code] = c
		t.own[c.Code] = map[string]string{}
		for product, code := range c.ItemCodes {
			t.own[c.Code][foldKey(code)] = product
		}
	}
	for _, p := range f.Products {
		t.productOf[p.Code] = p
	}
	if len(f.Carriers) == 1 {
		t.onlyOne = f.Carriers[0].Code
	}
	return t
}

// product finds what a customer calls a product: by the customer's own item
// code before ours.
func (t *trade) product(customer, name string) (string, *misread) {
	if code, ok := t.own[customer][foldKey(name)]; ok {
		return code, nil
	}
	return t.products.find(name)
}

// tie enters what the person settled about unknown names. A new record gets the
// code it will have when the sheet is taken.
func (t *trade) tie(ties []Tie, faults *domain.Faults) (customers []domain.Customer, products []domain.Product) {
	for i, tie := range ties {
		where := place("ties", i)
		switch {
		case tie.Kind == "customer" && tie.Customer != nil:
			customers = append(customers, t.newCustomer(*tie.Customer, tie.Name))
		case tie.Kind == "product" && tie.Product != nil:
			products = append(products, t.newProduct(*tie.Product, tie.Name))
		case tie.Kind == "customer" && t.customers.taken(tie.Code):
			t.customers.folded[foldKey(tie.Name)] = []string{tie.Code}
			t.customers.exact[tie.Name] = tie.Code
		case tie.Kind == "product" && t.products.taken(tie.Code):
			t.products.folded[foldKey(tie.Name)] = []string{tie.Code}
			t.products.exact[tie.Name] = tie.Code
		case tie.Kind != "customer" && tie.Kind != "product":
			faults.Add(where+".kind", "one_of", "allowed", []string{"customer", "product"})
		default:
			faults.Add(where+".code", "unknown", "what", tie.Kind, "value", tie.Code)
		}
	}
	return customers, products
}

// newCustomer is a customer that is made when the sheet is taken, with what the
// farm means when it says nothing.
func (t *trade) newCustomer(c domain.Customer, called string) domain.Customer {
	c.Name = cmp.Or(c.Name, called)
	c.Code = cmp.Or(c.Code, domain.CodeFrom(c.Name, func(code string) bool { return t.customers.taken(code) || t.usedCustomers(code) }))
	c.Importance = cmp.Or(c.Importance, domain.Steady)
	c.Substitutes = cmp.Or(c.Substitutes, "yes")
	c.Carrier = cmp.Or(c.Carrier, t.onlyOne)
	t.customers.add(Named{c.Code, c.Name})
	t.customers.folded[foldKey(called)] = []string{c.Code}
	t.customerOf[c.Code] = c
	return c
}

func (t *trade) newProduct(p domain.Product, called string) domain.Product {
	p.Name = cmp.Or(p.Name, called)
	p.Code = cmp.Or(p.Code, domain.CodeFrom(p.Name, func(code string) bool { return t.products.taken(code) || t.usedProducts(code) }))
	t.products.add(Named{p.Code, p.Name})
	t.products.folded[foldKey(called)] = []string{p.Code}
	t.productOf[p.Code] = p
	return p
}
