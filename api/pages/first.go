package pages

import (
	"context"
	"errors"
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"headtally/domain"
)

// FirstView is the questions of a farm that has just begun, with how far it has
// come; once all are answered, what more it could tell, one thing at a time.
type FirstView struct {
	Frame
	Steps  []FirstStep
	Next   FirstStep
	Form   *Form // of the question that is asked
	Done   bool
	More   *MoreStep  // what to tell next; nil: nothing more
	Others []MoreStep // what else could be told
	Told   int        // of what more there is
	Demo   bool       // an invented farm can be looked at beside
}

// FirstStep is one of the questions.
type FirstStep struct {
	N       int
	Code    string
	Address string
	Done    bool
	Here    bool
}

// question is one thing a farm is asked before its first plan.
type question struct {
	code string
	told func(f *domain.Facts) bool
	form func(v *visit, f *domain.Facts, r *reader) []Field // as typed, or with what is usual where nothing was
	take func(v *visit, f *domain.Facts, r *reader) error   // faults are placed on the form's fields
}

// questions are asked in this order: each needs those before it.
var questions = []question{
	{"varieties", func(f *domain.Facts) bool { return len(f.Varieties) > 0 }, askVarieties, (*visit).tellVarieties},
	{"cases", func(f *domain.Facts) bool { return len(f.Products) > 0 }, (*visit).askCases, (*visit).tellCases},
	{"days", func(f *domain.Facts) bool { return len(f.Carriers) > 0 && f.Farm.Name != "" }, (*visit).askDays, (*visit).tellDays},
	{"rafts", raftsTold, askRafts, (*visit).tellRafts},
	{"ready", func(f *domain.Facts) bool { return len(f.Counts) > 0 }, (*visit).askReady, (*visit).tellReady},
	{"orders", func(f *domain.Facts) bool { return len(f.Orders) > 0 || len(f.Standing) > 0 }, (*visit).askOrders, (*visit).tellOrders},
}

func (o *Office) registerFirst(e *echo.Echo) {
	e.GET("/first", o.page(func(v *visit) error { return v.first(http.StatusOK, nil, nil) }))
	e.POST("/first", o.page((*visit).saveFirst))
	e.POST("/first/demo", o.page((*visit).openDemo))
}

// asked is the question of the address, or the first without an answer; "": all
// have one. None is asked before those it needs.
func (v *visit) asked(f *domain.Facts) string {
	for _, q := range questions {
		if q.code == v.QueryParam("q") || !q.told(f) {
			return q.code
		}
	}
	return ""
}

// first shows the question that is asked next; typed is what was sent and could
// not be taken, with what is wrong about it.
func (v *visit) first(status int, typed *reader, refused domain.Faults) error {
	f, err := v.office.Book.Facts(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	view := FirstView{Frame: v.frame("more", v.say("page.first.title")), Done: true, Demo: v.office.Demo != nil && len(f.Varieties) == 0}
	here := v.asked(&f)
	for i, q := range questions {
		step := FirstStep{N: i + 1, Code: q.code, Done: q.told(&f), Here: q.code == here, Address: "/first?q=" + q.code}
		view.Done = view.Done && step.Done
		if step.Here {
			view.Next = step
			view.Form = &Form{Action: step.Address, Fields: q.form(v, &f, typed)}
		}
		view.Steps = append(view.Steps, step)
	}
	if len(refused) > 0 {
		view.Wrong = append([]string{v.say("page.form.faults", "n", len(refused))}, view.Form.mind(v, refused)...)
	}
	if here == "" {
		if err := v.more(&view, &f); err != nil {
			return err
		}
	}
	return v.show(status, "first", view)
}

func (v *visit) saveFirst() error {
	f, err := v.office.Book.Facts(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(questions, func(q question) bool { return q.code == v.asked(&f) })
	if at < 0 {
		return v.done("/first", "")
	}
	r := &reader{Values: v.posted()}
	err = questions[at].take(v, &f, r)
	var faults domain.Faults
	switch {
	case err == nil:
		return v.done("/first", "saved")
	case errors.As(err, &faults):
		return v.first(http.StatusUnprocessableEntity, &reader{Values: r.Values}, faults)
	}
	return err
}

// DemoView says where the invented farm is.
type DemoView struct {
	Frame
	Address string
}

// openDemo opens the invented farm beside this one: another book under another
// address, so that nothing done there can reach this one.
func (v *visit) openDemo() error {
	if v.office.Demo == nil {
		return domain.Refuse(domain.ErrNotFound, "file", "demo")
	}
	address, err := v.office.Demo(context.WithoutCancel(v.ctx))
	if err != nil {
		return err
	}
	return v.show(http.StatusOK, "demo", DemoView{v.frame("more", v.say("page.demo.title")), address})
}
