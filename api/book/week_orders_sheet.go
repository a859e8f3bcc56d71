package book

import (
	"cmp"
	"fmt"
	"slices"

	"headtally/domain"
)

// readOrders reads the order sheet of a workbook: rows with weekdays are
// standing orders, the others one-offs for their day.
func (w *workbookReader) readOrders(t *Table) {
	once := Table{Name: t.Name}
	var headed bool
	promised := map[int]domain.Cases{}
	allOrNone := map[int]bool{}
	w.trade = w.tradeNow()
	h, _ := standingColumns.findHeading(t)
	eachRow(t, standingColumns, w.order, &w.faults, nil, func(r *sheetFields) {
		if !headed {
			once.Rows, headed = append(once.Rows, t.Rows[h.row]), true
		}
		if !r.blank(colWeekdays) {
			w.standing(r)
			return
		}
		w.seat(r)
		promised[r.row.Number] = domain.Cases(r.count(colPromised))
		allOrNone[r.row.Number] = r.yes(colAllOrNone)
		once.Rows = append(once.Rows, *r.row)
	})
	if headed {
		w.oneOffs(once, promised, allOrNone)
	}
}

// standing reads a standing order: weekdays, from, until, every how many weeks.
func (w *workbookReader) standing(r *sheetFields) {
	term := domain.Term{From: r.day(colFrom), Until: r.day(colUntil), Weekdays: r.weekdays(colWeekdays), Every: 1,
		Cases: domain.Cases(r.count(colCases)), AllOrNone: r.yes(colAllOrNone), Received: w.asked(r.row.Number)}
	if n := r.whole(colEvery, 1, 52); n != nil {
		term.Every = *n
	}
	term.From = cmp.Or(term.From, w.day)
	if term.From == 0 {
		r.wrong(colFrom, unread("required"))
	}
	if !r.blank(colDay) {
		r.wrong(colDay, unread("day_and_weekdays"))
	}
	if r.count(colPromised) > 0 {
		r.wrong(colPromised, unread("word_for_a_day"))
	}
	customer := w.customer(r)
	product, m := w.trade.product(customer, r.need(colProduct))
	if m != nil {
		r.wrong(colProduct, m)
	}
	s := domain.Standing{ID: fmt.Sprintf("S%d", len(w.facts.Standing)+1), Customer: customer, Product: product,
		PO: r.text(colPO), Note: r.text(colNote), Terms: []domain.Term{term}}
	if customer != "" && product != "" && term.From != 0 {
		r.check(s.Check())
	}
	w.facts.Standing = append(w.facts.Standing, s)
}

// customer is the customer a row names, made where nobody knows it yet.
func (w *workbookReader) customer(r *sheetFields) string {
	name := r.need(colCustomer)
	if name == "" {
		return ""
	}
	code, m := w.trade.customers.find(name)
	switch {
	case m == nil:
		return code
	case m.code != "unknown_customer":
		r.wrong(colCustomer, m)
		return ""
	}
	if c, known := w.customerInBook(r, name); known {
		return c
	}
	c := w.trade.newCustomer(domain.Customer{}, name)
	if c.Carrier == "" {
		r.wrong(colCustomer, unread("new_customer_without_carrier", "value", name))
	}
	w.facts.Customers = append(w.facts.Customers, c)
	return c.Code
}

// customerInBook is a customer that the orders name and the book knows: it stays
// as it is there, and so does who comes for its cases.
func (w *workbookReader) customerInBook(r *sheetFields, name string) (code string, known bool) {
	code, m := w.known.customers.find(name)
	if m != nil {
		r.wrong(colCustomer, m)
		return "", true
	}
	c, known := w.known.customerOf[code]
	if !known {
		return "", false
	}
	if !w.trade.carriers.taken(c.Carrier) {
		w.facts.Carriers = append(w.facts.Carriers, w.known.carrierOf[c.Carrier])
	}
	w.facts.Customers = append(w.facts.Customers, c)
	w.trade = w.tradeNow()
	return code, true
}

// seat enters the customer of a row, where the book knows it and the workbook
// does not yet.
func (w *workbookReader) seat(r *sheetFields) {
	name, m := readLine(r.cell(r.row, colCustomer), 200)
	if m != nil || name == "" {
		return // told with what else is wrong with the row
	}
	if _, m := w.trade.customers.find(name); m != nil && m.code == "unknown_customer" {
		w.customerInBook(r, name)
	}
}

// tradeNow is the trade of what was read so far.
func (w *workbookReader) tradeNow() *trade {
	t := newTrade(&w.facts)
	t.usedCustomers = w.known.customers.taken
	return t
}

// oneOffs reads the rows for one day as any order sheet is read, and the words
// given for them.
func (w *workbookReader) oneOffs(t Table, promised map[int]domain.Cases, allOrNone map[int]bool) {
	o := OrderSheet{Name: t.Name, DayOrder: w.order, NewCustomers: true, AsOf: w.day, Mode: domain.Add}
	s := readOrderSheets(w.trade, []Table{t}, o)
	w.faults = append(w.faults, s.faults...)
	w.facts.Customers = append(w.facts.Customers, s.fresh...)
	places := map[orderKey]int{}
	for _, row := range s.rows {
		if row.Fate == FateRefused {
			w.faults = append(append(w.faults, *row.Fault), row.more...)
		}
		if row.Fate != FateLine {
			continue
		}
		key := orderKey{row.Customer, row.Day, row.PO, row.Reference}
		at, there := places[key]
		if !there {
			at = len(w.facts.Orders)
			places[key] = at
			w.facts.Orders = append(w.facts.Orders, domain.Order{ID: fmt.Sprintf("O%d", at+1), Customer: row.Customer, Pickup: row.Day, Mode: domain.Add,
				PO: row.PO, Reference: row.Reference, Received: w.asked(row.Row)})
		}
		order := &w.facts.Orders[at]
		order.Lines = append(order.Lines, domain.OrderLine{Product: row.Product, Cases: row.Cases, AllOrNone: allOrNone[row.Row] || w.trade.customerOf[row.Customer].AllOrNone})
		order.Note = joinNotes(order.Note, row.Note)
		w.word(order, row, promised[row.Row])
	}
	w.faults = append(w.faults, twiceInAnOrder(w.facts.Orders, t.Name)...)
}

// word keeps a promise told beside a row.
func (w *workbookReader) word(o *domain.Order, row RowFate, cases domain.Cases) {
	switch {
	case cases == 0:
	case cases > row.Cases:
		w.faults = append(w.faults, SheetPlace(row.Sheet, row.Row, -1, string(colPromised)).Fault("at_most", "limit", int(row.Cases)))
	default:
		carrier := w.trade.customerOf[o.Customer].Carrier
		w.facts.Decisions = append(w.facts.Decisions, domain.Decision{Line: domain.LineID(o.ID, row.Product, carrier, o.Pickup),
			Promised: cases, PromisedAt: w.asked(row.Row)})
	}
}

// twiceInAnOrder finds orders in which a product stands twice.
func twiceInAnOrder(orders []domain.Order, sheet string) (faults domain.Faults) {
	for i := range orders {
		for _, f := range orders[i].Check() {
			if f.Code == "twice" {
				faults = append(faults, SheetPlace(sheet, 0, -1, orders[i].Customer+", "+orders[i].Pickup.String()).Fault("twice", "value", f.Args["value"]))
			}
		}
	}
	return slices.Clip(faults)
}
