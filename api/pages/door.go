package pages

import (
	"errors"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"headtally/api/internal/edge"
	"headtally/domain"
)

// browserLasts is how long a browser keeps what lets it in where no password is
// asked: the book's own limit ends it before.
const browserLasts = 365 * 24 * time.Hour

// DoorView is a page before the door: to sign in, to begin, to make a telephone
// known.
type DoorView struct {
	Frame
	Form  Form
	Back  string // where to go once in
	Empty bool   // nobody can sign in yet
	Visit string // the secret of a one-use address
}

func (o *Office) registerDoor(e *echo.Echo) {
	e.GET("/sign-in", o.page(func(v *visit) error { return v.signIn(http.StatusOK, nil) }))
	e.POST("/sign-in", o.page((*visit).letIn))
	e.POST("/sign-out", o.page((*visit).letOut))
	e.GET("/begin", o.page(func(v *visit) error { return v.beginHere(http.StatusOK, nil) }))
	e.POST("/begin", o.page((*visit).beginAsOwner))
	e.POST("/begin/alone", o.page((*visit).beginAlone))
	e.GET("/welcome", o.page(func(v *visit) error { return v.welcome(http.StatusOK, nil) }))
	e.POST("/welcome", o.page((*visit).knowPhone))
	e.GET("/me", o.page(func(v *visit) error { return v.me(http.StatusOK, nil) }))
	e.POST("/me", o.page((*visit).newPassword))
}

// doorFrame is a frame without the words that lead where nobody unknown may go.
func (v *visit) doorFrame(title string) Frame {
	f := v.frame("", title)
	f.Bare = true
	return f
}

func (v *visit) signIn(status int, refused error) error {
	people, err := v.office.Book.HasPeople(v.ctx)
	if err != nil {
		return err
	}
	view := DoorView{Frame: v.doorFrame(v.say("page.door.title")), Back: backTo(v.FormValue("back")), Empty: !people,
		Form: Form{Fields: []Field{needed(text("code", "sign_in_name", v.FormValue("code"))), secretField("password", "current-password")}}}
	view.Wrong = v.refusal(refused)
	return v.show(status, "signin", view)
}

// secretField is a field whose value is not shown and never sent back.
func secretField(name, fill string) Field {
	return needed(Field{Name: name, Code: name, Kind: "password", Fill: fill})
}

// backTo is an address of ours to go back to; "/" for any other.
func backTo(address string) string {
	u, err := url.Parse(address)
	if err != nil || u.Scheme != "" || u.Host != "" || u.User != nil || !strings.HasPrefix(address, "/") || strings.HasPrefix(address, "//") ||
		strings.ContainsAny(address, "\\\r\n\t") {
		return "/"
	}
	return address
}

// backOr is the page of ours that the address asks to go back to, or the usual.
func (v *visit) backOr(usual string) string {
	if back := v.QueryParam("back"); back != "" {
		return backTo(back)
	}
	return usual
}

func (v *visit) letIn() error {
	session, err := v.office.Book.SignIn(v.ctx, strings.ToLower(strings.TrimSpace(v.FormValue("code"))), v.FormValue("password"), edge.From(v.ctx).Address)
	switch {
	case errors.Is(err, domain.ErrSignIn):
		v.Response().Header().Set("WWW-Authenticate", `Bearer realm="headtally"`)
		return v.signIn(http.StatusUnauthorized, err)
	case err != nil:
		return err
	}
	edge.LetIn(v.Response(), edge.SessionCookie, session, 0)
	return v.Redirect(http.StatusSeeOther, backTo(v.FormValue("back")))
}

func (v *visit) letOut() error {
	if secret := edge.Secret(v.Request(), edge.SessionCookie); secret != "" {
		if err := v.office.Book.SignOut(v.ctx, secret); err != nil {
			return err
		}
	}
	edge.LetOut(v.Response(), edge.SessionCookie)
	return v.Redirect(http.StatusSeeOther, "/sign-in?said=signed_out")
}

// beginHere is what the address that opens an empty book shows. Looking at it
// uses nothing up.
func (v *visit) beginHere(status int, refused error) error {
	view := DoorView{Frame: v.doorFrame(v.say("page.begin.title")), Visit: v.FormValue("visit"),
		Form: Form{Fields: []Field{needed(text("name", "your_name", v.FormValue("name"))), secretField("password", "new-password")}}}
	view.Wrong = v.mindDoor(&view.Form, refused)
	return v.show(status, "begin", view)
}

// mindDoor puts what is wrong to the fields of a form before the door.
func (v *visit) mindDoor(form *Form, refused error) []string {
	var faults domain.Faults
	if errors.As(refused, &faults) {
		return append([]string{v.say("page.form.faults", "n", len(faults))}, form.mind(v, faults)...)
	}
	return v.refusal(refused)
}

func (v *visit) beginAsOwner() error {
	session, err := v.office.Book.Begin(v.ctx, v.FormValue("visit"), domain.Account{Name: strings.TrimSpace(v.FormValue("name"))},
		v.FormValue("password"), edge.From(v.ctx).Address)
	return v.begun(session, err, 0)
}

func (v *visit) beginAlone() error {
	machine, err := v.office.Book.OpenAlone(v.ctx, v.FormValue("visit"), edge.From(v.ctx).Address)
	return v.begun(machine, err, browserLasts)
}

func (v *visit) begun(secret string, err error, lasts time.Duration) error {
	switch {
	case errors.Is(err, domain.ErrDenied):
		return v.beginHere(http.StatusForbidden, domain.Faults{{Place: "visit", Code: "used_address"}})
	case errors.Is(err, domain.ErrInvalid):
		return v.beginHere(http.StatusUnprocessableEntity, err)
	case err != nil:
		return err
	}
	edge.LetIn(v.Response(), edge.SessionCookie, secret, lasts)
	return v.Redirect(http.StatusSeeOther, "/")
}

// welcome is what a telephone shows that opened its invitation.
func (v *visit) welcome(status int, refused error) error {
	view := DoorView{Frame: v.doorFrame(v.say("page.welcome.title")), Visit: v.FormValue("visit")}
	view.Wrong = v.mindDoor(&view.Form, refused)
	return v.show(status, "welcome", view)
}

func (v *visit) knowPhone() error {
	secret, err := v.office.Book.TakeDevice(v.ctx, v.FormValue("visit"), edge.From(v.ctx).Address)
	switch {
	case errors.Is(err, domain.ErrDenied):
		return v.welcome(http.StatusForbidden, domain.Faults{{Place: "visit", Code: "used_address"}})
	case err != nil:
		return err
	}
	edge.LetIn(v.Response(), edge.DeviceCookie, secret, browserLasts)
	return v.Redirect(http.StatusSeeOther, "/")
}

// me is the person's own page: who they are, their password, the way out.
func (v *visit) me(status int, refused error) error {
	view := DoorView{Frame: v.frame("more", v.say("page.me.title")), Empty: v.who.Code == "",
		Form: Form{Action: "/me", Fields: []Field{secretField("old", "current-password"), secretField("password", "new-password")}}}
	view.Who = v.who.Name
	view.Wrong = v.mindDoor(&view.Form, refused)
	return v.show(status, "me", view)
}

func (v *visit) newPassword() error {
	err := v.office.Book.SetPassword(v.ctx, v.who, v.who.Code, v.FormValue("old"), v.FormValue("password"))
	if errors.Is(err, domain.ErrInvalid) {
		return v.me(http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	edge.LetOut(v.Response(), edge.SessionCookie)
	return v.Redirect(http.StatusSeeOther, "/sign-in?said=new_password")
}
