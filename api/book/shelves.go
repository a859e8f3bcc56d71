package book

import (
	"cmp"
	"slices"
	"strconv"

	"headtally/domain"
	"headtally/domain/gs1"
	"headtally/domain/store"
)

// shelves says for each kind of record who may change it, what is filled in
// when left out, what is checked, and what must not name it when it is ended.
func (b *Book) shelves() {
	b.Varieties = Shelf[domain.Variety]{book: b, kind: store.Varieties, may: MayManage,
		fill: func(_ *store.Tx, v *domain.Variety, taken func(string) bool) error {
			v.Code = cmp.Or(v.Code, codeFor(v.Name, taken))
			return nil
		},
		check: func(_ *store.Tx, v, _ *domain.Variety) (domain.Faults, error) { return domain.Check(v), nil },
		free:  b.varietyFree}
	b.Products = Shelf[domain.Product]{book: b, kind: store.Products, may: MayManage,
		fill: func(_ *store.Tx, v *domain.Product, taken func(string) bool) error {
			v.Code = cmp.Or(v.Code, codeFor(v.Name, taken))
			return nil
		},
		check: checkProduct, free: b.productFree}
	b.Carriers = Shelf[domain.Carrier]{book: b, kind: store.Carriers, may: MayOrder,
		fill: func(_ *store.Tx, v *domain.Carrier, taken func(string) bool) error {
			v.Code = cmp.Or(v.Code, codeFor(v.Name, taken))
			return nil
		},
		check: func(_ *store.Tx, v, _ *domain.Carrier) (domain.Faults, error) { return domain.Check(v), nil },
		free: func(tx *store.Tx, v *domain.Carrier) error {
			return freeOf(tx, store.Customers, Query{Equal: map[string]string{"carrier": v.Code}}, store.Carriers.Name, v.Code)
		}}
	b.Customers = Shelf[domain.Customer]{book: b, kind: store.Customers, may: MayOrder, fill: fillCustomer, check: checkCustomer,
		free: func(tx *store.Tx, v *domain.Customer) error {
			return freeOf(tx, store.Standing, Query{Equal: map[string]string{"customer": v.Code}}, store.Customers.Name, v.Code)
		}}
	b.Exceptions = Shelf[domain.Exception]{book: b, kind: store.Exceptions, may: MayOrder,
		fill: func(tx *store.Tx, v *domain.Exception, taken func(string) bool) error {
			v.ID = cmp.Or(v.ID, numbered("X", tx, taken))
			return nil
		},
		check: checkException}
	b.Standing = Shelf[domain.Standing]{book: b, kind: store.Standing, may: MayOrder, fill: fillStanding, check: checkStanding}
	b.Orders = Shelf[domain.Order]{book: b, kind: store.Orders, may: MayOrder, fill: fillOrder, check: checkOrder}
	b.Counts = Shelf[domain.Count]{book: b, kind: store.Counts, may: MayGrow,
		fill: func(tx *store.Tx, v *domain.Count, taken func(string) bool) error {
			v.ID = cmp.Or(v.ID, numbered("C", tx, taken))
			if v.At.IsZero() {
				v.At = tx.Now
			}
			return knownPacked(tx, v)
		},
		check: checkCount}
	b.shelveGrowing()
}

func codeFor(name string, taken func(string) bool) string {
	if name == "" {
		return "" // the missing name is the fault to tell
	}
	return domain.CodeFrom(name, taken)
}

// known adds a fault where a code is told and is no record that goes on.
func known[T any](tx *store.Tx, kind store.Kind[T], faults *domain.Faults, place, code string) error {
	if code == "" {
		return nil
	}
	there, err := kind.Exists(tx, code)
	if err != nil {
		return err
	}
	if there {
		rec, err := kind.Get(tx, code)
		if err != nil || !rec.Ended {
			return err
		}
	}
	faults.Add(place, "unknown", "what", kind.Name, "value", code)
	return nil
}

// freeOf refuses to end a record while those of another kind name it.
func freeOf[T any](tx *store.Tx, kind store.Kind[T], q Query, what, code string) error {
	q.Limit = 1
	naming, err := kind.List(tx, q)
	if err != nil || len(naming) == 0 {
		return err
	}
	return domain.Refuse(domain.ErrConflict, what, code, "reason", "still_named", "by", kind.Name, "other", *kind.Code(&naming[0].Value))
}

