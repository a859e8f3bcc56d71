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
	"headtally/planner"
)

// MorningView is a packing day as it goes: what truly came out of the beds, and
// what was truly packed.
type MorningView struct {
	Frame
	Day       domain.Day
	Can       bool   // a spreadsheet can be read
	LiftID    string // each entry's own, so that one sent twice is stored once
	PackID    string
	GoneID    string
	Told      []ToldView // what was told of the lift so far
	Instead   string     // the lift that is told again
	Last      string     // the lift that can be told again
	Lots      bool       // told lot by lot
	Lifts     []LiftView
	Runs      []PackView
	Next      []Paper // to be printed once the lift is told
	Codes     []CodeView
	Varieties []domain.Variety
	Wheres    []domain.Where
	GoneRows  []int
}

// ToldView is a variety that was lifted, beside what the paper said.
type ToldView struct {
	Name string
	book.ToldVariety
	More int // heads more than planned; below 0 fewer
}

// CodeView is a lot code of cases packed that day.
type CodeView struct{ Code, Product string }

// LiftView is one variety, or one lot of it, to lift: the heads planned, and the
// boxes.
type LiftView struct {
	Key, CullKey string // the names of its boxes
	Name, Bed    string
	Heads        int // at which to stop; of a lift told before, as it was told
	Stand        int // on the rafts, and lifted where nothing else is told
	Rafts        domain.HalfRafts
	True, Culls  string // as typed, else as told before
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
	e.POST("/morning/:day/sheet", o.page((*visit).liftSheet))
	e.POST("/morning/:day/packed", o.page((*visit).savePacked))
	e.POST("/morning/:day/gone", o.page((*visit).saveGone))
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
	told, err := v.office.Book.Told(v.ctx, v.who, day)
	if err != nil {
		return err
	}
	l, err := v.lists()
	if err != nil {
		return err
	}
	view := MorningView{Frame: v.frame("beds", v.say("page.morning.day", "day", v.speech.Day(day))), Day: day, Can: v.office.Read != nil, LiftID: rand.Text()[:16], PackID: rand.Text()[:16],
		GoneID: rand.Text()[:16], Varieties: l.Varieties, Wheres: []domain.Where{domain.Dropped, domain.Stall, domain.FoodBank, domain.Staff, domain.Compost}}
	view.Wrong = wrong
	view.told(l, told)
	for i := range goneRows {
		view.GoneRows = append(view.GoneRows, i)
	}
	p, err := v.office.Book.PackingDay(v.ctx, v.who, day, day)
	switch {
	case errors.Is(err, domain.ErrNotFound) && len(told.Lifts)+len(told.Packings) > 0:
		return v.show(status, "morning", view) // all of it is done
	case err != nil:
		return err
	}
	if v.office.Rack != nil && len(told.Lifts) > 0 {
		for _, x := range v.office.Rack(p) {
			if strings.HasPrefix(x.Name, "recipes.") || strings.HasPrefix(x.Name, "load.") {
				view.Next = append(view.Next, x)
			}
		}
	}
	v.liftBoxes(&view, p, told)
	for i, r := range p.Runs {
		run := PackView{I: i, Product: productName(l, r.Product), Pickup: r.Pickup, Planned: int(r.Cases), Cases: v.FormValue(row("runs", i, "cases"))}
		if run.Cases == "" {
			run.Cases = blankZero(run.Planned)
		}
		view.Runs = append(view.Runs, run)
	}
	return v.show(status, "morning", view)
}

// told puts what was told of the day on the page.
func (w *MorningView) told(l lists, told *book.ToldDay) {
	for _, x := range told.Varieties {
		row := ToldView{Name: varietyOf(l, x.Variety), ToldVariety: x, More: int(x.Heads - x.Planned)}
		w.Told = append(w.Told, row)
	}
	if last := told.LastLift(); last != nil {
		w.Last = last.ID
	}
	for _, p := range told.Packings {
		for _, r := range p.Runs {
			w.Codes = append(w.Codes, CodeView{r.Trace, productName(l, r.Product)})
		}
	}
}

func varietyOf(l lists, variety string) string {
	for _, x := range l.Varieties {
		if x.Code == variety {
			return x.Name
		}
	}
	return variety
}

// liftBoxes are the boxes of the lift: by variety, or lot by lot where that was
// asked for; of a lift that is told again as it was told.
func (v *visit) liftBoxes(w *MorningView, p *book.PackingDay, told *book.ToldDay) {
	w.Lots = v.FormValue("by") == "lot"
	at := map[string]int{}
	add := func(lot, variety, bed string, heads, stand int, rafts domain.HalfRafts) *LiftView {
		key, culls := "heads~"+variety, "culls~"+variety
		if w.Lots {
			key, culls = "lot~"+lot, "lotculls~"+lot
		}
		i, seen := at[key]
		if !seen {
			i = len(w.Lifts)
			at[key] = i
			w.Lifts = append(w.Lifts, LiftView{Key: key, CullKey: culls, Name: varietyName(p.Week, variety), True: v.FormValue(key), Culls: v.FormValue(culls)})
			if w.Lots {
				w.Lifts[i].Bed = bed
			}
		}
		w.Lifts[i].Heads += heads
		w.Lifts[i].Stand += stand
		w.Lifts[i].Rafts += rafts
		return &w.Lifts[i]
	}
	if again := v.FormValue("instead"); again != "" && again == w.Last {
		w.Instead = again
		for _, r := range told.LastLift().Rows {
			add(r.Lot, r.Variety, r.Bed, int(r.Heads), int(r.Heads), r.Rafts)
		}
	}
	for _, pull := range p.Week.Plan.Pulls {
		if pull.Day == w.Day {
			add(pull.Lot, pull.Variety, bedOfLot(p.Week, pull.Lot), pull.StopAt, max(pull.HeadsLifted, pull.StopAt), pull.Rafts)
		}
	}
}

