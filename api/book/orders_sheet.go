package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"

	"headtally/domain"
	"headtally/domain/store"
)

// OrderSheet is how an order sheet is to be read where it does not say so
// itself, and what is to become of it.
type OrderSheet struct {
	Name   string // of the file
	Sender string // who sends such sheets; a later one of the same sender stands instead of an earlier one's orders of its days
	Layout string // the code of the sender's layout; left out: the one whose headings the sheet has
	Sheet  string // read only the sheet of this name

	DayOrder        DayOrder
	DaysAfterPickup *int              // the stated day is the arrival, so many days after pickup
	Day             domain.Day        // the pickup day, where the sheet has no column for it
	Customer        string            // who orders, where the sheet has no column for it
	Unit            string            // of an unnamed quantity: "" or "cases", "heads", "dozens"
	Columns         map[string]string // our column -> the sender's heading
	Mode            domain.OrderMode  // beside the standing orders, or instead of them; left out: beside

	Park         bool // rows that cannot be read are kept for a person instead of stopping the rest
	NewCustomers bool // an unknown customer is a new one
	Keep         bool // how it was read is the sender's layout from now on
	Ties         []Tie

	AsOf     domain.Day            // days before it are past; left out: today
	Progress func(done, total int) // told now and then while orders are written
	Why      string
	Late     Late // why orders of a closed pickup are changed, where they are
}

// OrderPreview is what taking an order sheet would do.
type OrderPreview struct {
	Revision int64      // the book it was made from; taking it on another is refused
	Sheet    string     // the file's fingerprint
	Layout   string     // the code of the layout it was read by
	Read     OrderSheet // how it was read: as was told, else as the layout says
	Already  bool       // the same file was taken before: taking it changes nothing
	Rows     []RowFate
	Faults   domain.Faults // what stops the import: of the sheets, then of their rows
	Notes    domain.Faults // what was passed over
	Unknown  []Unknown
	Orders   []domain.Order // as they will stand
	Changes  []LineChange
	Parked   int
	Headings []string // that the sheet seems to have, to choose ours from

	made      []plannedOrder
	replaced  map[string]bool // earlier sheets whose orders are changed
	customers []domain.Customer
	products  []domain.Product
	layout    *Record[domain.Layout]
	headings  map[string]string // of the first sheet with orders: our column -> its heading
}

// Taken is what taking a sheet did.
type Taken struct {
	Sheet    domain.Sheet
	Revision int64 // of the book afterwards
	Already  bool  // nothing was changed, for the same file was taken before
	Added    int   // orders
	Changed  int
	Removed  int
	Parked   int
}

// PreviewOrders reads order sheets and tells every row's fate. It changes
// nothing.
func (b *Book) PreviewOrders(ctx context.Context, who Person, tables []Table, o OrderSheet) (*OrderPreview, error) {
	if err := who.ask(MayOrder); err != nil {
		return nil, err
	}
	if err := o.check(); err != nil {
		return nil, err
	}
	o, err := b.asOfToday(ctx, o)
	if err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*OrderPreview, error) { return previewOrders(tx, tables, o) })
}

// TakeOrders takes order sheets into the book in one transaction, as the
// preview of that revision showed. Sheets with a fault are refused with all of
// them, and nothing is changed.
func (b *Book) TakeOrders(ctx context.Context, who Person, tables []Table, o OrderSheet, previewed int64) (*Taken, error) {
	if err := who.ask(MayOrder); err != nil {
		return nil, err
	}
	if err := o.check(); err != nil {
		return nil, err
	}
	o, err := b.asOfToday(ctx, o)
	if err != nil {
		return nil, err
	}
	note := Note{Why: cmp.Or(o.Why, o.Name), Late: o.Late}
	return change(ctx, b, who, note, func(tx *store.Tx) (*Taken, error) {
		p, err := previewOrders(tx, tables, o)
		if err != nil {
			return nil, err
		}
		return takeSheet(tx, looked{p.Sheet, o.Name, p.Already, p.Faults}, previewed,
			func(before domain.Sheet) *Taken { return &Taken{Sheet: before, Revision: tx.Revision, Already: true} },
			func() (*Taken, error) { return b.takeLooked(ctx, tx, p, o) })
	})
}

// takeLooked writes what a preview shows, and the layout it was read by.
func (b *Book) takeLooked(ctx context.Context, tx *store.Tx, p *OrderPreview, o OrderSheet) (*Taken, error) {
	taken, err := p.take(ctx, tx, o)
	if err != nil || !o.Keep {
		return taken, err
	}
	return taken, b.keepLayout(tx, p, o)
}