func checkProduct(tx *store.Tx, v, _ *domain.Product) (domain.Faults, error) {
	faults := v.Check()
	if v.GTIN != "" && gs1.CheckNumber(v.GTIN) != nil {
		faults.Add("gtin", "check_digit")
	}
	for i, s := range v.Slots {
		for k, code := range s.Accept {
			if err := known(tx, store.Varieties, &faults, place("slots", i)+"."+place("accept", k), code); err != nil {
				return nil, err
			}
		}
	}
	return faults, nil
}

// varietyFree refuses to end a variety that a product still takes.
func (b *Book) varietyFree(tx *store.Tx, v *domain.Variety) error {
	products, err := store.Products.Values(tx, Query{})
	if err != nil {
		return err
	}
	for _, p := range products {
		for _, s := range p.Slots {
			for _, code := range s.Accept {
				if code == v.Code {
					return domain.Refuse(domain.ErrConflict, store.Varieties.Name, v.Code, "reason", "still_named", "by", store.Products.Name, "other", p.Code)
				}
			}
		}
	}
	return noRecipe(tx, store.Varieties.Name, v.Code, func(r *domain.Recipe) bool {
		return slices.ContainsFunc(r.Contents, func(c domain.VarietyHeads) bool { return c.Variety == v.Code })
	})
}

// productFree refuses to end a product that is still ordered from today on.
func (b *Book) productFree(tx *store.Tx, v *domain.Product) error {
	if err := freeOf(tx, store.Standing, Query{Equal: map[string]string{"product": v.Code}}, store.Products.Name, v.Code); err != nil {
		return err
	}
	orders, err := store.Orders.Values(tx, Query{From: map[string]string{"pickup": domain.DayOf(tx.Now).Add(-1).String()}})
	if err != nil {
		return err
	}
	for _, o := range orders {
		for _, l := range o.Lines {
			if l.Product == v.Code {
				return domain.Refuse(domain.ErrConflict, store.Products.Name, v.Code, "reason", "still_named", "by", store.Orders.Name, "other", o.ID)
			}
		}
	}
	return noRecipe(tx, store.Products.Name, v.Code, func(r *domain.Recipe) bool { return r.Product == v.Code })
}

// fillCustomer gives a customer what the farm means when it says nothing: a
// steady one that takes substitutes and comes with the only carrier.
func fillCustomer(tx *store.Tx, v *domain.Customer, taken func(string) bool) error {
	v.Code = cmp.Or(v.Code, codeFor(v.Name, taken))
	v.Importance = cmp.Or(v.Importance, domain.Steady)
	v.Substitutes = cmp.Or(v.Substitutes, "yes")
	if v.Carrier == "" {
		carriers, err := store.Carriers.Values(tx, Query{Limit: 2})
		if err != nil {
			return err
		}
		if len(carriers) == 1 {
			v.Carrier = carriers[0].Code
		}
	}
	return nil
}

func checkCustomer(tx *store.Tx, v, _ *domain.Customer) (domain.Faults, error) {
	faults := domain.Check(v)
	if err := known(tx, store.Carriers, &faults, "carrier", v.Carrier); err != nil {
		return nil, err
	}
	for i, code := range v.Refuse {
		if err := known(tx, store.Varieties, &faults, place("refuse", i), code); err != nil {
			return nil, err
		}
	}
	return faults, nil
}

func fillStanding(tx *store.Tx, v *domain.Standing, taken func(string) bool) error {
	v.ID = cmp.Or(v.ID, numbered("S", tx, taken))
	for i := range v.Terms {
		v.Terms[i].Every = cmp.Or(v.Terms[i].Every, 1)
		if v.Terms[i].Received.IsZero() {
			v.Terms[i].Received = tx.Now
		}
	}
	for i := range v.Changes {
		if v.Changes[i].Received.IsZero() {
			v.Changes[i].Received = tx.Now
		}
	}
	return nil
}

func checkStanding(tx *store.Tx, v, _ *domain.Standing) (domain.Faults, error) {
	faults := v.Check()
	for _, err := range []error{
		known(tx, store.Customers, &faults, "customer", v.Customer),
		known(tx, store.Products, &faults, "product", v.Product),
		known(tx, store.Carriers, &faults, "carrier", v.Carrier),
	} {
		if err != nil {
			return nil, err
		}
	}
	for i, c := range v.Changes {
		if err := known(tx, store.Products, &faults, place("changes", i)+".product", c.Product); err != nil {
			return nil, err
		}
	}
	return faults, nil
}

