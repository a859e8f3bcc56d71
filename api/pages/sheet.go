package pages

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// SheetView is the page on which an order sheet is dropped, with the rows of
// earlier ones that still wait.
type SheetView struct {
	Frame
	Parked []ParkedView
	Can    bool // a spreadsheet can be read
}

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
}

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
}

// ChangeView is one line of an order that will be other than it was.
type ChangeView struct {
	Customer, Product string
	Day               domain.Day
	Was, Now          int
}

// heldSheets is how many dropped sheets are kept in memory while their rows are
// looked at; a sheet that is gone is dropped again.
const heldSheets = 8

// sheetLimit is the most bytes a dropped sheet may have.
const sheetLimit = 25 << 20

// held keeps dropped sheets by their fingerprint.
type held struct {
	mu     sync.Mutex
	order  []string
	sheets map[string]heldSheet
}

type heldSheet struct {
	name   string
	tables []book.Table
}

func (h *held) put(id string, s heldSheet) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.sheets == nil {
		h.sheets = map[string]heldSheet{}
	}
	if _, there := h.sheets[id]; !there {
		h.order = append(h.order, id)
	}
	h.sheets[id] = s
	if len(h.order) > heldSheets {
		delete(h.sheets, h.order[0])
		h.order = h.order[1:]
	}
}

func (h *held) get(id string) (heldSheet, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	s, there := h.sheets[id]
	if !there {
		return s, domain.Refuse(domain.ErrNotFound, "sheet", id)
	}
	return s, nil
}

func (o *Office) registerSheet(e *echo.Echo) {
	e.GET("/sheet", o.page(func(v *visit) error { return v.sheet(http.StatusOK, nil) }))
	e.POST("/sheet", o.page((*visit).drop))
	e.GET("/sheet/:id", o.page(func(v *visit) error { return v.preview(http.StatusOK, nil) }))
	e.POST("/sheet/:id", o.page((*visit).take))
	e.GET("/sheet/parked/:id", o.page(func(v *visit) error { return v.parkedRow(http.StatusOK, nil) }))
	e.POST("/sheet/parked/:id", o.page((*visit).settle))
}

func (v *visit) sheet(status int, wrong []string) error {
	view := SheetView{Frame: v.frame("more", v.say("page.sheet.title")), Can: v.office.Read != nil}
	view.Wrong = wrong
	rows, err := v.office.Book.Parked(v.ctx, v.who, v.today.Add(-1))
	if err != nil {
		return err
	}
	for _, r := range rows {
		view.Parked = append(view.Parked, ParkedView{r.Value, r.Rev, sentence(v.speech.Fault(r.Value.Fault))})
	}
	return v.show(status, "sheet", view)
}

// drop reads a dropped sheet and goes to what it would do.
func (v *visit) drop() error {
	v.Request().Body = http.MaxBytesReader(v.Response(), v.Request().Body, sheetLimit)
	sent, err := v.FormFile("sheet")
	if err != nil || v.office.Read == nil {
		return v.sheet(http.StatusUnprocessableEntity, []string{v.say("page.sheet.none")})
	}
	file, err := sent.Open()
	if err != nil {
		return err
	}
	defer func() { _ = file.Close() }()
	content, err := io.ReadAll(file)
	if err != nil {
		return err
	}
	tables, err := v.office.Read(sent.Filename, content)
	var faults domain.Faults
	if errors.As(err, &faults) {
		return v.sheet(http.StatusUnprocessableEntity, v.refusal(faults))
	} else if err != nil {
		return err
	}
	sum := sha256.Sum256(content)
	id := hex.EncodeToString(sum[:8])
	v.office.held.put(id, heldSheet{sent.Filename, tables})
	return v.Redirect(http.StatusSeeOther, "/sheet/"+id)
}

