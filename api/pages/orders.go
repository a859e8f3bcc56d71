package pages

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// OrdersView is orders as a grid: customers down, and across the products of a
// day or the days of a week.
type OrdersView struct {
	Frame
	Week    bool
	First   domain.Day // the day, or the week's first
	Columns []ColumnView
	Rows    []RowView
	Sums    []int
	Notices []string
	Form    string
	Day     string // the address of the day's grid
	ByWeek  string // the address of the week's
	Earlier string
	Later   string
	Empty   bool // no customers or no products yet
	Late    bool // orders are closed: a change needs its reason
}

// ColumnView is one column: a product or a day.
type ColumnView struct {
	Product domain.Product
	Day     domain.Day
}

// RowView is one customer, in a week's grid with one product.
type RowView struct {
	Customer domain.Customer
	Product  domain.Product
	Begins   bool // the first row of its customer
	Cells    []CellView
	Sum      int
}

// CellView is one cell. Its name says whose it is and what the person saw.
type CellView struct {
	book.GridCell
	Name  string
	State book.LineState
	Typed string // what was typed and not stored; "": the cases
	Wrong string // why it was not
	Shut  bool   // the carrier does not come
	Label string
}

// Value is what stands in the cell's field.
func (c CellView) Value() string {
	switch {
	case c.Typed != "":
		return c.Typed
	case c.Cases == 0:
		return ""
	}
	return strconv.Itoa(int(c.Cases))
}

func (o *Office) registerOrders(e *echo.Echo) {
	e.GET("/orders", o.page(func(v *visit) error { return v.toNext("/orders/") }))
	e.GET("/orders/:day", o.page(func(v *visit) error { return v.dayGrid(http.StatusOK, nil, nil) }))
	e.POST("/orders/:day", o.page(func(v *visit) error { return v.saveGrid("/orders/", v.dayGrid) }))
	e.GET("/week/:day", o.page(func(v *visit) error { return v.weekGrid(http.StatusOK, nil, nil) }))
	e.GET("/p/cell", o.page((*visit).askCell))
	e.POST("/p/cell", o.page((*visit).putCell))
	e.POST("/week/:day", o.page(func(v *visit) error { return v.saveGrid("/week/", v.weekGrid) }))
}

// typed is what a grid sent and could not be stored, by the cells' names
// without what the person saw.
type typed map[string]string

// cellName names a cell in a form: whose it is, and what the person saw.
func cellName(customer, product string, day domain.Day, was domain.Cases) string {
	return strings.Join([]string{"cell", customer, product, day.String(), strconv.Itoa(int(was))}, "~")
}

// cellOf reads a cell's name and what was typed; nothing typed is none.
func cellOf(name, text string) (cell book.OrderCell, changed bool, err error) {
	parts := strings.Split(name, "~")
	if len(parts) != 5 || parts[0] != "cell" {
		return cell, false, nil
	}
	day, badDay := domain.ParseDay(parts[3])
	was, badWas := strconv.Atoi(parts[4])
	if badDay != nil || badWas != nil {
		return cell, false, nil
	}
	n := 0
	if text = strings.TrimSpace(text); text != "" {
		n = whole(text)
	}
	cell = book.OrderCell{Customer: parts[1], Product: parts[2], Pickup: day, Was: domain.Cases(was), Cases: domain.Cases(n)}
	if n < 0 {
		return cell, true, domain.Faults{{Place: name, Code: "between", Args: map[string]any{"min": 0, "max": domain.MaxCount}}}
	}
	return cell, n != was, nil
}

// place is a cell's name without what the person saw.
func placeOfCell(name string) string { return name[:max(0, strings.LastIndexByte(name, '~'))] }

// saveGrid stores the cells that were changed. Where one cannot be, none is, and
// the grid comes back with everything typed.
func (v *visit) saveGrid(address string, again func(int, []string, typed) error) error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	cells, kept, err := cellsOf(v.posted())
	if err == nil && len(cells) > 0 {
		err = v.office.Book.SetCells(v.ctx, v.who, cells, v.note())
	}
	if err == nil {
		return v.done(address+day.String(), "saved")
	}
	status, lines := v.formStatus(err)
	if status == 0 {
		return err
	}
	if errors.Is(err, domain.ErrStale) {
		lines = []string{v.say("page.grid.stale")}
	}
	return again(status, lines, kept)
}

// cellsOf reads the changed cells of a form, in the order of their names.
func cellsOf(form url.Values) (cells []book.OrderCell, kept typed, err error) {
	kept = typed{}
	names := make([]string, 0, len(form))
	for name := range form {
		names = append(names, name)
	}
	slices.Sort(names)
	var faults domain.Faults
	for _, name := range names {
		cell, changed, bad := cellOf(name, form.Get(name))
		if !changed {
			continue
		}
		kept[placeOfCell(name)] = cmp.Or(strings.TrimSpace(form.Get(name)), "0")
		if f, ok := bad.(domain.Faults); ok {
			faults = append(faults, f...)
		}
		cells = append(cells, cell)
	}
	return cells, kept, faults.Err()
}