// bedOfLot is the bed that a lot stands in.
func bedOfLot(w *planner.Week, lot string) string {
	for i := range w.Problem.Lots {
		if w.Problem.Lots[i].Code == lot {
			return w.Problem.Lots[i].BedName
		}
	}
	return ""
}

// saveLift stores the morning's true counts: what is left empty was lifted as
// planned, once lifting is done.
func (v *visit) saveLift() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	r := &reader{Values: v.posted()}
	told := book.LiftTold{Day: day, Done: r.Has("done"), RestAsPlanned: r.Has("done"), Instead: r.text("instead")}
	for _, name := range sortedNames(r.Values) {
		if r.text(name) == "" {
			continue
		}
		if code, is := strings.CutPrefix(name, "heads~"); is {
			told.Counts = append(told.Counts, book.LiftCount{Variety: code, Heads: domain.Heads(r.number(name)), Culls: domain.Heads(r.number("culls~" + code))})
		}
		if lot, is := strings.CutPrefix(name, "lot~"); is {
			told.Counts = append(told.Counts, book.LiftCount{Lot: lot, Heads: domain.Heads(r.number(name)), Culls: domain.Heads(r.number("lotculls~" + lot))})
		}
	}
	if err := r.faults.Err(); err != nil {
		return v.morning(http.StatusUnprocessableEntity, v.refusal(err))
	}
	if len(told.Counts) == 0 && !told.Done {
		return v.morning(http.StatusUnprocessableEntity, []string{v.say("page.walk.nothing")})
	}
	return v.entered(day, func(ctx context.Context) error {
		_, err := v.office.Book.RecordLift(ctx, v.who, told, "")
		return err
	}, "lifted")
}

// liftSheet takes a lift count that comes as a sheet, whole or not at all.
func (v *visit) liftSheet() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	d, told, err := v.readDropped()
	if err != nil {
		return err
	}
	if told != nil {
		return v.morning(http.StatusUnprocessableEntity, told)
	}
	o := book.LiftSheet{Name: d.name, Day: day}
	p, err := v.office.Book.PreviewLift(v.ctx, v.who, d.tables, o)
	if err == nil {
		err = p.Faults.Err()
	}
	if err == nil {
		_, err = v.office.Book.TakeLift(v.ctx, v.who, d.tables, o, p.Revision)
	}
	if status, lines := v.formStatus(err); status != 0 {
		return v.morning(status, lines)
	}
	if err != nil {
		return err
	}
	return v.done("/morning/"+day.String(), "lifted")
}

// savePacked stores what was packed: differences only.
func (v *visit) savePacked() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	r := &reader{Values: v.posted()}
	told := book.PackedTold{Day: day}
	for i := range r.count("runs") {
		if n, planned := r.number(row("runs", i, "cases")), r.number(row("runs", i, "planned")); n != planned {
			told.Changes = append(told.Changes, book.PackedChange{Run: i, Cases: domain.Cases(n)})
		}
	}
	return v.savePacking(r, told, "packed")
}

// saveGone stores what went elsewhere than to a customer, of loose heads and of
// packed cases, at whatever hour it did.
func (v *visit) saveGone() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	r := &reader{Values: v.posted()}
	told := book.PackedTold{Day: day, GoneOnly: true}
	for i := range r.count("gone") {
		if heads := r.number(row("gone", i, "heads")); heads > 0 {
			told.Gone = append(told.Gone, domain.HeadsGone{Variety: r.text(row("gone", i, "variety")), Heads: domain.Heads(heads), Where: domain.Where(r.text(row("gone", i, "where")))})
		}
	}
	if cases := r.number("gone_cases"); cases > 0 {
		told.GoneCases = append(told.GoneCases, domain.CasesGone{Trace: r.text("gone_trace"), Cases: domain.Cases(cases), Where: domain.Where(r.text("gone_where"))})
	}
	if len(told.Gone)+len(told.GoneCases) == 0 && r.faults == nil {
		return v.morning(http.StatusUnprocessableEntity, []string{v.say("page.walk.nothing")})
	}
	return v.savePacking(r, told, "gone")
}

func (v *visit) savePacking(r *reader, told book.PackedTold, said string) error {
	if err := r.faults.Err(); err != nil {
		return v.morning(http.StatusUnprocessableEntity, v.refusal(err))
	}
	return v.entered(told.Day, func(ctx context.Context) error {
		_, err := v.office.Book.RecordPacked(ctx, v.who, told, "")
		return err
	}, said)
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
