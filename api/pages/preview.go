package pages

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"headtally/api/book"
	"headtally/domain"
)

// PreviewView is what taking an order sheet would do, before it is taken.
type PreviewView struct {
	Frame
	Form     string
	Revision int64
	Preview  *book.OrderPreview
	Rows     []FateView
	Fates    []FateCount
	Unknown  []UnknownView
	Changes  []ChangeView
	Notes    []string
	Asked    book.OrderSheet
	Choices  []Pick // of the order of a date's parts
	CanTake  bool
	Late     bool // orders are closed: a change needs its reason
	More     int  // rows that are not shown

	Layout   string   // the sender's whose layout it was read by
	How      []string // what was told of reading it, by the layout or the person
	Layouts  []Pick
	Units    []Pick
	Theirs   []HeadingView
	Headings []string // that the sheet has
}

// HeadingView is one of our columns, and the sheet's heading that was told for it.
type HeadingView struct{ Column, Name, Field, Told string }

// FateView is one row of a sheet and what becomes of it.
type FateView struct {
	Sheet string
	Row   int
	Fate  string
	What  string
	Why   string
}

// FateCount is how many rows meet one fate.
type FateCount struct {
	Fate string
	N    int
}

// UnknownView is a name that is not ours, with ours that may be meant.
type UnknownView struct {
	Kind, Name, Field string
	Count             int
	Tied              string
	Near, All         []book.Named
	New               bool
	Create            string // where a product of this name is made; ""
}

// ChangeView is one line of an order that will be other than it was.
type ChangeView struct {
	Customer, Product string
	Day               domain.Day
	Was, Now          int
}

// askedSheet is how the person wants the sheet read.
func (v *visit) askedSheet(name string) book.OrderSheet {
	r := &reader{Values: v.allValues()}
	o := book.OrderSheet{Name: name, Layout: r.text("layout"), Sender: r.text("sender"), Sheet: r.text("sheetname"), Customer: r.text("customer"),
		Mode: domain.OrderMode(r.Get("mode")), DayOrder: book.DayOrder(r.Get("day_order")), DaysAfterPickup: r.maybe("after"), Unit: r.Get("unit"),
		Day: r.day("day"), Park: r.Get("park") != "", NewCustomers: r.Get("new") != "", Keep: r.Get("keep") != "", Late: book.Late(r.Get("late"))}
	for _, field := range sortedNames(r.Values) {
		parts, value := strings.SplitN(field, "~", 3), r.text(field)
		switch {
		case value == "":
		case len(parts) == 3 && parts[0] == "tie":
			o.Ties = append(o.Ties, book.Tie{Kind: parts[1], Name: parts[2], Code: value})
		case len(parts) == 2 && parts[0] == "theirs":
			if o.Columns == nil {
				o.Columns = map[string]string{}
			}
			o.Columns[parts[1]] = value
		}
	}
	return o
}

func (v *visit) allValues() url.Values {
	_ = v.posted()
	return v.Request().Form
}

