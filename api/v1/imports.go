package v1

import (
	"context"
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/api/words"
	"headtally/domain"
)

// imports take sheets into the book: a preview shows every row's fate and
// stores nothing, taking it names the revision of the preview in If-Match.
func (f *Face) imports() []edge.Route {
	return []edge.Route{
		{Method: http.MethodPost, Path: "/v1/imports/orders/preview", May: book.MayOrder, Limit: edge.SheetLimit, Handle: f.previewOrders},
		{Method: http.MethodPost, Path: "/v1/imports/orders", May: book.MayOrder, Limit: edge.SheetLimit, Handle: f.takeOrders},
		{Method: http.MethodGet, Path: "/v1/imports/orders/taking/{key}", May: book.MayOrder, Handle: f.orderTaking},
	}
}

// orderSheet reads an order sheet and how it is to be read.
func (f *Face) orderSheet(a *edge.Ask) (o book.OrderSheet, u upload, err error) {
	q := a.ReadQuery()
	o = book.OrderSheet{Layout: q.Text("layout"), Sender: q.Text("sender"), Keep: q.Truth("keep"), Sheet: q.Text("sheet"), Day: q.Day("day"), Customer: q.Text("customer"),
		DayOrder: dayOrder(q),
		Unit:     q.OneOf("unit", "cases", "heads", "dozens"), Mode: domain.OrderMode(q.OneOf("mode", string(domain.Add), string(domain.Replace))),
		Park: q.Truth("park"), NewCustomers: q.Truth("new_customers"), AsOf: q.Day("as_of"), Why: q.Text("why")}
	if days := q.Whole("days_after_pickup", 0, 30, -1); days >= 0 {
		o.DaysAfterPickup = &days
	}
	name := q.Text("name")
	if err := q.Err(); err != nil {
		return o, u, err
	}
	if u, err = readUpload(a, name); err != nil {
		return o, u, err
	}
	o.Name = u.name
	if u.options != nil {
		err = readSheetOptions(u.options, &o)
	}
	return o, u, err
}

// sheetOptions is what a form says in its part options.
type sheetOptions struct {
	Columns map[string]string `json:"columns"` // our column -> the sender's heading
	Ties    []tieDoc          `json:"ties" validate:"max=1000,dive"`
}

// tieDoc settles a name that the book does not know: a code of ours, or a new
// record.
type tieDoc struct {
	Kind     string           `json:"kind" validate:"oneof=customer product"`
	Name     string           `json:"name" validate:"required"`
	Code     string           `json:"code"`
	Customer *domain.Customer `json:"customer"`
	Product  *domain.Product  `json:"product"`
}

func readSheetOptions(text []byte, o *book.OrderSheet) error {
	var said sheetOptions
	if err := edge.DecodeJSON(text, &said); err != nil {
		return edge.Under("options", err)
	}
	if err := domain.Check(said).Err(); err != nil {
		return edge.Under("options", err)
	}
	o.Columns = said.Columns
	for _, t := range said.Ties {
		o.Ties = append(o.Ties, book.Tie(t))
	}
	return nil
}

func (f *Face) previewOrders(a *edge.Ask) (*edge.Answer, error) {
	o, u, err := f.orderSheet(a)
	if err != nil {
		return nil, err
	}
	tables, notes, err := f.tables(u)
	if err != nil {
		return nil, err
	}
	p, err := f.Book.PreviewOrders(a.Context(), a.Person, tables, o)
	if err != nil {
		return nil, err
	}
	doc, err := previewOf(p, notes, edge.Speech(a.Request))
	if err != nil {
		return nil, err
	}
	return preview(p.Revision, doc)
}

func (f *Face) takeOrders(a *edge.Ask) (*edge.Answer, error) {
	o, u, err := f.orderSheet(a)
	if err != nil {
		return nil, err
	}
	base, err := f.previewed(a, u.name)
	if err != nil {
		return nil, err
	}
	return once(f, a, []any{u.name, u.print(), o.Columns, o.Ties}, func(ctx context.Context) (*book.Taken, error) {
		return f.take(ctx, a, u, o, base)
	}, takenAnswer)
}

// take takes a sheet, and lets its sender see how far it is.
func (f *Face) take(ctx context.Context, a *edge.Ask, u upload, o book.OrderSheet, base int64) (taken *book.Taken, err error) {
	name, err := key(a)
	if err != nil {
		return nil, err
	}
	told, over := f.takings.begin(owned(a.Person, name))
	defer func() { over(taken != nil && err == nil) }()
	tables, _, err := f.tables(u)
	if err != nil {
		return nil, err
	}
	o.Progress = told
	taken, err = f.Book.TakeOrders(ctx, a.Person, tables, o, base)
	return taken, inSheet(err)
}

