package pages

import (
	"errors"
	"io"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// TraceView follows a code from a case back to the beds and forward to everybody
// who got of it.
type TraceView struct {
	Frame
	Asked string
	Trace *book.Trace // nil: nothing was asked, or nothing found
	Runs  []TraceRun
	Lots  []TraceLot
}

// TraceRun is cases packed alike, under their code.
type TraceRun struct {
	Code    string
	Packed  domain.Day
	Pickup  domain.Day
	Product string
	Cases   int
}

// TraceLot is where heads came from.
type TraceLot struct {
	book.TracedLot
	Name string
}

func (o *Office) registerTrace(e *echo.Echo) {
	e.GET("/trace", o.page((*visit).trace))
	e.GET("/trace/recall.pdf", o.page((*visit).recallPaper))
	e.GET("/availability", o.page((*visit).availability))
	e.GET("/availability.pdf", o.page((*visit).availabilityPaper))
}

// recallPaper drills a recall of the code: the sheet to ring from.
func (v *visit) recallPaper() error {
	c, err := v.office.Book.Recall(v.ctx, v.who, strings.TrimSpace(v.QueryParam("code")))
	if err != nil {
		return err
	}
	if v.office.DrawRecall == nil {
		return domain.Refuse(domain.ErrNotFound, "paper", "recall")
	}
	return v.pdf("recall", func(w io.Writer) error { return v.office.DrawRecall(w, c) })
}

// traced says whether anything is recorded of a code that could be followed.
func (v *visit) traced(code string) (bool, error) {
	_, err := v.office.Book.Trace(v.ctx, v.who, code)
	if errors.Is(err, domain.ErrNotFound) {
		return false, nil
	}
	return err == nil, err
}

func (v *visit) trace() error {
	view := TraceView{Frame: v.frame("more", v.say("page.trace.title")), Asked: strings.TrimSpace(v.QueryParam("code"))}
	if view.Asked == "" {
		return v.show(http.StatusOK, "trace", view)
	}
	t, err := v.office.Book.Trace(v.ctx, v.who, view.Asked)
	if errors.Is(err, domain.ErrNotFound) {
		view.Wrong = []string{v.say("page.trace.none", "code", view.Asked)}
		return v.show(http.StatusNotFound, "trace", view)
	}
	if err != nil {
		return err
	}
	l, err := v.lists()
	if err != nil {
		return err
	}
	view.Trace = t
	for _, r := range t.Runs {
		view.Runs = append(view.Runs, TraceRun{r.Trace, r.Packed, r.Pickup, productName(l, r.Product), int(r.Cases)})
	}
	for _, lot := range t.Lots {
		name := lot.Variety
		for _, x := range l.Varieties {
			if x.Code == lot.Variety {
				name = x.Name
			}
		}
		view.Lots = append(view.Lots, TraceLot{lot, name})
	}
	return v.show(http.StatusOK, "trace", view)
}