func sortedNames(values url.Values) []string {
	names := make([]string, 0, len(values))
	for name := range values {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// preview shows what taking a sheet would do, read as the form asks.
func (v *visit) preview(status int, wrong []string) error {
	s, err := v.heldSheet()
	if err != nil {
		return v.sheet(http.StatusNotFound, []string{v.say("page.sheet.gone")})
	}
	return v.previewAs(s, v.askedSheet(s.name), status, wrong)
}

func (v *visit) previewAs(s heldSheet, asked book.OrderSheet, status int, wrong []string) error {
	looked := asked
	looked.Keep = false // it is asked for when the sheet is taken
	p, err := v.office.Book.PreviewOrders(v.ctx, v.who, s.tables, looked)
	var faults domain.Faults
	if errors.As(err, &faults) {
		return v.sheet(http.StatusUnprocessableEntity, v.refusal(faults))
	} else if err != nil {
		return err
	}
	l, err := v.lists()
	if err != nil {
		return err
	}
	view := PreviewView{Frame: v.frame("more", s.name), Form: "/sheet/" + v.Param("id"), Revision: p.Revision, Preview: p, Asked: asked,
		CanTake: !p.Already && len(p.Faults) == 0 && len(p.Orders)+p.Parked > 0, Late: v.anyClosed(p.Orders)}
	view.Wrong = wrong
	if err := v.reading(&view); err != nil {
		return err
	}
	v.rowFates(&view, l)
	v.unknowns(&view, l)
	for _, c := range p.Changes {
		view.Changes = append(view.Changes, ChangeView{customerName(l, c.Customer), productName(l, c.Product), c.Day, int(c.Was), int(c.Now)})
	}
	notes := p.Notes
	if len(p.Rows) == 0 {
		notes = slices.Concat(p.Faults, p.Notes) // the sheet itself cannot be read; no row tells why
	}
	for _, n := range notes {
		view.Notes = append(view.Notes, v.speech.Place(n)+": "+v.speech.Fault(n))
	}
	return v.show(status, "preview", view)
}

// anyClosed says whether the pickup of one of the orders is closed.
func (v *visit) anyClosed(orders []domain.Order) bool {
	closed := map[domain.Day]bool{}
	for _, o := range orders {
		is, asked := closed[o.Pickup]
		if !asked && o.Pickup <= v.today.Add(book.ClosedReach) {
			is = v.closed(o.Pickup)
		}
		if closed[o.Pickup] = is; is {
			return true
		}
	}
	return false
}

func (v *visit) rowFates(view *PreviewView, l lists) {
	for _, f := range view.Preview.Faults {
		if f.In == nil || f.In.Row == 0 {
			view.Wrong = append(view.Wrong, v.speech.Place(f)+": "+sentence(v.speech.Fault(f)))
		}
	}
	for i := range view.Preview.Rows {
		r := &view.Preview.Rows[i]
		row := FateView{Sheet: r.Sheet, Row: r.Row, Fate: string(r.Fate)}
		if r.Customer != "" && r.Product != "" {
			row.What = v.say("page.sheet.what", "customer", customerName(l, r.Customer), "cases", int(r.Cases), "product", productName(l, r.Product), "day", v.speech.ShortDay(r.Day))
		}
		if r.Fault != nil {
			row.Why = sentence(v.speech.Fault(*r.Fault))
		}
		view.Rows = append(view.Rows, row)
		at := slices.IndexFunc(view.Fates, func(c FateCount) bool { return c.Fate == row.Fate })
		if at < 0 {
			at = len(view.Fates)
			view.Fates = append(view.Fates, FateCount{Fate: row.Fate})
		}
		view.Fates[at].N++
	}
	slices.SortStableFunc(view.Rows, func(a, b FateView) int { return cmp.Compare(gravity(a.Fate), gravity(b.Fate)) })
	view.More = max(0, len(view.Rows)-rowsShown)
	view.Rows = view.Rows[:min(len(view.Rows), rowsShown)]
}

// rowsShown is the most rows of a sheet that a page lists; those that need a
// person come first.
const rowsShown = 500

// gravity puts rows that need a person before the others.
func gravity(fate string) int {
	switch book.Fate(fate) {
	case book.FateRefused:
		return 0
	case book.FateParked:
		return 1
	case book.FateLine:
		return 2
	}
	return 3
}

// unknowns lists the names to tie, also those tied already.
func (v *visit) unknowns(view *PreviewView, l lists) {
	all := map[string][]book.Named{}
	for _, c := range l.Customers {
		all["customer"] = append(all["customer"], book.Named{Code: c.Code, Name: c.Name})
	}
	for _, p := range l.Products {
		all["product"] = append(all["product"], book.Named{Code: p.Code, Name: p.Name})
	}
	for _, u := range view.Preview.Unknown {
		view.Unknown = append(view.Unknown, UnknownView{Kind: u.Kind, Name: u.Name, Field: "tie~" + u.Kind + "~" + u.Name, Count: u.Count,
			Near: u.Nearest, All: all[u.Kind], New: u.New})
		if u.Kind == "product" {
			view.Unknown[len(view.Unknown)-1].Create = v.newProduct(u.Name, v.Request().URL.RequestURI())
		}
	}
	for _, t := range view.Asked.Ties {
		if !slices.ContainsFunc(view.Unknown, func(u UnknownView) bool { return u.Kind == t.Kind && u.Name == t.Name }) {
			view.Unknown = append(view.Unknown, UnknownView{Kind: t.Kind, Name: t.Name, Field: "tie~" + t.Kind + "~" + t.Name, Tied: t.Code, All: all[t.Kind]})
		}
	}
}