// asked is how the person wants the sheet read.
func (v *visit) askedSheet(name string) book.OrderSheet {
	o := book.OrderSheet{Name: name, Sender: v.FormValue("sender"), Customer: v.FormValue("customer"), Mode: domain.OrderMode(v.FormValue("mode")),
		DayOrder: book.DayOrder(v.FormValue("day_order")), Park: v.FormValue("park") != "", NewCustomers: v.FormValue("new") != ""}
	o.Day, _ = domain.ParseDay(v.FormValue("day"))
	for _, field := range sortedNames(v.allValues()) {
		parts := strings.SplitN(field, "~", 3)
		if code := v.FormValue(field); len(parts) == 3 && parts[0] == "tie" && code != "" {
			o.Ties = append(o.Ties, book.Tie{Kind: parts[1], Name: parts[2], Code: code})
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

func (v *visit) preview(status int, wrong []string) error {
	s, err := v.office.held.get(v.Param("id"))
	if err != nil {
		return v.sheet(http.StatusNotFound, []string{v.say("page.sheet.gone")})
	}
	asked := v.askedSheet(s.name)
	p, err := v.office.Book.PreviewOrders(v.ctx, v.who, s.tables, asked)
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
		CanTake: !p.Already && len(p.Faults) == 0 && len(p.Orders)+p.Parked > 0}
	view.Wrong = wrong
	for _, order := range []book.DayOrder{book.DayMonthYear, book.MonthDayYear, book.YearMonthDay} {
		view.Choices = append(view.Choices, Pick{string(order), v.say("page.dayorder." + string(order))})
	}
	v.rowFates(&view, l)
	v.unknowns(&view, l)
	for _, c := range p.Changes {
		view.Changes = append(view.Changes, ChangeView{customerName(l, c.Customer), productName(l, c.Product), c.Day, int(c.Was), int(c.Now)})
	}
	for _, n := range p.Notes {
		view.Notes = append(view.Notes, v.speech.Place(n)+": "+v.speech.Fault(n))
	}
	return v.show(status, "preview", view)
}

func (v *visit) rowFates(view *PreviewView, l lists) {
	for _, f := range view.Preview.Faults {
		if f.In == nil || f.In.Row == 0 {
			view.Wrong = append(view.Wrong, v.speech.Place(f)+": "+sentence(v.speech.Fault(f)))
		}
	}
	for _, r := range view.Preview.Rows {
		row := FateView{Sheet: r.Sheet, Row: r.Row, Fate: string(r.Fate)}
		if r.Customer != "" {
			row.What = v.say("page.sheet.what", "customer", customerName(l, r.Customer), "cases", int(r.Cases), "product", productName(l, r.Product), "day", v.writer().brief(r.Day))
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
}

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
	}
	for _, t := range view.Asked.Ties {
		if !slices.ContainsFunc(view.Unknown, func(u UnknownView) bool { return u.Kind == t.Kind && u.Name == t.Name }) {
			view.Unknown = append(view.Unknown, UnknownView{Kind: t.Kind, Name: t.Name, Field: "tie~" + t.Kind + "~" + t.Name, Tied: t.Code, All: all[t.Kind]})
		}
	}
}

// take takes the sheet into the book as its page showed.
func (v *visit) take() error {
	s, err := v.office.held.get(v.Param("id"))
	if err != nil {
		return v.sheet(http.StatusNotFound, []string{v.say("page.sheet.gone")})
	}
	revision, err := strconv.ParseInt(v.FormValue("revision"), 10, 64)
	if err != nil {
		revision = book.NoBase
	}
	_, err = v.office.Book.TakeOrders(v.ctx, v.who, s.tables, v.askedSheet(s.name), revision)
	if err == nil {
		return v.done("/day", "taken")
	}
	status, lines := v.formStatus(err)
	if status == 0 {
		return err
	}
	if errors.Is(err, domain.ErrStale) {
		lines = []string{v.say("page.sheet.stale")}
	}
	return v.preview(status, lines)
}

// ParkedRowView is one row that waits for a person.
type ParkedRowView struct {
	Frame
	Parked ParkedView
}

func (v *visit) parkedRow(status int, wrong []string) error {
	rows, err := v.office.Book.Parked(v.ctx, v.who, 1)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if r.Value.ID == v.Param("id") {
			view := ParkedRowView{Frame: v.frame("more", v.say("page.parked.title")), Parked: ParkedView{r.Value, r.Rev, sentence(v.speech.Fault(r.Value.Fault))}}
			view.Wrong = wrong
			return v.show(status, "parked", view)
		}
	}
	return domain.Refuse(domain.ErrNotFound, "parked row", v.Param("id"))
}

func (v *visit) settle() error {
	base, err := strconv.ParseInt(v.FormValue("base"), 10, 64)
	if err != nil {
		base = book.NoBase
	}
	_, err = v.office.Book.SettleParked(v.ctx, v.who, v.Param("id"), strings.TrimSpace(v.FormValue("done")), book.Note{Base: base})
	if err == nil {
		return v.done("/sheet", "settled")
	}
	status, lines := v.formStatus(err)
	if status == 0 {
		return err
	}
	return v.parkedRow(status, lines)
}
