package pages

import (
	"crypto/rand"
	"errors"
	"net/http"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// PhoneView is a customer on the telephone: the usual, the last four pickups and
// the next, a line to type into, and a reply to paste.
type PhoneView struct {
	Frame
	ID       string // the next line's own, so that one sent twice is stored once
	Customer domain.Customer
	Pickup   domain.Day
	Pickups  []domain.Day // the days that can be chosen
	Past     []domain.Day
	Rows     []PhoneRow
	Typed    string
	Reply    string
	Form     string
	Products []domain.Product
	Never    bool // the carrier never comes
	Late     bool // orders are closed: a change needs its reason
}

// PhoneRow is one product of a customer.
type PhoneRow struct {
	Product domain.Product
	Usual   int // cases of its standing orders on the day
	Past    []int
	Cell    CellView
}

const (
	pastShown = 4  // pickups shown of those gone
	pastReach = 28 // days looked back for them
)

func (o *Office) registerPhone(e *echo.Echo) {
	e.GET("/customer/:code", o.page(func(v *visit) error { return v.phone(http.StatusOK, nil, "") }))
	e.POST("/customer/:code/entry", o.page((*visit).enter))
}

// pickupFor is the day a customer's page speaks of: the one in the address, or
// its carrier's next.
func (v *visit) pickupFor(c domain.Customer) (day domain.Day, choices []domain.Day, err error) {
	facts, err := v.office.Book.Facts(v.ctx, v.who, v.today)
	if err != nil {
		return 0, nil, err
	}
	cal := facts.Calendar()
	for d := v.today; len(choices) < 8 && d < v.today.Add(60); d++ {
		if cal.PicksUp(c.Carrier, d) {
			choices = append(choices, d)
		}
	}
	asked := v.QueryParam("day")
	if asked == "" {
		asked = v.FormValue("day")
	}
	if asked != "" {
		day, err = domain.ParseDay(asked)
		if err != nil {
			return 0, choices, domain.Refuse(domain.ErrNotFound, "pickup day", asked)
		}
		if !slices.Contains(choices, day) {
			choices = append(choices, day)
		}
		return day, choices, nil
	}
	if len(choices) > 0 {
		day = choices[0]
	}
	return day, choices, nil
}

func (v *visit) phone(status int, wrong []string, typed string) error {
	rec, err := v.office.Book.Customers.Get(v.ctx, v.who, v.Param("code"))
	if err != nil {
		return err
	}
	c := rec.Value
	day, choices, err := v.pickupFor(c)
	if err != nil {
		return err
	}
	view := PhoneView{Frame: v.frame("orders", c.Name), ID: rand.Text()[:16], Customer: c, Pickup: day, Pickups: choices, Typed: typed,
		Form: "/customer/" + c.Code + "/entry?day=" + day.String(), Never: day == 0}
	view.Wrong = wrong
	if day == 0 {
		return v.show(status, "phone", view)
	}
	g, err := v.office.Book.Grid(v.ctx, v.who, v.today, min(v.today, day).Add(-pastReach), max(day, v.today))
	if err != nil {
		return err
	}
	usual, err := v.office.Book.Usual(v.ctx, v.who, c.Code, day)
	if err != nil {
		return err
	}
	view.Past, view.Products = pastPickups(g, c, day), g.Products
	for _, p := range g.Products {
		row := PhoneRow{Product: p, Usual: int(usual[p.Code]), Cell: v.cell(g, c, p, day, nil)}
		any := row.Usual > 0 || row.Cell.Cases > 0
		for _, d := range view.Past {
			n := int(g.At(c.Code, p.Code, d).Cases)
			row.Past, any = append(row.Past, n), any || n > 0
		}
		if any {
			view.Rows = append(view.Rows, row)
		}
	}
	view.Reply, view.Late = v.reply(view), v.closed(day)
	return v.show(status, "phone", view)
}

// pastPickups are the last days before one on which a customer's carrier came,
// the latest first.
func pastPickups(g *book.Grid, c domain.Customer, before domain.Day) []domain.Day {
	var days []domain.Day
	for _, d := range g.Days {
		if d < before && g.Comes(c, d) {
			days = append(days, d)
		}
	}
	days = days[max(0, len(days)-pastShown):]
	slices.Reverse(days)
	return days
}

// reply is what to paste back into a message: what is put down for the day, and
// what is sure of it.
func (v *visit) reply(view PhoneView) string {
	var b strings.Builder
	b.WriteString(v.say("page.phone.reply.head", "day", v.speech.Day(view.Pickup)) + "\n")
	none := true
	for _, r := range view.Rows {
		if r.Cell.Cases == 0 {
			continue
		}
		none = false
		code := "page.phone.reply.line"
		switch {
		case !r.Cell.Planned:
			code = "page.phone.reply.ahead"
		case r.Cell.Firm == r.Cell.Cases:
			code = "page.phone.reply.sure"
		}
		b.WriteString(v.say(code, "n", int(r.Cell.Cases), "product", r.Product.Name, "sure", int(r.Cell.Firm), "all", int(r.Cell.Filled)) + "\n")
	}
	if none {
		b.WriteString(v.say("page.phone.reply.none") + "\n")
	}
	b.WriteString(view.Farm)
	return b.String()
}

// enter stores what was typed on the telephone.
func (v *visit) enter() error {
	rec, err := v.office.Book.Customers.Get(v.ctx, v.who, v.Param("code"))
	if err != nil {
		return err
	}
	c := rec.Value
	day, _, err := v.pickupFor(c)
	if err != nil {
		return err
	}
	line := v.FormValue("entry")
	if err = v.putLineDown(c, day, line); err == nil {
		return v.done("/customer/"+c.Code+"?day="+day.String(), "saved")
	}
	status, lines := v.formStatus(err)
	if status == 0 {
		return err
	}
	if errors.Is(err, domain.ErrStale) {
		lines = []string{v.say("page.grid.stale")}
	}
	return v.phone(status, lines, line)
}

// putLineDown stores what a line asks for, once, however often it is sent.
func (v *visit) putLineDown(c domain.Customer, day domain.Day, line string) error {
	ctx, done, err := v.once()
	if err != nil || done {
		return err
	}
	cells, err := v.entryCells(c, day, line)
	if err != nil {
		return err
	}
	return v.office.Book.SetCells(ctx, v.who, cells, v.note())
}

// entryCells turns a typed line into cells as they stand now.
func (v *visit) entryCells(c domain.Customer, day domain.Day, line string) ([]book.OrderCell, error) {
	g, err := v.office.Book.Grid(v.ctx, v.who, v.today, day, day)
	if err != nil {
		return nil, err
	}
	standing, err := v.office.Book.Usual(v.ctx, v.who, c.Code, day)
	if err != nil {
		return nil, err
	}
	var usual []string
	for _, p := range g.Products {
		if standing[p.Code] > 0 || g.At(c.Code, p.Code, day).Cases > 0 {
			usual = append(usual, p.Code)
		}
	}
	entries, faults := readEntries(line, g.Products, usual)
	if faults != nil {
		return nil, faults
	}
	var cells []book.OrderCell
	for _, e := range entries {
		was := g.At(c.Code, e.Product, day).Cases
		at := slices.IndexFunc(cells, func(x book.OrderCell) bool { return x.Product == e.Product })
		if at < 0 {
			at = len(cells)
			cells = append(cells, book.OrderCell{Customer: c.Code, Product: e.Product, Pickup: day, Was: was, Cases: was})
		}
		next := domain.Cases(e.Cases)
		if e.More {
			next += cells[at].Cases
		}
		cells[at].Cases = max(0, next)
	}
	return cells, nil
}
