package pages

import (
	"errors"
	"io"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// Paper is one paper of a packing day, by the name it is drawn by.
type Paper struct{ Name, Title string }

// PapersView is the papers of a packing day, and what was issued of it.
type PapersView struct {
	Frame
	Day     domain.Day
	Over    bool // nothing is left to lift or to pack
	Days    []domain.Day
	Papers  []Paper
	Pickups []domain.Day
	Before  []IssueView
}

// IssueView is one issue with its papers as they were printed.
type IssueView struct {
	domain.Issue
	Printed time.Time // by the farm's clock
	Kept    []Paper
}

func (o *Office) registerPapers(e *echo.Echo) {
	e.GET("/papers", o.page((*visit).papersNext))
	e.GET("/papers/:day", o.page((*visit).papers))
	e.POST("/papers/:day/issue", o.page((*visit).issue))
	e.GET("/papers/:day/:name", o.page((*visit).paper))
	e.GET("/kept/:issue/:name", o.page((*visit).kept))
}

// papersNext goes to the next day on which something is lifted or packed.
func (v *visit) papersNext() error {
	days, err := v.office.Book.PackingDays(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	if len(days) == 0 {
		return v.show(http.StatusOK, "empty", EmptyView{Frame: v.frame("more", v.say("page.papers.title")), Lines: []string{v.say("page.papers.none")},
			Go: "/orders", Word: v.say("page.nav.orders")})
	}
	return v.Redirect(http.StatusSeeOther, "/papers/"+days[0].String())
}

func (v *visit) papers() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	issues, err := v.office.Book.Issues(v.ctx, v.who, day)
	if err != nil {
		return err
	}
	p, err := v.office.Book.PackingDay(v.ctx, v.who, v.today, day)
	over := errors.Is(err, domain.ErrNotFound) && len(issues) > 0 // all of it is done, and its papers are kept
	if err != nil && !over {
		return err
	}
	days, err := v.office.Book.PackingDays(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	view := PapersView{Frame: v.frame("more", v.say("page.papers.day", "day", v.speech.Day(day))), Day: day, Over: over}
	for _, d := range days {
		view.Frame.Days = append(view.Frame.Days, DayMark{Day: d, Address: "/papers/" + d.String(), Here: d == day})
	}
	if view.Before, err = v.issuesKept(issues); err != nil {
		return err
	}
	if over {
		return v.show(http.StatusOK, "papers", view)
	}
	for _, d := range p.Pickups {
		view.Pickups = append(view.Pickups, d.Pickup)
	}
	if v.office.Rack != nil {
		view.Papers = v.office.Rack(p)
	}
	return v.show(http.StatusOK, "papers", view)
}

// issuesKept are issues with what the papers kept of each are called.
func (v *visit) issuesKept(issues []book.Record[domain.Issue]) (list []IssueView, err error) {
	if len(issues) == 0 {
		return nil, nil
	}
	l, err := v.lists()
	if err != nil {
		return nil, err
	}
	for _, x := range issues {
		names, err := v.office.Book.PrintedNames(v.ctx, v.who, x.Value.ID)
		if err != nil {
			return nil, err
		}
		one := IssueView{Issue: x.Value, Printed: v.clock(x.Value.At)}
		for _, name := range names {
			one.Kept = append(one.Kept, Paper{name, v.speech.Paper(name, l.Carriers)})
		}
		list = append(list, one)
	}
	return list, nil
}

// issue keeps the day's plan with its papers under a number.
func (v *visit) issue() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	if _, err := v.office.Book.Issue(v.ctx, v.who, v.today, day, ""); err != nil {
		return err
	}
	return v.done("/papers/"+day.String(), "issued")
}

// paper sends one paper as a PDF.
func (v *visit) paper() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	name := strings.TrimSuffix(v.Param("name"), ".pdf")
	p, err := v.office.Book.PackingDay(v.ctx, v.who, v.today, day)
	if err != nil {
		return err
	}
	if v.office.Draw == nil || !slices.ContainsFunc(v.office.Rack(p), func(x Paper) bool { return x.Name == name }) {
		return domain.Refuse(domain.ErrNotFound, "paper", name)
	}
	return v.pdf(name, func(w io.Writer) error { return v.office.Draw(w, p, name) })
}

// kept sends one paper of an issue as it was printed.
func (v *visit) kept() error {
	name := v.Param("name")
	printed, err := v.office.Book.Printed(v.ctx, v.who, v.Param("issue"), name)
	if err != nil {
		return err
	}
	v.Response().Header().Set("Content-Disposition", edge.Named("inline", name))
	return v.Blob(http.StatusOK, "application/pdf", printed)
}

// packingDays are the days on which a pickup's cases are packed.
func packingDays(board *book.Board) (days []domain.Day) {
	for _, r := range board.Runs {
		days = append(days, r.Pack)
	}
	slices.Sort(days)
	return slices.Compact(days)
}
