package pages

import (
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// PromiseView is the question "can I have so many", its answer, and what else
// could serve.
type PromiseView struct {
	Frame
	Customers []domain.Customer
	Products  []domain.Product
	Pickups   []domain.Day
	Asked     PromiseAsked
	Answer    *PromiseAnswer // nil: nothing was asked yet
	OtherDays []PromiseOther
	Others    []PromiseOther // other products on that day
	Empty     bool
	Late      bool // orders are closed: a change needs its reason
}

// PromiseAsked is what was typed.
type PromiseAsked struct {
	Customer, Product string
	Day               domain.Day
	Cases             string
}

// PromiseAnswer is the answer in words and figures.
type PromiseAnswer struct {
	book.Quote
	Product string
	Say     string
}

// PromiseOther is another day or product and what it could give.
type PromiseOther struct {
	Name    string
	Address string
	Sure    int
	All     int
}

func (o *Office) registerPromise(e *echo.Echo) {
	e.GET("/promise", o.page(func(v *visit) error { return v.promise(http.StatusOK, nil) }))
	e.POST("/promise", o.page((*visit).putDown))
}

func (v *visit) promise(status int, wrong []string) error {
	l, err := v.lists()
	if err != nil {
		return err
	}
	week, err := v.office.Book.Week(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	view := PromiseView{Frame: v.frame("promise", v.say("page.promise.title")), Customers: l.Customers, Products: l.Products, Pickups: week.Problem.PickupDays}
	view.Wrong = wrong
	view.Empty = len(l.Products) == 0 || len(view.Pickups) == 0
	a := v.address()
	a.Values = v.posted()
	view.Asked = PromiseAsked{a.customer(v), a.text("product"), a.dayOr("day", 0), a.text("cases")}
	if err := a.err(); err != nil {
		view.Wrong = append(view.Wrong, v.refusal(err)...)
		return v.show(http.StatusUnprocessableEntity, "promise", view)
	}
	if view.Empty || view.Asked.Product == "" {
		return v.show(status, "promise", view)
	}
	cases := whole(view.Asked.Cases)
	if cases < 1 || cases > domain.MaxCount {
		view.Wrong = append(view.Wrong, sentence(v.say("page.f.cases")+": "+v.speech.Fault(domain.Fault{Code: "between", Args: map[string]any{"min": 1, "max": domain.MaxCount}})))
		return v.show(http.StatusUnprocessableEntity, "promise", view)
	}
	if !slices.Contains(view.Pickups, view.Asked.Day) {
		view.Wrong = append(view.Wrong, v.say("page.promise.notplanned"))
		return v.show(http.StatusUnprocessableEntity, "promise", view)
	}
	if err := v.answers(&view, domain.Cases(cases)); err != nil {
		return err
	}
	return v.show(status, "promise", view)
}

// answers asks the book for the day and product, and for all the others.
func (v *visit) answers(view *PromiseView, cases domain.Cases) error {
	ask := func(product string, day domain.Day) (book.Quote, error) {
		return v.office.Book.Quote(v.ctx, v.who, v.today, product, day, cases, view.Asked.Customer)
	}
	q, err := ask(view.Asked.Product, view.Asked.Day)
	if err != nil {
		return err
	}
	view.Late = v.closed(view.Asked.Day)
	view.Answer = &PromiseAnswer{Quote: q, Say: v.quoteWords(q)}
	for _, p := range view.Products {
		if p.Code == view.Asked.Product {
			view.Answer.Product = p.Name
			continue
		}
		other, err := ask(p.Code, view.Asked.Day)
		if err != nil {
			return err
		}
		view.Others = append(view.Others, PromiseOther{p.Name, v.promiseAddress(view.Asked, p.Code, view.Asked.Day), int(other.Sure), int(other.All)})
	}
	for _, d := range view.Pickups {
		if d == view.Asked.Day {
			continue
		}
		other, err := ask(view.Asked.Product, d)
		if err != nil {
			return err
		}
		view.OtherDays = append(view.OtherDays, PromiseOther{v.speech.Day(d), v.promiseAddress(view.Asked, view.Asked.Product, d), int(other.Sure), int(other.All)})
	}
	return nil
}

func (v *visit) promiseAddress(a PromiseAsked, product string, day domain.Day) string {
	return "/promise?customer=" + escape(a.Customer) + "&product=" + escape(product) + "&day=" + day.String() + "&cases=" + escape(a.Cases)
}

// quoteWords is "6 sure, 9 if all comes in; 10 not before Saturday".
func (v *visit) quoteWords(q book.Quote) string {
	said := v.say("page.quote", "sure", int(q.Sure), "all", int(q.All))
	switch {
	case q.All >= q.Asked:
	case q.First != 0:
		said += "; " + v.say("page.quote.first", "n", int(q.Asked), "day", v.speech.Day(q.First))
	default:
		said += "; " + v.say("page.quote.never", "n", int(q.Asked))
	}
	return said
}

// putDown stores what was asked as an order, with a word for what was promised.
func (v *visit) putDown() error {
	day, _ := domain.ParseDay(v.FormValue("day"))
	customer := v.FormValue("customer")
	if customer == "" {
		return v.promise(http.StatusUnprocessableEntity, []string{v.say("page.promise.who")})
	}
	cell := book.OrderCell{Customer: customer, Product: v.FormValue("product"), Pickup: day, Cases: domain.Cases(whole(v.FormValue("cases")))}
	err := v.office.Book.OrderWithWord(v.ctx, v.who, cell, domain.Cases(max(0, whole(v.FormValue("word")))), v.note())
	return v.changed(err, "/customer/"+customer+"?day="+day.String(), "putdown", v.promise)
}
