package pages

import (
	"errors"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// FirstView is the six questions of a farm that has just begun, with how far it
// has come.
type FirstView struct {
	Frame
	Steps []FirstStep
	Next  FirstStep
	Form  *Form
	Done  bool
}

// FirstStep is one of the six questions.
type FirstStep struct {
	N       int
	Code    string
	Address string
	Done    bool
	Here    bool
}

func (o *Office) registerFirst(e *echo.Echo) {
	e.GET("/first", o.page(func(v *visit) error { return v.first(http.StatusOK, nil, nil) }))
	e.POST("/first", o.page((*visit).saveFirst))
}

// steps are the six questions in their order, and the book's answers so far.
func (v *visit) steps() (list []FirstStep, err error) {
	f, err := v.office.Book.Facts(v.ctx, v.who, v.today)
	if err != nil {
		return nil, err
	}
	named := f.Farm.Name != ""
	list = []FirstStep{
		{Code: "varieties", Done: len(f.Varieties) > 0, Address: "/first"},
		{Code: "days", Done: len(f.Carriers) > 0 && named, Address: "/first"},
		{Code: "cases", Done: len(f.Products) > 0, Address: "/products/new"},
		{Code: "ready", Done: len(f.Counts) > 0, Address: "/beds/walk"},
		{Code: "customers", Done: len(f.Customers) > 0, Address: "/customers/new"},
		{Code: "orders", Done: len(f.Orders) > 0 || len(f.Standing) > 0, Address: "/orders"},
	}
	for i := range list {
		list[i].N = i + 1
	}
	return list, nil
}

func (v *visit) first(status int, form *Form, wrong []string) error {
	steps, err := v.steps()
	if err != nil {
		return err
	}
	view := FirstView{Frame: v.frame("more", v.say("page.first.title")), Steps: steps, Done: true, Form: form}
	view.Wrong = wrong
	for i := range view.Steps {
		if !view.Steps[i].Done {
			view.Steps[i].Here, view.Next, view.Done = true, view.Steps[i], false
			break
		}
	}
	if view.Form == nil && !view.Done && view.Next.Address == "/first" {
		view.Form = v.firstForm(view.Next.Code, nil)
	}
	return v.show(status, "first", view)
}

// firstForm is the form of one of the first two questions.
func (v *visit) firstForm(code string, r *reader) *Form {
	if r == nil {
		r = &reader{}
	}
	if code == "varieties" {
		return &Form{Action: "/first", Fields: []Field{needed(kinded("area", "varieties", "first.varieties", r.Get("varieties"))),
			count("heads_per_raft", "heads_per_raft", v.or(r, "heads_per_raft", int(v.farm.HeadsPerRaft)))}}
	}
	harvest, pickups := v.weekdayTicks("harvest_days", "harvest_days", v.farm.Harvest), v.weekdayTicks("pickups", "pickups", 0)
	if r.Has("carrier") {
		harvest.Ticked, pickups.Ticked = r.Values["harvest_days"], r.Values["pickups"]
	}
	zone := text("zone", "zone", v.farm.Zone)
	if r.Has("zone") {
		zone.Value = r.Get("zone")
	}
	return &Form{Action: "/first", Fields: []Field{needed(text("name", "first.farm", r.Get("name"))), zone,
		v.choice("language", "language", v.farm.Language, "en", "es"), v.choice("units", "units", v.farm.Units, "us", "metric"),
		harvest, needed(text("carrier", "first.carrier", r.Get("carrier"))), pickups}}
}

func (v *visit) or(r *reader, name string, usual int) int {
	if n := r.maybe(name); n != nil {
		return *n
	}
	return usual
}

func (v *visit) saveFirst() error {
	r := &reader{Values: v.posted()}
	var err error
	code := "days"
	if r.Has("varieties") {
		code, err = "varieties", v.firstVarieties(r)
	} else {
		err = v.firstDays(r)
	}
	if err == nil {
		return v.done("/first", "saved")
	}
	var faults domain.Faults
	if !errors.As(err, &faults) {
		return err
	}
	form := v.firstForm(code, r)
	rest := form.mind(v, faults)
	return v.first(http.StatusUnprocessableEntity, form, append([]string{v.say("page.form.faults", "n", len(faults))}, rest...))
}

// firstVarieties stores the varieties, one a line.
func (v *visit) firstVarieties(r *reader) error {
	heads := (*domain.Heads)(r.maybe("heads_per_raft"))
	if err := r.faults.Err(); err != nil {
		return err
	}
	names := lines(r.Get("varieties"))
	if len(names) == 0 {
		return domain.Faults{{Place: "varieties", Code: "required"}}
	}
	list := make([]domain.Variety, len(names))
	for i, name := range names {
		list[i] = domain.Variety{Name: name, HeadsPerRaft: heads}
	}
	return under("varieties", v.office.Book.CreateVarieties(v.ctx, v.who, list))
}

func (v *visit) firstDays(r *reader) error {
	rec, err := v.office.Book.Farm(v.ctx)
	if err != nil {
		return err
	}
	f := rec.Value
	f.Name, f.Zone, f.Language, f.Units, f.Harvest = r.text("name"), r.text("zone"), r.text("language"), r.text("units"), r.weekdays("harvest_days")
	if f.Units == "metric" {
		f.Paper = "a4"
	}
	carrier := domain.Carrier{Name: r.text("carrier"), Pickups: r.weekdays("pickups"), Hour: 9 * 60, CutoffDays: 1, CutoffHour: 14 * 60}
	faults := r.faults
	if f.Name == "" {
		faults.Add("name", "required")
	}
	if carrier.Name == "" {
		faults.Add("carrier", "required")
	}
	if carrier.Pickups == 0 {
		faults.Add("pickups", "required")
	}
	if err := faults.Err(); err != nil {
		return err
	}
	if _, err := v.office.Book.SetFarm(v.ctx, v.who, f, book.Note{Base: rec.Rev}); err != nil {
		return err
	}
	_, err = v.office.Book.Carriers.Create(v.ctx, v.who, carrier, book.Note{})
	return err
}

// lines are the lines of a text that hold anything.
func lines(text string) (list []string) {
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line != "" {
			list = append(list, line)
		}
	}
	return list
}

// under puts every fault to one field.
func under(field string, err error) error {
	var faults domain.Faults
	if !errors.As(err, &faults) {
		return err
	}
	for i := range faults {
		faults[i].Place = field
	}
	return faults
}