// takenDoc is what taking a sheet did.
type takenDoc struct {
	Sheet    domain.Sheet `json:"sheet"`
	Revision int64        `json:"revision"`
	Already  bool         `json:"already"`
	Added    int          `json:"added"`
	Changed  int          `json:"changed"`
	Removed  int          `json:"removed"`
	Parked   int          `json:"parked"`
}

func takenAnswer(t *book.Taken) (*edge.Answer, error) {
	return edge.JSON(http.StatusOK, takenDoc(*t))
}

// ordersPreview is what taking an order sheet would do.
type ordersPreview struct {
	Revision int64        `json:"revision"`
	Layout   string       `json:"layout,omitempty"` // the code of the layout it was read by
	Sheet    string       `json:"sheet"`            // the fingerprint of what it says
	Already  bool         `json:"already"`
	Rows     []rowDoc     `json:"rows"`
	Faults   []edge.Wrong `json:"faults"` // while there are any it cannot be taken
	Notes    []edge.Wrong `json:"notes"`
	Unknown  []unknownDoc `json:"unknown"`
	Orders   []rawJSON    `json:"orders"`
	Changes  []changeLine `json:"changes"`
	Parked   int          `json:"parked"`
}

type rowDoc struct {
	Sheet     string       `json:"sheet"`
	Row       int          `json:"row"`
	Column    string       `json:"column,omitempty"`
	Fate      book.Fate    `json:"fate"`
	Customer  string       `json:"customer,omitempty"`
	Product   string       `json:"product,omitempty"`
	Pickup    domain.Day   `json:"pickup,omitzero"`
	Cases     domain.Cases `json:"cases"`
	PO        string       `json:"purchase_order,omitempty"`
	Reference string       `json:"reference,omitempty"`
	Note      string       `json:"note,omitempty"`
	Fault     *edge.Wrong  `json:"fault,omitempty"`
}

type unknownDoc struct {
	Kind    string     `json:"kind"`
	Name    string     `json:"name"`
	Rows    []int      `json:"rows"`
	Count   int        `json:"count"`
	Nearest []namedDoc `json:"nearest"`
	New     bool       `json:"new"`
}

type namedDoc struct {
	Code string `json:"code"`
	Name string `json:"name"`
}

type changeLine struct {
	Order    string       `json:"order,omitempty"`
	Customer string       `json:"customer"`
	Product  string       `json:"product"`
	Day      domain.Day   `json:"pickup"`
	PO       string       `json:"purchase_order,omitempty"`
	Was      domain.Cases `json:"was"`
	Now      domain.Cases `json:"now"`
}

func previewOf(p *book.OrderPreview, notes domain.Faults, s *words.Speech) (*ordersPreview, error) {
	doc := &ordersPreview{Revision: p.Revision, Layout: p.Layout, Sheet: p.Sheet, Already: p.Already, Parked: p.Parked,
		Faults: edge.Wrongs(p.Faults, edge.InSheet, s), Notes: edge.Wrongs(append(notes, p.Notes...), edge.InSheet, s)}
	for _, r := range p.Rows {
		doc.Rows = append(doc.Rows, rowOf(r, s))
	}
	for _, u := range p.Unknown {
		one := unknownDoc{Kind: u.Kind, Name: u.Name, Rows: u.Rows, Count: u.Count, New: u.New}
		for _, n := range u.Nearest {
			one.Nearest = append(one.Nearest, namedDoc(n))
		}
		doc.Unknown = append(doc.Unknown, one)
	}
	for _, o := range p.Orders {
		text, err := edge.Marshal(o)
		if err != nil {
			return nil, err
		}
		doc.Orders = append(doc.Orders, text)
	}
	for _, c := range p.Changes {
		doc.Changes = append(doc.Changes, changeLine(c))
	}
	return doc, nil
}

func rowOf(r book.RowFate, s *words.Speech) rowDoc {
	doc := rowDoc{Sheet: r.Sheet, Row: r.Row, Column: r.Column, Fate: r.Fate, Customer: r.Customer, Product: r.Product,
		Pickup: r.Day, Cases: r.Cases, PO: r.PO, Reference: r.Reference, Note: r.Note}
	if r.Fault != nil {
		doc.Fault = &edge.Wrongs(domain.Faults{*r.Fault}, edge.InSheet, s)[0]
	}
	return doc
}