func (o *OrderSheet) check() error {
	var faults domain.Faults
	oneOf := func(place, value string, allowed ...string) {
		if value != "" && !slices.Contains(allowed, value) {
			faults.Add(place, "one_of", "allowed", allowed)
		}
	}
	if o.Keep && o.Sender == "" && o.Layout == "" {
		faults.Add("sender", "required")
	}
	oneOf("mode", string(o.Mode), string(domain.Add), string(domain.Replace))
	oneOf("unit", o.Unit, string(colCases), string(colHeads), string(colDozens))
	oneOf("day_order", string(o.DayOrder), string(DayMonthYear), string(MonthDayYear), string(YearMonthDay))
	if o.DaysAfterPickup != nil && (*o.DaysAfterPickup < 0 || *o.DaysAfterPickup > 30) {
		faults.Add("days_after_pickup", "between", "min", 0, "max", 30)
	}
	for col := range o.Columns {
		if orderColumns[column(col)] == nil {
			faults.Add("columns", "unknown", "what", "column", "value", col)
		}
	}
	return faults.Err()
}

func (b *Book) asOfToday(ctx context.Context, o OrderSheet) (OrderSheet, error) {
	if o.AsOf != 0 {
		return o, nil
	}
	var err error
	o.AsOf, err = b.Today(ctx)
	return o, err
}

func previewOrders(tx *store.Tx, tables []Table, o OrderSheet) (*OrderPreview, error) {
	p := &OrderPreview{Revision: tx.Revision, Sheet: fingerprint(tables), replaced: map[string]bool{}}
	var err error
	if p.Already, err = takenBefore(tx, p.Sheet); err != nil {
		return nil, err
	}
	t, err := tradeOf(tx)
	if err != nil {
		return nil, err
	}
	if p.layout, err = layoutFor(tx, tables, o); err != nil {
		return nil, err
	}
	if p.layout != nil {
		o = o.By(&p.layout.Value)
		t.learn(&p.layout.Value)
		p.Layout = p.layout.Value.Code
	}
	o.Mode = cmp.Or(o.Mode, domain.Add)
	p.Read = o
	s := readOrderSheets(t, tables, o)
	p.Rows, p.Notes, p.customers, p.products, p.headings = s.rows, s.notes, s.fresh, s.cases, s.headings
	p.Headings = headingsSeen(tables, o)
	p.Faults = append(p.Faults, s.faults...)
	for _, r := range s.rows {
		switch r.Fate {
		case FateRefused:
			p.Faults = append(append(p.Faults, *r.Fault), r.more...)
		case FateParked:
			p.Parked++
		}
	}
	p.Unknown = append(t.customers.missed(), t.products.missed()...)
	p.group(t, o)
	if p.Already {
		return p, nil
	}
	return p, p.compare(tx, t, o)
}

// orderKey is what rows share that are one order.
type orderKey struct {
	customer      string
	day           domain.Day
	po, reference string
}

func keyOf(o *domain.Order) orderKey { return orderKey{o.Customer, o.Pickup, o.PO, o.Reference} }

// plannedOrder is an order as it will stand, with the record it changes, if any.
type plannedOrder struct {
	order domain.Order
	row   int // place of its first row in Rows
	was   *Record[domain.Order]
	ended bool // it is taken out
}

// group makes the orders of the rows: those of one customer, day, purchase order
// and reference are one order.
func (p *OrderPreview) group(t *trade, o OrderSheet) {
	places := map[orderKey]int{}
	for i, r := range p.Rows {
		if r.Fate != FateLine {
			continue
		}
		key := orderKey{r.Customer, r.Day, r.PO, r.Reference}
		at, there := places[key]
		if !there {
			at = len(p.made)
			places[key] = at
			p.made = append(p.made, plannedOrder{row: i, order: domain.Order{Customer: r.Customer, Pickup: r.Day, Mode: o.Mode, PO: r.PO, Reference: r.Reference}})
		}
		order := &p.made[at].order
		order.Lines = append(order.Lines, domain.OrderLine{Product: r.Product, Cases: r.Cases, AllOrNone: t.customerOf[r.Customer].AllOrNone})
		order.Note = joinNotes(order.Note, r.Note)
	}
	for _, m := range p.made {
		for _, f := range m.order.Check() {
			r := p.Rows[m.row]
			p.Faults = append(p.Faults, located(SheetPlace(r.Sheet, r.Row, -1, f.Place), f))
		}
		p.Orders = append(p.Orders, m.order)
	}
}

// joinNotes puts a row's note to its order's, once.
func joinNotes(note, more string) string {
	if more == "" || note == more {
		return note
	}
	if note == "" {
		return more
	}
	return note + "; " + more
}

