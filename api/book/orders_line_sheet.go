package book

import (
	"strings"

	"headtally/domain"
)

// lineReader reads one line of an order sheet.
type lineReader struct {
	*sheetLines
	sh   *shape
	row  *TableRow
	fate RowFate
}

// read reads the line's fields. One that asks for nothing is no order, whatever
// else it says. A fault refuses the line, or parks it where that was asked for
// and its day is known; what else is wrong with it is told too.
func (r *lineReader) read(f figureAt) {
	if n, blank, m := readWhole(r.row.At(f.index), 0, domain.MaxCount); m == nil && n == 0 && (blank || r.opts.Mode != domain.Replace) {
		r.fate.Fate = FateNone
		return
	}
	dayFault := r.readDay(f)
	fault := dayFault
	for _, step := range []func(figureAt) *domain.Fault{r.readCustomer, r.readProduct, r.readCases, r.readTexts} {
		switch again := step(f); {
		case again == nil:
		case fault == nil:
			fault = again
		default:
			r.fate.more = append(r.fate.more, *again)
		}
	}
	if dayFault == nil && r.fate.Day < r.opts.AsOf {
		r.fate.Fate = FatePast
		return
	}
	if fault == nil {
		fault = r.checkPickup(f)
	}
	if fault == nil {
		return
	}
	r.fate.Fault, r.fate.Fate = fault, FateRefused
	if r.opts.Park && dayFault == nil {
		r.fate.Fate = FateParked
		for _, c := range r.row.Cells {
			r.fate.cells = append(r.fate.cells, c.Text)
		}
	}
}

// fault is a fault of this row at a column's place.
func (r *lineReader) fault(m *misread, index int, what column) *domain.Fault {
	f := m.at(r.sh.table.Name, r.row.Number, index, what)
	return &f
}

// readDay sets the pickup day: what the sheet states, less the days that an
// arrival lies after it.
func (r *lineReader) readDay(f figureAt) *domain.Fault {
	if f.dayCol < 0 {
		r.fate.Day = r.opts.Day
	} else {
		d, m := readDay(f.day, r.opts.DayOrder)
		if m != nil {
			return r.fault(m, f.dayCol, r.sh.day)
		}
		r.fate.Day = d
	}
	if r.opts.DaysAfterPickup != nil {
		r.fate.Day = r.fate.Day.Add(-*r.opts.DaysAfterPickup)
	}
	return nil
}

func (r *lineReader) readCustomer(figureAt) *domain.Fault {
	at := r.sh.index(colCustomer)
	name, m := readLine(r.sh.cell(r.row, colCustomer), 200)
	if m == nil && at < 0 {
		name = r.opts.Customer
	}
	if m == nil && name == "" {
		m = unread("required")
	}
	if m != nil {
		return r.fault(m, at, colCustomer)
	}
	code, m := r.trade.customers.find(name)
	if m != nil && strings.HasPrefix(m.code, "unknown") {
		u := r.trade.customers.miss(name, r.row.Number)
		if r.opts.NewCustomers {
			u.New = true
			c := r.trade.newCustomer(domain.Customer{}, name)
			r.fresh = append(r.fresh, c)
			code, m = c.Code, nil
		}
	}
	if m != nil {
		return r.fault(m, at, colCustomer)
	}
	r.fate.Customer = code
	if r.trade.customerOf[code].Carrier == "" {
		return r.fault(unread("new_customer_without_carrier", "value", name), at, colCustomer)
	}
	return nil
}

func (r *lineReader) readProduct(f figureAt) *domain.Fault {
	name, m := readLine(f.product, 200)
	if m == nil && name == "" {
		m = unread("required")
	}
	if m != nil {
		return r.fault(m, f.productCol, colProduct)
	}
	code, m := r.trade.product(r.fate.Customer, name)
	if m != nil {
		if strings.HasPrefix(m.code, "unknown") {
			r.trade.products.miss(name, r.row.Number)
		}
		return r.fault(m, f.productCol, colProduct)
	}
	r.fate.Product = code
	return nil
}

// headsInDozen is what a dozen is.
const headsInDozen = 12

// readCases sets the cases. Heads and dozens of heads are whole cases or no
// order.
func (r *lineReader) readCases(f figureAt) *domain.Fault {
	what := r.sh.figure
	if what == "" || what == colCases && r.opts.Unit != "" {
		what = column(r.opts.Unit)
	}
	if what == "" {
		what = colCases
	}
	n, _, m := readWhole(r.row.At(f.index), 0, domain.MaxCount)
	if m != nil {
		return r.fault(m, f.index, what)
	}
	if what == colCases {
		r.fate.Cases = domain.Cases(n)
		return nil
	}
	if what == colDozens {
		n *= headsInDozen
	}
	product, known := r.trade.productOf[r.fate.Product]
	if !known {
		return nil // the product is the fault to tell
	}
	each := int(product.HeadsPerCase())
	if n%each != 0 {
		return r.fault(unread("no_whole_cases", "heads", n, "each", each), f.index, what)
	}
	r.fate.Cases = domain.Cases(n / each)
	return nil
}

func (r *lineReader) readTexts(figureAt) *domain.Fault {
	for _, t := range []struct {
		col   column
		into  *string
		limit int
	}{{colPO, &r.fate.PO, 60}, {colReference, &r.fate.Reference, 60}, {colNote, &r.fate.Note, 400}} {
		text, m := readLine(r.sh.cell(r.row, t.col), t.limit)
		if m != nil {
			return r.fault(m, r.sh.index(t.col), t.col)
		}
		*t.into = text
	}
	return nil
}

// checkPickup holds the day against the customer's carrier.
func (r *lineReader) checkPickup(f figureAt) *domain.Fault {
	carrier := r.trade.customerOf[r.fate.Customer].Carrier
	if r.trade.calendar.PicksUp(carrier, r.fate.Day) {
		return nil
	}
	next, _ := r.trade.calendar.NextPickup(carrier, r.fate.Day)
	return r.fault(unread("no_pickup", "day", r.fate.Day, "carrier", r.trade.carriers.name(carrier), "next", next), f.dayCol, r.sh.day)
}

// alikeToNone refuses a line that asks for the same as an earlier one, and names
// both rows: which of them is meant nobody but the sender knows.
func (r *lineReader) alikeToNone() {
	key := alikeKey{r.fate.Customer, r.fate.Product, r.fate.Reference, r.fate.Day}
	if at, twice := r.alike[key]; twice {
		first := r.rows[at]
		f := cellFault(r.sh.table.Name, r.row.Number, -1, "", "rows_alike", "other", SheetPlace(first.Sheet, first.Row, -1, ""))
		r.fate.Fate, r.fate.Fault = FateRefused, &f
		return
	}
	r.alike[key] = len(r.rows)
}