func (v *visit) dayGrid(status int, wrong []string, kept typed) error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	g, err := v.office.Book.Grid(v.ctx, v.who, v.today, day, day)
	if err != nil {
		return err
	}
	view := v.gridView(g, day, kept)
	view.Title, view.Wrong = v.speech.Day(day), wrong
	view.Form, view.Late = "/orders/"+day.String(), v.closed(day)
	strip, err := v.pickupStrip(day, "/orders/")
	if err != nil {
		return err
	}
	view.Days = strip
	for _, p := range g.Products {
		view.Columns = append(view.Columns, ColumnView{Product: p, Day: day})
	}
	for _, c := range byTruck(g.Customers) {
		row := RowView{Customer: c, Begins: true}
		for _, p := range g.Products {
			row.add(v.cell(g, c, p, day, kept))
		}
		view.Rows = append(view.Rows, row)
	}
	view.sum()
	return v.show(status, "orders", view)
}

// pickupStrip is the coming pickup days with how they stand.
func (v *visit) pickupStrip(here domain.Day, address string) ([]DayMark, error) {
	states, days, err := v.office.Book.States(v.ctx, v.who, v.today)
	if err != nil {
		return nil, err
	}
	return v.strip(days, states, here, address), nil
}

func (v *visit) weekGrid(status int, wrong []string, kept typed) error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	first := day.Add(-int(day.Weekday()+6) % 7)
	g, err := v.office.Book.Grid(v.ctx, v.who, v.today, first, first.Add(6))
	if err != nil {
		return err
	}
	view := v.gridView(g, first, kept)
	_, week := first.ISOWeek()
	view.Week, view.Wrong, view.Form = true, wrong, "/week/"+first.String()
	view.Late = slices.ContainsFunc(g.Days, v.closed)
	view.Title = v.say("page.week.title", "week", week, "from", v.speech.ShortDay(first), "to", v.speech.ShortDay(first.Add(6)))
	view.Earlier, view.Later = "/week/"+first.Add(-7).String(), "/week/"+first.Add(7).String()
	for _, d := range g.Days {
		view.Columns = append(view.Columns, ColumnView{Day: d})
	}
	for _, c := range byTruck(g.Customers) {
		view.Rows = append(view.Rows, v.weekRows(g, c, kept)...)
	}
	view.sum()
	return v.show(status, "orders", view)
}

// weekRows are a customer's products that it asks for in the week, or all where
// it asks for none.
func (v *visit) weekRows(g *book.Grid, c domain.Customer, kept typed) (rows []RowView) {
	var others []RowView
	for _, p := range g.Products {
		row, asks := RowView{Customer: c, Product: p}, false
		for _, d := range g.Days {
			cell := v.cell(g, c, p, d, kept)
			asks = asks || cell.Cases > 0 || cell.Typed != "" || cell.Standing
			row.add(cell)
		}
		if asks {
			rows = append(rows, row)
		} else {
			others = append(others, row)
		}
	}
	if len(rows) == 0 && len(others) > 0 {
		rows = others[:1]
	}
	if len(rows) > 0 {
		rows[0].Begins = true
	}
	return rows
}

func (v *visit) gridView(g *book.Grid, first domain.Day, kept typed) OrdersView {
	view := OrdersView{Frame: v.frame("orders", ""), First: first, Empty: len(g.Customers) == 0 || len(g.Products) == 0,
		ByWeek: "/week/" + first.String(), Day: "/orders/" + first.String()}
	view.Wide = true
	for _, n := range g.Notices {
		view.Notices = append(view.Notices, v.say("page.notice."+n.Code, "customer", nameOf(g, n.Customer), "product", productOf(g, n.Product),
			"cases", int(n.Cases), "day", v.speech.Day(n.Day), "to", v.speech.Day(n.To)))
	}
	return view
}

func nameOf(g *book.Grid, code string) string {
	for _, c := range g.Customers {
		if c.Code == code {
			return c.Name
		}
	}
	return code
}

func productOf(g *book.Grid, code string) string {
	for _, p := range g.Products {
		if p.Code == code {
			return p.Name
		}
	}
	return code
}

func (v *visit) cell(g *book.Grid, c domain.Customer, p domain.Product, day domain.Day, kept typed) CellView {
	at := g.At(c.Code, p.Code, day)
	cell := CellView{GridCell: at, Name: cellName(c.Code, p.Code, day, at.Cases), State: at.State(), Shut: !g.Comes(c, day) && at.Cases == 0}
	cell.Label = v.say("page.cell.label", "customer", c.Name, "product", p.Name, "day", v.speech.Day(day))
	if text, there := kept[placeOfCell(cell.Name)]; there && text != strconv.Itoa(int(at.Cases)) {
		cell.Typed, cell.Wrong = text, v.say("page.cell.kept", "now", int(at.Cases), "typed", text)
	}
	return cell
}

func (r *RowView) add(c CellView) {
	r.Cells, r.Sum = append(r.Cells, c), r.Sum+int(c.Cases)
}

func (o *OrdersView) sum() {
	o.Sums = make([]int, len(o.Columns))
	for _, row := range o.Rows {
		for i, c := range row.Cells {
			o.Sums[i] += int(c.Cases)
		}
	}
}

// byTruck puts customers in the order of their trucks and stops.
func byTruck(customers []domain.Customer) []domain.Customer {
	list := slices.Clone(customers)
	slices.SortStableFunc(list, func(a, b domain.Customer) int {
		return cmp.Or(cmp.Compare(a.Carrier, b.Carrier), cmp.Compare(a.Stop, b.Stop), cmp.Compare(a.Name, b.Name))
	})
	return list
}
