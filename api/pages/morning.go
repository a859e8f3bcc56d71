package pages

import (
	"context"
	"crypto/rand"
	"errors"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// MorningView is a packing day as it goes: what truly came out of the beds, and
// what was truly packed.
type MorningView struct {
	Frame
	Day       domain.Day
	LiftID    string // each entry's own, so that one sent twice is stored once
	PackID    string
	Lifts     []LiftView
	Runs      []PackView
	Varieties []domain.Variety
	Wheres    []domain.Where
	GoneRows  []int
}

// LiftView is one variety to lift: the heads planned, and the boxes.
type LiftView struct {
	Code, Name  string
	Heads       int
	Rafts       domain.HalfRafts
	True, Culls string // as typed
}

// PackView is one run to pack.
type PackView struct {
	I       int
	Product string
	Pickup  domain.Day
	Planned int
	Cases   string // as typed, else as planned
}

// goneRows are the rows for heads that went elsewhere than into a case.
const goneRows = 3

func (o *Office) registerMorning(e *echo.Echo) {
	e.GET("/morning", o.page((*visit).morningNext))
	e.GET("/morning/:day", o.page(func(v *visit) error { return v.morning(http.StatusOK, nil) }))
	e.POST("/morning/:day/lift", o.page((*visit).saveLift))
	e.POST("/morning/:day/packed", o.page((*visit).savePacked))
}

func (v *visit) morningNext() error {
	days, err := v.office.Book.PackingDays(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	if len(days) == 0 {
		return v.show(http.StatusOK, "empty", EmptyView{Frame: v.frame("beds", v.say("page.morning.title")), Lines: []string{v.say("page.papers.none")},
			Go: "/orders", Word: v.say("page.nav.orders")})
	}
	return v.Redirect(http.StatusSeeOther, "/morning/"+days[0].String())
}

func (v *visit) morning(status int, wrong []string) error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	p, err := v.office.Book.PackingDay(v.ctx, v.who, day, day)
	if err != nil {
		return err
	}
	view := MorningView{Frame: v.frame("beds", v.say("page.morning.day", "day", v.writer().long(day))), Day: day, LiftID: rand.Text()[:16], PackID: rand.Text()[:16],
		Varieties: p.Facts.Varieties, Wheres: []domain.Where{domain.Dropped, domain.Stall, domain.FoodBank, domain.Staff, domain.Compost}}
	view.Wrong = wrong
	at := map[string]int{}
	for _, pull := range p.Week.Plan.Pulls {
		if pull.Day != day {
			continue
		}
		i, seen := at[pull.Variety]
		if !seen {
			i = len(view.Lifts)
			at[pull.Variety] = i
			view.Lifts = append(view.Lifts, LiftView{Code: pull.Variety, Name: varietyName(p.Week, pull.Variety), True: v.FormValue("heads~" + pull.Variety), Culls: v.FormValue("culls~" + pull.Variety)})
		}
		view.Lifts[i].Heads += pull.StopAt
		view.Lifts[i].Rafts += pull.Rafts
	}
	for i, r := range p.Runs {
		run := PackView{I: i, Product: productOfWeek(p, r.Product), Pickup: r.Pickup, Planned: int(r.Cases), Cases: v.FormValue(row("runs", i, "cases"))}
		if run.Cases == "" {
			run.Cases = blankZero(run.Planned)
		}
		view.Runs = append(view.Runs, run)
	}
	for i := range goneRows {
		view.GoneRows = append(view.GoneRows, i)
	}
	return v.show(status, "morning", view)
}

func productOfWeek(p *book.PackingDay, code string) string {
	for _, x := range p.Facts.Products {
		if x.Code == code {
			return x.Name
		}
	}
	return code
}

// once is the context of a change that is kept under the key its form carries;
// done says that it was made before.
func (v *visit) once() (ctx context.Context, done bool, err error) {
	key := v.FormValue("id")
	if key == "" || len(key) > 40 {
		return v.ctx, false, nil
	}
	key = "page " + key
	if kept, err := v.office.Book.Reply(v.ctx, v.who, key); err != nil || kept != nil {
		return v.ctx, kept != nil, err
	}
	return v.office.Book.Keep(v.ctx, v.who, func(any) (book.Reply, error) {
		return book.Reply{Key: key, Status: http.StatusSeeOther, Header: "{}"}, nil
	}), false, nil
}

// saveLift stores the morning's true counts.
func (v *visit) saveLift() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	r := &reader{Values: v.posted()}
	var counts []book.LiftCount
	for _, name := range sortedNames(r.Values) {
		code, ok := strings.CutPrefix(name, "heads~")
		if ok && r.text(name) != "" {
			counts = append(counts, book.LiftCount{Variety: code, Heads: domain.Heads(r.number(name)), Culls: domain.Heads(r.number("culls~" + code))})
		}
	}
	if err := r.faults.Err(); err != nil {
		return v.morning(http.StatusUnprocessableEntity, v.refusal(err))
	}
	if len(counts) == 0 && !r.Has("done") {
		return v.morning(http.StatusUnprocessableEntity, []string{v.say("page.walk.nothing")})
	}
	return v.entered(day, func(ctx context.Context) error {
		_, err := v.office.Book.RecordLift(ctx, v.who, day, counts, r.Has("done"), "")
		return err
	}, "lifted")
}

// savePacked stores what was packed: differences only.
func (v *visit) savePacked() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	r := &reader{Values: v.posted()}
	var changes []book.PackedChange
	for i := range r.count("runs") {
		if n, planned := r.number(row("runs", i, "cases")), r.number(row("runs", i, "planned")); n != planned {
			changes = append(changes, book.PackedChange{Run: i, Cases: domain.Cases(n)})
		}
	}
	var gone []domain.HeadsGone
	for i := range r.count("gone") {
		if heads := r.number(row("gone", i, "heads")); heads > 0 {
			gone = append(gone, domain.HeadsGone{Variety: r.text(row("gone", i, "variety")), Heads: domain.Heads(heads), Where: domain.Where(r.text(row("gone", i, "where")))})
		}
	}
	if err := r.faults.Err(); err != nil {
		return v.morning(http.StatusUnprocessableEntity, v.refusal(err))
	}
	return v.entered(day, func(ctx context.Context) error {
		_, err := v.office.Book.RecordPacked(ctx, v.who, day, changes, gone, "")
		return err
	}, "packed")
}

// entered makes a change of the morning once, however often it is sent.
func (v *visit) entered(day domain.Day, change func(context.Context) error, said string) error {
	ctx, done, err := v.once()
	if err == nil && !done {
		err = change(ctx)
	}
	if err == nil {
		return v.done("/morning/"+day.String(), said)
	}
	if status, lines := v.formStatus(err); status != 0 {
		return v.morning(status, lines)
	}
	if errors.Is(err, domain.ErrNotFound) {
		return v.morning(http.StatusConflict, v.refusal(err))
	}
	return err
}