func fillOrder(tx *store.Tx, v *domain.Order, taken func(string) bool) error {
	v.ID = cmp.Or(v.ID, numbered("O", tx, taken))
	v.Mode = cmp.Or(v.Mode, domain.Add)
	if v.Received.IsZero() {
		v.Received = tx.Now
	}
	return nil
}

// checkOrder also refuses a day on which the carrier does not come, and a second
// one-off that would stand instead of the same standing order.
func checkOrder(tx *store.Tx, v, before *domain.Order) (domain.Faults, error) {
	faults := v.Check()
	for _, err := range []error{
		known(tx, store.Customers, &faults, "customer", v.Customer),
		known(tx, store.Carriers, &faults, "carrier", v.Carrier),
	} {
		if err != nil {
			return nil, err
		}
	}
	for i, l := range v.Lines {
		if err := known(tx, store.Products, &faults, place("lines", i)+".product", l.Product); err != nil {
			return nil, err
		}
	}
	if faults != nil {
		return faults, nil
	}
	if err := checkPickup(tx, v, before, &faults); err != nil {
		return nil, err
	}
	if v.Mode == domain.Replace {
		return faults, checkReplaces(tx, v)
	}
	return faults, nil
}

// checkPickup holds an order's day against the calendar, unless it was there
// before.
func checkPickup(tx *store.Tx, v, before *domain.Order, faults *domain.Faults) error {
	if before != nil && before.Pickup == v.Pickup && before.Carrier == v.Carrier {
		return nil
	}
	cal, err := calendar(tx)
	if err != nil {
		return err
	}
	customer, err := store.Customers.Get(tx, v.Customer)
	if err != nil {
		return err
	}
	carrier := cmp.Or(v.Carrier, customer.Value.Carrier)
	if !cal.PicksUp(carrier, v.Pickup) {
		next, _ := cal.NextPickup(carrier, v.Pickup)
		faults.Add("pickup", "no_pickup", "day", v.Pickup, "carrier", carrier, "next", next)
	}
	return nil
}

// checkReplaces refuses two one-offs that would both stand instead of the same
// customer's product on one day, and names both.
func checkReplaces(tx *store.Tx, v *domain.Order) error {
	same, err := store.Orders.Values(tx, Query{Equal: map[string]string{"customer": v.Customer, "pickup": v.Pickup.String()}})
	if err != nil {
		return err
	}
	for _, o := range same {
		if o.ID == v.ID || o.Mode != domain.Replace {
			continue
		}
		for _, l := range o.Lines {
			for _, mine := range v.Lines {
				if l.Product == mine.Product {
					return domain.Refuse(domain.ErrConflict, store.Orders.Name, v.ID, "reason", "both_replace", "other", o.ID, "product", l.Product)
				}
			}
		}
	}
	return nil
}

func checkCount(tx *store.Tx, v, _ *domain.Count) (domain.Faults, error) {
	faults := v.Check()
	cal, err := calendar(tx)
	if err != nil {
		return nil, err
	}
	if today := cal.Today(tx.Now); v.Day > today {
		faults.Add("day", "not_yet", "today", today)
	}
	check := func(where, code string) error { return known(tx, store.Varieties, &faults, where, code) }
	for i, b := range v.Beds {
		if err := check(place("beds", i)+".variety", b.Variety); err != nil {
			return nil, err
		}
	}
	for i, l := range v.Loose {
		if err := check(place("loose", i)+".variety", l.Variety); err != nil {
			return nil, err
		}
	}
	for i, p := range v.Packed {
		if err := known(tx, store.Products, &faults, place("packed", i)+".product", p.Product); err != nil {
			return nil, err
		}
		for k, c := range p.Contents {
			if err := check(place("packed", i)+"."+place("contents", k)+".variety", c.Variety); err != nil {
				return nil, err
			}
		}
	}
	return faults, nil
}

// calendar is the farm's calendar in this moment of the book.
func calendar(tx *store.Tx) (*domain.Calendar, error) {
	f, err := farm(tx)
	if err != nil {
		return nil, err
	}
	carriers, err := store.Carriers.Values(tx, Query{})
	if err != nil {
		return nil, err
	}
	exceptions, err := store.Exceptions.Values(tx, Query{})
	return domain.NewCalendar(f.Value, carriers, exceptions), err
}

// place is the i-th entry of a list.
func place(list string, i int) string { return list + "[" + strconv.Itoa(i) + "]" }
