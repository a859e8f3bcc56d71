package book

import (
	"errors"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// bookNames are the records in the book that a workbook may speak of.
type bookNames struct {
	varieties, products, carriers, customers codesOf
	carrierOf                                map[string]domain.Carrier
	customerOf                               map[string]domain.Customer
}

// codesOf finds the code of a name among the records of one kind: those that
// are in use before those that have ended, which a workbook takes up again.
type codesOf struct{ live, ended *register }

func codesIn[T any](tx *store.Tx, kind store.Kind[T], named func(T) Named) (codesOf, map[string]T, error) {
	records, err := kind.List(tx, Query{Ended: true})
	of := map[string]T{}
	var live, ended []T
	for _, r := range records {
		if r.Ended {
			ended = append(ended, r.Value)
			continue
		}
		live = append(live, r.Value)
		of[named(r.Value).Code] = r.Value
	}
	return codesOf{newRegister(kind.Name, live, named), newRegister(kind.Name, ended, named)}, of, err
}

func bookNamesOf(tx *store.Tx) (*bookNames, error) {
	n := &bookNames{}
	var errs [4]error
	n.varieties, _, errs[0] = codesIn(tx, store.Varieties, func(v domain.Variety) Named { return Named{v.Code, v.Name} })
	n.products, _, errs[1] = codesIn(tx, store.Products, func(p domain.Product) Named { return Named{p.Code, p.Name} })
	n.carriers, n.carrierOf, errs[2] = codesIn(tx, store.Carriers, func(c domain.Carrier) Named { return Named{c.Code, c.Name} })
	n.customers, n.customerOf, errs[3] = codesIn(tx, store.Customers, func(c domain.Customer) Named { return Named{c.Code, c.Name} })
	return n, errors.Join(errs[:]...)
}

// find is the code that the book has for a name, "" for none; a name that could
// be several records is a misreading.
func (c *codesOf) find(name string) (string, *misread) {
	if c.live == nil {
		return "", nil
	}
	code, m := c.live.find(name)
	if m == nil || m.code == "ambiguous" {
		return code, m
	}
	code, _ = c.ended.find(name)
	return code, nil
}

func (c *codesOf) taken(code string) bool {
	return c.live != nil && (c.live.taken(code) || c.ended.taken(code))
}

// coder gives the records of one sheet of a workbook their codes: the book's for
// a name that it knows, else one made from the name that nothing else has.
type coder struct {
	known codesOf
	names []string        // as they were met, folded
	codes map[string]bool // given here
}

// code is the code of the row's name; a name that stands twice or is several
// records of the book is a fault.
func (c *coder) code(r *sheetFields, col column, name string) string {
	key := foldKey(name)
	if slices.Contains(c.names, key) {
		r.wrong(col, unread("twice", "value", name))
	}
	c.names = append(c.names, key)
	code, m := c.known.find(name)
	if m != nil {
		r.wrong(col, m)
	}
	if code == "" {
		code = domain.CodeFrom(name, func(code string) bool { return c.codes[code] || c.known.taken(code) })
	}
	if c.codes == nil {
		c.codes = map[string]bool{}
	}
	c.codes[code] = true
	return code
}
