package pages

import (
	"context"
	"crypto/rand"
	"io"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
	"headtally/planner"
	"headtally/planner/growth"
)

// BatchesView is what grows: in trays, in the beds, and past its day.
type BatchesView struct {
	Frame
	ID        string
	Nursery   []GrowView
	Overdue   []GrowView
	House     *planner.House
	Names     map[string]string // variety code -> name
	Varieties []domain.Variety
	Missing   string // what must be told before anything is sown; "": nothing
}

// GrowView is one batch with what is expected of it.
type GrowView struct {
	growth.Projection
	Name string
}

// BatchPage is one batch and what can be told of it.
type BatchPage struct {
	Frame
	ID     string
	Batch  domain.Batch
	Name   string
	Grow   *growth.Projection
	Trust  []growth.Trust // how projections of its variety held
	Told   []EventView
	Steps  []domain.BatchStep
	Today  domain.Day
	Typed  domain.BatchEvent
	Action string
	Traced bool // there are records to follow
}

// EventView is one thing that was told of a batch. What another event stands
// instead of is shown struck through.
type EventView struct {
	domain.BatchEvent
	Corrected bool
}

func (o *Office) registerBatches(e *echo.Echo) {
	e.GET("/batches", o.page(func(v *visit) error { return v.batches(http.StatusOK, nil) }))
	e.POST("/batches", o.page((*visit).sow))
	e.GET("/batches/:code", o.page(func(v *visit) error { return v.batch(http.StatusOK, nil, domain.BatchEvent{}) }))
	e.POST("/batches/:code", o.page((*visit).tell))
	e.POST("/forward", o.page((*visit).forward))
	e.GET("/growing-papers/:day/:name", o.page((*visit).growingPaper))
}

func (v *visit) varietyNames() (map[string]string, []domain.Variety, error) {
	l, err := v.lists()
	names := map[string]string{}
	for _, x := range l.Varieties {
		names[x.Code] = x.Name
	}
	return names, l.Varieties, err
}

func (v *visit) batches(status int, wrong []string) error {
	names, list, err := v.varietyNames()
	if err != nil {
		return err
	}
	house, err := v.office.Book.House(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	view := BatchesView{Frame: v.frame("beds", v.say("page.batches.title")), ID: rand.Text()[:16], House: house, Names: names, Varieties: list}
	view.Wrong, view.Missing = wrong, lists{Varieties: list}.missing(varieties.word)
	for _, p := range house.Nursery {
		view.Nursery = append(view.Nursery, GrowView{p, names[p.Batch.Variety]})
	}
	for _, p := range house.Overdue {
		view.Overdue = append(view.Overdue, GrowView{p, names[p.Batch.Variety]})
	}
	return v.show(status, "batches", view)
}

// sow stores a sowing.
func (v *visit) sow() error {
	r := &reader{Values: v.posted()}
	e := domain.BatchEvent{Step: domain.Sown, Day: r.day("day"), Variety: r.text("variety"), Trays: r.number("trays"), SeedLot: r.text("seed_lot")}
	return v.changed(v.record(r, e), "/batches", "sown", v.batches)
}

// record stores one event once, however often its form is sent.
func (v *visit) record(r *reader, e domain.BatchEvent) error {
	if err := r.faults.Err(); err != nil {
		return err
	}
	ctx, done, err := v.once()
	if err != nil || done {
		return err
	}
	return v.recordIn(ctx, e)
}

func (v *visit) recordIn(ctx context.Context, e domain.BatchEvent) error {
	_, err := v.office.Book.RecordBatches(ctx, v.who, []domain.BatchEvent{e}, e.Why)
	return err
}

func (v *visit) batch(status int, wrong []string, typed domain.BatchEvent) error {
	x, err := v.office.Book.Batch(v.ctx, v.who, v.today, v.Param("code"))
	if err != nil {
		return err
	}
	names, _, err := v.varietyNames()
	if err != nil {
		return err
	}
	view := BatchPage{Frame: v.frame("beds", v.say("page.batch.title", "variety", names[x.Batch.Variety], "batch", x.Batch.Code)), ID: rand.Text()[:16], Batch: x.Batch,
		Name: names[x.Batch.Variety], Grow: x.Projection, Told: toldOf(x.Told), Today: v.today, Typed: typed, Action: "/batches/" + x.Batch.Code,
		Steps: []domain.BatchStep{domain.Germinated, domain.UnderLight, domain.SetOut, domain.Lifted, domain.Counted, domain.Lost, domain.Finished}}
	view.Wrong = wrong
	if view.Traced, err = v.traced(x.Batch.Code); err != nil {
		return err
	}
	if x.Projection != nil {
		went, err := v.office.Book.HowItWent(v.ctx, v.who, v.today)
		if err != nil {
			return err
		}
		view.Trust = trustOf(went, x.Batch.Variety)
	}
	if view.Typed.Day == 0 {
		view.Typed.Day = v.today
	}
	return v.show(status, "batch", view)
}

func toldOf(events []domain.BatchEvent) (list []EventView) {
	corrected := map[string]bool{}
	for _, e := range events {
		corrected[e.Corrects] = true
	}
	for _, e := range events {
		list = append(list, EventView{e, corrected[e.ID]})
	}
	return list
}

// trustOf is how projections of one variety held.
func trustOf(went *book.GrowingWent, variety string) (list []growth.Trust) {
	for _, t := range went.Sure {
		if t.Variety == variety {
			list = append(list, t)
		}
	}
	return list
}

// tell stores what happened to a batch, or that something told never happened.
func (v *visit) tell() error {
	r := &reader{Values: v.posted()}
	e := domain.BatchEvent{Batch: v.Param("code"), Step: domain.BatchStep(r.text("step")), Day: r.day("day"), Rafts: r.rafts("rafts"), Bed: r.text("bed"),
		Heads: domain.Heads(r.number("heads")), Culls: domain.Heads(r.number("culls")), Trays: r.number("trays"), Ready: r.day("ready"), Why: r.text("why"), Corrects: r.text("corrects")}
	return v.changed(v.record(r, e), "/batches/"+e.Batch, "told", func(status int, wrong []string) error { return v.batch(status, wrong, e) })
}

// forward says that all of a variety is ready earlier, or later, than thought.
func (v *visit) forward() error {
	r := &reader{Values: v.posted()}
	variety, days, later := r.text("variety"), r.number("days"), r.text("which") == "later"
	if later {
		days = -days
	}
	err := r.faults.Err()
	if err == nil {
		ctx, done, failed := v.once()
		if err = failed; err == nil && !done {
			_, err = v.office.Book.BringForward(ctx, v.who, variety, days, v.today, r.text("why"))
		}
	}
	return v.changed(err, "/batches", "forward", v.batches)
}

// growingPaper sends a paper of growing as a PDF: of the day, or of one batch.
func (v *visit) growingPaper() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	name, is := strings.CutSuffix(v.Param("name"), ".pdf")
	if !is || v.office.DrawGrowing == nil {
		return domain.Refuse(domain.ErrNotFound, "paper", v.Param("name"))
	}
	g, err := v.office.Book.GrowingDay(v.ctx, v.who, day, v.QueryParam("batch"))
	if err != nil {
		return err
	}
	return v.pdf(day.String()+"-"+name, func(w io.Writer) error { return v.office.DrawGrowing(w, g, name) })
}
