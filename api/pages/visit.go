package pages

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/api/words"
	"headtally/domain"
)

// visit is one request for a page: who asks, of which farm, on what day.
type visit struct {
	echo.Context
	office *Office
	ctx    context.Context
	who    book.Person
	farm   domain.Farm
	speech *words.Speech
	zone   *time.Location // of the farm
	today  domain.Day
}

// visit opens a request.
func (o *Office) visit(c echo.Context) (*visit, error) {
	ctx := c.Request().Context()
	farm, err := o.Book.Farm(ctx)
	if err != nil {
		return nil, err
	}
	v := &visit{Context: c, office: o, ctx: ctx, who: edge.Person(ctx), farm: farm.Value, speech: words.For(farm.Value)}
	cal := domain.NewCalendar(farm.Value, nil, nil)
	v.zone, v.today = cal.Zone, cal.Today(o.Now())
	return v, nil
}

// page turns a handler of visits into one of echo's.
func (o *Office) page(handle func(*visit) error) echo.HandlerFunc {
	return func(c echo.Context) error {
		v, err := o.visit(c)
		if err != nil {
			return err
		}
		return handle(v)
	}
}

// Frame is what stands around every page.
type Frame struct {
	Title string
	Farm  string
	Lang  string
	Today domain.Day
	Nav   string    // the word of navigation the page belongs to
	Path  string    // the page's own address
	Said  string    // what was just done
	Wrong []string  // what keeps the change from being made
	Days  []DayMark // the pickup days to step between
	Wide  bool      // the page needs the whole width
	Bare  bool      // nobody is known: without the words that lead on
	Who   string    // who asks, where the page says so

	Invented bool // the book is an invented farm's
}

// DayMark is one pickup day in the strip of days.
type DayMark struct {
	Day     domain.Day
	Address string
	State   book.LineState // "": not known
	Here    bool
}

// frame begins a page's view.
func (v *visit) frame(nav, title string) Frame {
	f := Frame{Title: title, Farm: v.farm.Name, Lang: v.speech.Language, Today: v.today, Nav: nav, Path: v.Request().URL.RequestURI(), Invented: v.office.Invented}
	if f.Farm == "" {
		f.Farm = v.say("page.farm.unnamed")
	}
	if code := "page.said." + v.QueryParam("said"); v.speech.Has(code) {
		f.Said = v.say(code)
	}
	return f
}

// clock is an instant by the farm's clock.
func (v *visit) clock(t time.Time) time.Time {
	if t.IsZero() {
		return t
	}
	return t.In(v.zone)
}

func (v *visit) say(code string, args ...any) string { return v.speech.Say(code, args...) }

// show writes a page. A page is made whole before a byte of it is sent.
func (v *visit) show(status int, page string, view any) error {
	var b bytes.Buffer
	if err := v.office.prints.of(v.farm).ExecuteTemplate(&b, page, view); err != nil {
		return err
	}
	return v.HTMLBlob(status, b.Bytes())
}

// done answers a change: the page is fetched anew and says what was done.
func (v *visit) done(address, said string) error {
	address, anchor, _ := strings.Cut(address, "#")
	if said != "" {
		sep := "?"
		if strings.Contains(address, "?") {
			sep = "&"
		}
		address += sep + "said=" + url.QueryEscape(said)
	}
	if anchor != "" {
		address += "#" + anchor
	}
	return v.Redirect(http.StatusSeeOther, address)
}

// changed answers a form: with done, or with the form's page again and why
// nothing was changed.
func (v *visit) changed(err error, address, said string, again func(status int, wrong []string) error) error {
	if err == nil {
		return v.done(address, said)
	}
	status, lines := v.formStatus(err)
	if status == 0 {
		return err
	}
	return again(status, lines)
}

// revision is the revision that a form was made from, by the name of its field.
func (v *visit) revision(field string) int64 {
	base, err := strconv.ParseInt(v.FormValue(field), 10, 64)
	if err != nil {
		return book.NoBase
	}
	return base
}

// pdf sends a paper.
func (v *visit) pdf(name string, draw func(io.Writer) error) error {
	var b bytes.Buffer
	if err := draw(&b); err != nil {
		return err
	}
	v.Response().Header().Set("Content-Disposition", edge.Named("inline", name+".pdf"))
	return v.Blob(http.StatusOK, "application/pdf", b.Bytes())
}

// day reads a day from the address.
func (v *visit) day(name string) (domain.Day, error) {
	d, err := domain.ParseDay(v.Param(name))
	if err != nil {
		return 0, domain.Refuse(domain.ErrNotFound, "pickup day", v.Param(name))
	}
	return d, nil
}

// posted is what a form sent. A body that is no form is an empty one.
func (v *visit) posted() url.Values {
	values, err := v.FormParams()
	if err != nil {
		return url.Values{}
	}
	return values
}
