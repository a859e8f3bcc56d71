package pages

import (
	"cmp"
	"errors"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/boombuler/barcode/qr"
	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// PeopleView is who can come in: people, telephones, keys, calendars.
type PeopleView struct {
	Frame
	People []book.Record[domain.Account]
	Passes []PassView
	Person Form
	Device Form
	Key    Form
	Feed   Form
	Shown  *ShownView
}

// PassView is a telephone, a key or a calendar.
type PassView struct {
	domain.Pass
	Kind  string // the catalogue's code of what it is
	Roles string
	Left  bool // it lets nobody in any more
}

// ShownView is a secret that is shown this once.
type ShownView struct {
	Label  string
	Key    string
	Feed   string        // an address for a calendar program
	Invite string        // an address to open on the telephone
	QR     template.HTML // the same to be read by its camera
}

// PersonView is one person's page.
type PersonView struct {
	Frame
	Form     Form
	Password Form
	Code     string
}

func (o *Office) registerPeople(e *echo.Echo) {
	e.GET("/people", o.page(func(v *visit) error { return v.people(http.StatusOK, PeopleView{}) }))
	e.POST("/people", o.page((*visit).addPerson))
	e.GET("/people/:code", o.page(func(v *visit) error { return v.person(http.StatusOK, nil, nil, nil) }))
	e.POST("/people/:code", o.page((*visit).savePerson))
	e.POST("/people/:code/password", o.page((*visit).savePassword))
	e.POST("/people/:code/end", o.page((*visit).endPerson))
	e.POST("/keys", o.page((*visit).makeKey))
	e.POST("/feeds", o.page((*visit).makeFeed))
	e.POST("/devices", o.page((*visit).inviteDevice))
	e.POST("/passes/:id/end", o.page((*visit).strikeOff))
}

// people shows the page; a form in view is one that was refused.
func (v *visit) people(status int, view PeopleView) error {
	wrong := view.Wrong
	view.Frame = v.frame("more", v.say("page.people.title"))
	view.Wrong = wrong
	var err error
	if view.People, err = v.office.Book.Accounts(v.ctx, v.who); err != nil {
		return err
	}
	passes, err := v.office.Book.Passes(v.ctx, v.who)
	if err != nil {
		return err
	}
	for _, p := range passes {
		p.Seen, p.Ends = v.clock(p.Seen), v.clock(p.Ends)
		view.Passes = append(view.Passes, PassView{Pass: p, Kind: "page.pass." + string(p.Kind), Roles: v.roles(p.Roles),
			Left: p.Struck != nil || !p.Ends.IsZero() && !v.office.Now().Before(p.Ends)})
	}
	if view.Person.Fields == nil {
		first := []domain.Role{domain.RoleOffice}
		if len(view.People) == 0 {
			first = []domain.Role{domain.RoleOwner}
		}
		view.Person = v.personForm(domain.Account{Roles: first})
	}
	if view.Device.Fields == nil {
		view.Device = Form{Fields: []Field{needed(text("device_label", "device_label", ""))}}
	}
	if view.Key.Fields == nil {
		view.Key = v.keyForm(nil, v.today.Add(365).String())
	}
	if view.Feed.Fields == nil {
		view.Feed = v.feedForm(v.today.Add(365).String())
	}
	return v.show(status, "people", view)
}

func (v *visit) roles(roles []domain.Role) string {
	said := make([]string, len(roles))
	for i, r := range roles {
		said[i] = v.say("page.role." + string(r))
	}
	return strings.Join(said, ", ")
}

func (v *visit) roleTicks(name string, ticked []domain.Role, roles ...domain.Role) Field {
	f := Field{Name: name, Code: "roles", Kind: "ticks"}
	for _, r := range roles {
		f.Picks = append(f.Picks, Pick{string(r), v.say("page.role." + string(r))})
		if slices.Contains(ticked, r) {
			f.Ticked = append(f.Ticked, string(r))
		}
	}
	return f
}

func (v *visit) personForm(a domain.Account) Form {
	return Form{Fields: []Field{needed(text("name", "person_name", a.Name)), text("code", "sign_in_name", a.Code),
		v.roleTicks("roles", a.Roles, domain.RoleOffice, domain.RoleGrowing, domain.RolePacking, domain.RoleOwner), secretField("password", "new-password")}}
}

func (v *visit) keyForm(roles []domain.Role, ends string) Form {
	return Form{Fields: []Field{needed(text("key_label", "key_label", v.FormValue("key_label"))), v.roleTicks("key_roles", roles, domain.RoleOffice, domain.RoleGrowing, domain.RolePacking),
		needed(kinded("day", "ends", "key_ends", ends))}}
}

// postedRoles are the roles that were ticked.
func (v *visit) postedRoles(name string) (roles []domain.Role) {
	for _, r := range v.posted()[name] {
		roles = append(roles, domain.Role(r))
	}
	return roles
}

func (v *visit) addPerson() error {
	a := domain.Account{Name: strings.TrimSpace(v.FormValue("name")), Code: strings.ToLower(strings.TrimSpace(v.FormValue("code"))), Roles: v.postedRoles("roles")}
	_, err := v.office.Book.AddAccount(v.ctx, v.who, a, v.FormValue("password"))
	if errors.Is(err, domain.ErrInvalid) || errors.Is(err, domain.ErrConflict) {
		view := PeopleView{Person: v.personForm(a)}
		view.Wrong = v.mindDoor(&view.Person, err)
		return v.people(statusOf(err), view)
	}
	if err != nil {
		return err
	}
	return v.done("/people", "saved")
}

// statusOf is the status of a form that is shown again.
func statusOf(err error) int {
	if errors.Is(err, domain.ErrConflict) || errors.Is(err, domain.ErrStale) {
		return http.StatusConflict
	}
	return http.StatusUnprocessableEntity
}

// account is the person of the address.
func (v *visit) account() (book.Record[domain.Account], error) {
	people, err := v.office.Book.Accounts(v.ctx, v.who)
	for _, p := range people {
		if p.Value.Code == v.Param("code") {
			return p, nil
		}
	}
	return book.Record[domain.Account]{}, cmp.Or(err, domain.Refuse(domain.ErrNotFound, "person", v.Param("code")))
}

// person shows one person; typed is what was refused.
func (v *visit) person(status int, typed *domain.Account, refused, badPassword error) error {
	rec, err := v.account()
	if err != nil {
		return err
	}
	a := rec.Value
	if typed != nil {
		a = *typed
	}
	view := PersonView{Frame: v.frame("more", rec.Value.Name), Code: rec.Value.Code, Password: Form{Fields: []Field{secretField("password", "new-password")}}}
	if v.who.Code == rec.Value.Code {
		view.Password.Fields = slices.Insert(view.Password.Fields, 0, secretField("old", "current-password"))
	}
	at := "/people/" + rec.Value.Code
	view.Form = Form{Action: at, Base: rec.Rev, End: at + "/end", Fields: []Field{needed(text("name", "person_name", a.Name)),
		v.roleTicks("roles", a.Roles, domain.RoleOffice, domain.RoleGrowing, domain.RolePacking, domain.RoleOwner)}}
	view.Wrong = append(v.mindDoor(&view.Form, refused), v.mindDoor(&view.Password, badPassword)...)
	return v.show(status, "person", view)
}

func (v *visit) savePerson() error {
	a := domain.Account{Code: v.Param("code"), Name: strings.TrimSpace(v.FormValue("name")), Roles: v.postedRoles("roles")}
	_, err := v.office.Book.SetAccount(v.ctx, v.who, a, book.Note{Base: v.revision("base")})
	if errors.Is(err, domain.ErrInvalid) || errors.Is(err, domain.ErrConflict) || errors.Is(err, domain.ErrStale) {
		return v.person(statusOf(err), &a, err, nil)
	}
	if err != nil {
		return err
	}
	return v.done("/people", "saved")
}

func (v *visit) endPerson() error {
	err := v.office.Book.EndAccount(v.ctx, v.who, v.Param("code"), book.Note{Base: v.revision("base")})
	if errors.Is(err, domain.ErrConflict) || errors.Is(err, domain.ErrStale) {
		return v.person(statusOf(err), nil, err, nil)
	}
	if err != nil {
		return err
	}
	return v.done("/people", "ended")
}

func (v *visit) savePassword() error {
	err := v.office.Book.SetPassword(v.ctx, v.who, v.Param("code"), v.FormValue("old"), v.FormValue("password"))
	if errors.Is(err, domain.ErrInvalid) {
		return v.person(http.StatusUnprocessableEntity, nil, nil, err)
	}
	if err != nil {
		return err
	}
	return v.done("/people", "new_password")
}

// ofPass gives faults of a pass the names its form has on a page of several.
func ofPass(err error, form string) error {
	var faults domain.Faults
	if !errors.As(err, &faults) {
		return err
	}
	named := slices.Clone(faults)
	for i, f := range named {
		if f.Place == "label" || f.Place == "roles" || f.Place == "ends" && form == "feed_" {
			named[i].Place = form + f.Place
		}
	}
	return named
}

// makeKey answers with the key itself instead of a redirect: nothing that the
// browser could be sent to knows it.
func (v *visit) makeKey() error {
	r := &reader{Values: v.posted()}
	ends, roles := r.day("ends"), v.postedRoles("key_roles")
	var secret string
	err := r.faults.Err()
	if err == nil {
		var until time.Time
		if ends != 0 {
			until = ends.Add(1).Time()
		}
		_, secret, err = v.office.Book.NewKey(v.ctx, v.who, r.text("key_label"), roles, until)
	}
	if errors.Is(err, domain.ErrInvalid) {
		view := PeopleView{Key: v.keyForm(roles, r.Get("ends"))}
		view.Wrong = v.mindDoor(&view.Key, ofPass(err, "key_"))
		return v.people(http.StatusUnprocessableEntity, view)
	}
	if err != nil {
		return err
	}
	return v.people(http.StatusOK, PeopleView{Shown: &ShownView{Label: r.text("key_label"), Key: secret}})
}

// inviteDevice answers with the one-use address, as makeKey does with a key.
func (v *visit) inviteDevice() error {
	label := strings.TrimSpace(v.FormValue("device_label"))
	secret, err := v.office.Book.InviteDevice(v.ctx, v.who, label)
	if errors.Is(err, domain.ErrInvalid) {
		view := PeopleView{Device: Form{Fields: []Field{needed(text("device_label", "device_label", label))}}}
		view.Wrong = v.mindDoor(&view.Device, ofPass(err, "device_"))
		return v.people(http.StatusUnprocessableEntity, view)
	}
	if err != nil {
		return err
	}
	shown := &ShownView{Label: label, Invite: v.own() + "/welcome?visit=" + secret}
	if shown.QR, err = drawQR(shown.Invite, v.say("page.people.qr")); err != nil {
		return err
	}
	return v.people(http.StatusOK, PeopleView{Shown: shown})
}

// drawQR draws a text as a QR code (ISO/IEC 18004) with the four modules of
// quiet zone it asks for.
func drawQR(text, title string) (template.HTML, error) {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return "", err
	}
	n, path := code.Bounds().Dx(), strings.Builder{}
	for y := range n {
		for x := range n {
			if r, _, _, _ := code.At(x, y).RGBA(); r == 0 {
				path.WriteString("M" + strconv.Itoa(x+4) + " " + strconv.Itoa(y+4) + "h1v1h-1z")
			}
		}
	}
	side := strconv.Itoa(n + 8)
	return template.HTML(`<svg class="qr" viewBox="0 0 ` + side + ` ` + side + `" width="260" height="260" role="img"><title>` + //nolint:gosec // figures, and a title escaped
		template.HTMLEscapeString(title) + `</title><path class="ground" d="M0 0h` + side + `v` + side + `h-` + side + `z"/><path d="` + path.String() + `"/></svg>`), nil
}

func (v *visit) strikeOff() error {
	if err := v.office.Book.StrikeOff(v.ctx, v.who, v.Param("id")); err != nil {
		return err
	}
	return v.done("/people", "struck")
}
