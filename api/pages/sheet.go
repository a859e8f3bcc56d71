package pages

import (
	"errors"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"

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

// sheetLimit is the most bytes a dropped sheet may have.
const sheetLimit = 25 << 20

func (o *Office) registerSheet(e *echo.Echo) {
	e.GET("/sheet", o.page(func(v *visit) error { return v.sheet(http.StatusOK, nil) }))
	e.POST("/sheet", o.page((*visit).drop))
	e.GET("/sheet/:id", o.page(func(v *visit) error { return v.preview(http.StatusOK, nil) }))
	e.POST("/sheet/:id", o.page((*visit).take))
	e.GET("/sheet/:id/taking", o.page((*visit).takingPage))
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

// dropped is a sheet that was sent with a form.
type dropped struct {
	name    string
	content []byte
	tables  []book.Table
}

// readDropped reads the sheet that a form brings. A person is told of faults;
// other errors are the program's.
func (v *visit) readDropped() (d dropped, told []string, err error) {
	v.Request().Body = http.MaxBytesReader(v.Response(), v.Request().Body, sheetLimit)
	sent, err := v.FormFile("sheet")
	if err != nil || v.office.Read == nil {
		return d, []string{v.say("page.sheet.none")}, nil
	}
	file, err := sent.Open()
	if err != nil {
		return d, nil, err
	}
	defer func() { _ = file.Close() }()
	d.name = sent.Filename
	if d.content, err = io.ReadAll(file); err != nil {
		return d, nil, err
	}
	d.tables, err = v.office.Read(d.name, d.content)
	var faults domain.Faults
	if errors.As(err, &faults) {
		return d, v.refusal(faults), nil
	}
	return d, nil, err
}

// drop reads a dropped sheet and goes to what it would do.
func (v *visit) drop() error {
	d, told, err := v.readDropped()
	if err != nil {
		return err
	}
	if told != nil {
		return v.sheet(http.StatusUnprocessableEntity, told)
	}
	id, err := v.office.Book.DropSheet(v.ctx, v.who, d.name, d.content)
	if err != nil {
		return err
	}
	v.office.held.put(id, heldSheet{d.name, d.tables})
	return v.Redirect(http.StatusSeeOther, "/sheet/"+id)
}

// ParkedRowView is one row that waits for a person.
type ParkedRowView struct {
	Frame
	Parked  ParkedView
	Create  string // where a product is made of what the row calls one; "": nothing is to be made, or not by who asks
	Product string // the product there is by now of the name that the row says; ""
}

// newProduct is where a product that a sheet names is made, and from where its
// maker comes back; "" for who may not.
func (v *visit) newProduct(name, back string) string {
	if !slices.Contains(v.who.Rights, book.MayManage) {
		return ""
	}
	return "/products/new?" + url.Values{"name": {name}, "back": {back}}.Encode()
}

// mindProduct sees to a row that waits because nobody knew its product.
func (v *visit) mindProduct(view *ParkedRowView) error {
	fault := view.Parked.Row.Fault
	name, named := fault.Args["value"].(string)
	if !named || !strings.HasPrefix(fault.Code, "unknown_product") {
		return nil
	}
	l, err := v.lists()
	if err != nil {
		return err
	}
	if slices.ContainsFunc(l.Products, func(p domain.Product) bool { return p.Name == name }) {
		view.Product = name
		return nil
	}
	view.Create = v.newProduct(name, "/sheet/parked/"+view.Parked.Row.ID)
	return nil
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
			if err := v.mindProduct(&view); err != nil {
				return err
			}
			return v.show(status, "parked", view)
		}
	}
	return domain.Refuse(domain.ErrNotFound, "parked row", v.Param("id"))
}

func (v *visit) settle() error {
	_, err := v.office.Book.SettleParked(v.ctx, v.who, v.Param("id"), strings.TrimSpace(v.FormValue("done")), book.Note{Base: v.revision("base")})
	return v.changed(err, "/sheet", "settled", v.parkedRow)
}
