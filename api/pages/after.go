package pages

import (
	"errors"
	"net/http"

	"github.com/labstack/echo/v4"

	"headtally/domain"
)

// AfterView is what can be told of a day's pickups once they are over: a truck
// that did not come, and cases that came back.
type AfterView struct {
	Frame
	Pickup   domain.Day
	Carriers []GoneView
	Back     Form
	Missing  string // what must be told before any case can come back; "": nothing
}

// GoneView is one carrier of the day, and the days on which it comes next.
type GoneView struct {
	Code, Name string
	Next       []domain.Day
}

func (o *Office) registerAfter(e *echo.Echo) {
	e.GET("/after", o.page((*visit).lastPickup))
	e.GET("/after/:day", o.page(func(v *visit) error { return v.after(http.StatusOK, nil, nil) }))
	e.POST("/after/:day/not-collected", o.page((*visit).notCollected))
	e.POST("/after/:day/came-back", o.page((*visit).cameBack))
}

// lookedBack is how many days back a pickup is looked for.
const lookedBack = 31

// lastPickup leads to the last day on which somebody came, or today.
func (v *visit) lastPickup() error {
	l, err := v.lists()
	if err != nil {
		return err
	}
	day := v.today
	if days := l.Calendar.PickupDays(v.today.Add(-lookedBack), v.today); len(days) > 0 {
		day = days[len(days)-1]
	}
	return v.Redirect(http.StatusSeeOther, "/after/"+day.String())
}

// nextPickups is how many later days a truck that did not come can be moved to.
const nextPickups = 4

func (v *visit) after(status int, wrong []string, faults domain.Faults) error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	l, err := v.lists()
	if err != nil {
		return err
	}
	view := AfterView{Frame: v.frame("more", v.say("page.after.title")), Pickup: day}
	for _, c := range l.Calendar.Carriers(day) {
		gone := GoneView{Code: c.Code, Name: c.Name}
		for from := day.Add(1); len(gone.Next) < nextPickups; {
			next, found := l.Calendar.NextPickup(c.Code, from)
			if !found {
				break
			}
			gone.Next, from = append(gone.Next, next), next.Add(1)
		}
		view.Carriers = append(view.Carriers, gone)
	}
	view.Back, view.Missing = v.cameBackForm(l, day), l.missing(products.word, customers.word)
	view.Wrong = append(wrong, view.Back.mind(v, faults)...)
	return v.show(status, "after", view)
}

// becomes are what can become of cases that came back.
var becomes = []string{"stock", "stall", "food_bank", "staff", "compost"}

func (v *visit) cameBackForm(l lists, day domain.Day) Form {
	customer := needed(kinded("pick", "customer", "customer", v.FormValue("customer")))
	customer.Picks = append([]Pick{{"", "–"}}, customersNamed(l)...)
	product := needed(kinded("pick", "product", "product", v.FormValue("product")))
	product.Picks = append([]Pick{{"", "–"}}, productsNamed(l)...)
	cases := needed(kinded("count", "cases", "cases", v.FormValue("cases")))
	became := Field{Name: "became", Code: "became", Kind: "pick", Value: v.FormValue("became")}
	for _, x := range becomes {
		became.Picks = append(became.Picks, Pick{x, v.say("page.became." + x)})
	}
	return Form{Action: "/after/" + day.String() + "/came-back", Fields: []Field{customer, product, cases, became,
		text("trace", "case_code", v.FormValue("trace")), text("why", "back_why", v.FormValue("why"))}}
}

func (v *visit) notCollected() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	to, err := domain.ParseDay(v.FormValue("to"))
	if err != nil {
		return v.after(http.StatusUnprocessableEntity, []string{v.say("page.after.to")}, nil)
	}
	if _, err := v.office.Book.NotCollected(v.ctx, v.who, v.FormValue("carrier"), day, to, ""); err != nil {
		return v.notAfter(err)
	}
	return v.done("/day/"+to.String(), "notcollected")
}

func (v *visit) cameBack() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	r := &reader{Values: v.posted()}
	back := domain.Return{Day: max(day, v.today), Customer: r.text("customer"), Product: r.text("product"), Cases: domain.Cases(r.number("cases")),
		Trace: r.text("trace"), Why: r.text("why"), Became: r.text("became")}
	if err := r.faults.Err(); err != nil {
		return v.notAfter(err)
	}
	if _, err := v.office.Book.CameBack(v.ctx, v.who, back, ""); err != nil {
		return v.notAfter(err)
	}
	return v.done("/after/"+day.String(), "cameback")
}

// notAfter shows the page with why something could not be told.
func (v *visit) notAfter(err error) error {
	var faults domain.Faults
	if errors.As(err, &faults) {
		return v.after(http.StatusUnprocessableEntity, nil, faults)
	}
	if errors.Is(err, domain.ErrNotFound) {
		return v.after(http.StatusConflict, v.refusal(err), nil)
	}
	status, lines := v.formStatus(err)
	if status == 0 {
		return err
	}
	return v.after(status, lines, nil)
}
