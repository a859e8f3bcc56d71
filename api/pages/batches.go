package pages

import (
	"context"
	"errors"
	"net/http"

	"crypto/rand"

	"github.com/labstack/echo/v4"

	"headtally/domain"
	"headtally/planner"
	"headtally/planner/growth"
	"headtally/planner/sowing"
)

// BatchesView is what grows: in trays, in the beds, and past its day.
type BatchesView struct {
	Frame
	ID        string
	Nursery   []GrowView
	Overdue   []GrowView
	Beds      []planner.BedView
	Names     map[string]string // variety code -> name
	Varieties []domain.Variety
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
	Told   []domain.BatchEvent
	Steps  []domain.BatchStep
	Today  domain.Day
	Typed  domain.BatchEvent
	Action string
}

// SowingView is what to sow, day by day, and the weekly table.
type SowingView struct {
	Frame
	Table *sowing.Table
	Names map[string]string
}

func (o *Office) registerBatches(e *echo.Echo) {
	e.GET("/batches", o.page(func(v *visit) error { return v.batches(http.StatusOK, nil) }))
	e.POST("/batches", o.page((*visit).sow))
	e.GET("/batches/:code", o.page(func(v *visit) error { return v.batch(http.StatusOK, nil, domain.BatchEvent{}) }))
	e.POST("/batches/:code", o.page((*visit).tell))
	e.GET("/sowing", o.page((*visit).sowing))
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
	view := BatchesView{Frame: v.frame("beds", v.say("page.batches.title")), ID: rand.Text()[:16], Beds: house.Beds, Names: names, Varieties: list}
	view.Wrong = wrong
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
	err := v.record(r, e)
	if err == nil {
		return v.done("/batches", "sown")
	}
	status, lines := v.formStatus(err)
	if status == 0 {
		return err
	}
	return v.batches(status, lines)
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
		Name: names[x.Batch.Variety], Grow: x.Projection, Told: x.Told, Today: v.today, Typed: typed, Action: "/batches/" + x.Batch.Code,
		Steps: []domain.BatchStep{domain.Germinated, domain.UnderLight, domain.SetOut, domain.Counted, domain.Lost, domain.Finished}}
	view.Wrong = wrong
	if view.Typed.Day == 0 {
		view.Typed.Day = v.today
	}
	return v.show(status, "batch", view)
}

// tell stores what happened to a batch.
func (v *visit) tell() error {
	r := &reader{Values: v.posted()}
	e := domain.BatchEvent{Batch: v.Param("code"), Step: domain.BatchStep(r.text("step")), Day: r.day("day"), Rafts: r.rafts("rafts"), Bed: r.text("bed"),
		Heads: domain.Heads(r.number("heads")), Trays: r.number("trays"), Ready: r.day("ready"), Why: r.text("why")}
	err := v.record(r, e)
	if err == nil {
		return v.done("/batches/"+v.Param("code"), "told")
	}
	status, lines := v.formStatus(err)
	if status == 0 {
		return err
	}
	return v.batch(status, lines, e)
}

func (v *visit) sowing() error {
	names, _, err := v.varietyNames()
	if err != nil {
		return err
	}
	view := SowingView{Frame: v.frame("more", v.say("page.sowing.title")), Names: names}
	view.Table, err = v.office.Book.SowingTable(v.ctx, v.who, v.today)
	var faults domain.Faults
	if errors.As(err, &faults) {
		view.Wrong = v.refusal(err)
		view.Table = &sowing.Table{}
	} else if err != nil {
		return err
	}
	return v.show(http.StatusOK, "sowing", view)
}