// progressEvery is how many orders are written between two reports.
const progressEvery = 200

// take writes what the preview shows.
func (p *OrderPreview) take(ctx context.Context, tx *store.Tx, o OrderSheet) (*Taken, error) {
	taken := &Taken{Revision: tx.Next, Parked: p.Parked, Sheet: domain.Sheet{ID: p.Sheet, Name: o.Name, Kind: domain.OrderSheetKind, Sender: p.Read.Sender, Taken: tx.Now, Rows: len(p.Rows), Parked: p.Parked}}
	if err := p.makeNew(tx); err != nil {
		return nil, err
	}
	if err := p.writeOrders(ctx, tx, o, taken); err != nil {
		return nil, err
	}
	if err := keepTies(tx, p.layout, o.Ties, p.customers, p.products); err != nil {
		return nil, err
	}
	if err := p.park(tx); err != nil {
		return nil, err
	}
	return taken, storeSheet(tx, taken.Sheet)
}

// writeOrders stores the orders as they will stand, and says of earlier sheets
// that theirs were changed.
func (p *OrderPreview) writeOrders(ctx context.Context, tx *store.Tx, o OrderSheet, taken *Taken) error {
	id := orderNumbers(tx, len(p.made))
	for i := range p.made {
		if err := ctx.Err(); err != nil {
			return err
		}
		m := &p.made[i]
		if err := m.write(tx, id, taken); err != nil {
			return err
		}
		if !m.ended {
			taken.Sheet.Orders = append(taken.Sheet.Orders, m.order.ID)
		}
		if o.Progress != nil && (i%progressEvery == progressEvery-1 || i == len(p.made)-1) {
			o.Progress(i+1, len(p.made))
		}
	}
	for sheet := range p.replaced {
		if err := markReplaced(tx, sheet, p.Sheet); err != nil {
			return err
		}
	}
	return nil
}

// makeNew stores the customers and products that the sheet brings.
func (p *OrderPreview) makeNew(tx *store.Tx) error {
	for i := range p.products {
		faults, err := checkProduct(tx, &p.products[i], nil)
		if err != nil || faults != nil {
			return firstOf(err, faults)
		}
		if _, err := store.Products.Create(tx, p.products[i]); err != nil {
			return err
		}
	}
	for i := range p.customers {
		faults, err := checkCustomer(tx, &p.customers[i], nil)
		if err != nil || faults != nil {
			return firstOf(err, faults)
		}
		if _, err := store.Customers.Create(tx, p.customers[i]); err != nil {
			return err
		}
	}
	return nil
}

func firstOf(err error, faults domain.Faults) error {
	if err != nil {
		return err
	}
	return faults.Err()
}

// orderNumbers gives the codes of a sheet's orders: the book's revision and a
// number of so many digits that their order as text is that of the sheet, which
// is how equals rank.
func orderNumbers(tx *store.Tx, orders int) func() string {
	n, digits := 0, len(strconv.Itoa(orders))
	return func() string {
		n++
		return fmt.Sprintf("O%d.%0*d", tx.Next, digits, n)
	}
}

// write stores one order, or takes it out.
func (m *plannedOrder) write(tx *store.Tx, id func() string, taken *Taken) error {
	switch {
	case m.ended:
		taken.Removed++
		_, err := store.Orders.End(tx, m.was.Value.ID, m.was.Rev)
		return err
	case m.was == nil:
		taken.Added++
		m.order.ID = id()
		if m.order.Received.IsZero() {
			m.order.Received = tx.Now
		}
		_, err := store.Orders.Create(tx, m.order)
		return err
	}
	m.order.ID, m.order.Received = m.was.Value.ID, m.was.Value.Received
	if raised(&m.was.Value, &m.order) {
		m.order.Received = tx.Now
	}
	rec, err := store.Orders.Replace(tx, m.order, m.was.Rev)
	if rec.Rev != m.was.Rev {
		taken.Changed++
	}
	return err
}

// raised says whether an order asks for more of something than it did.
func raised(was, now *domain.Order) bool {
	had := map[string]domain.Cases{}
	for _, l := range was.Lines {
		had[l.Product] = l.Cases
	}
	return slices.ContainsFunc(now.Lines, func(l domain.OrderLine) bool { return l.Cases > had[l.Product] })
}

func markReplaced(tx *store.Tx, sheet, by string) error {
	rec, err := store.Sheets.Get(tx, sheet)
	if err != nil || sheet == by {
		return err
	}
	rec.Value.ReplacedBy = by
	_, err = store.Sheets.Replace(tx, rec.Value, rec.Rev)
	return err
}
