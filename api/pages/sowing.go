package pages

import (
	"errors"
	"net/http"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
	"headtally/planner/sowing"
)

// SowingView is what to sow, day by day, and the weekly table; what a day's
// sowing can cover; and what a surge would ask for.
type SowingView struct {
	Frame
	Table     *sowing.Table
	Soon      []sowing.Dated // of the table's days, those of the next week
	Later     []sowing.Dated
	Names     map[string]string
	Varieties []domain.Variety
	Growing   domain.Growing
	Base      int64 // the settings that the table was made from
	Changes   bool  // the table proposes another than the farm's
	Covers    CoversView
	Surge     SurgeView
	Missing   string // what must be told before anything is sown; "": nothing
}

// CoversView is what trays sown on a day can cover.
type CoversView struct {
	Day   domain.Day
	Trays map[string]int // by variety
	List  []sowing.Cover
}

// SurgeView is a surge that might come, with what it would ask for.
type SurgeView struct {
	Asked   bool
	Surge   domain.Surge
	Answers []sowing.Answer
}

func (o *Office) registerSowing(e *echo.Echo) {
	e.GET("/sowing", o.page(func(v *visit) error { return v.sowing(http.StatusOK, nil) }))
	e.POST("/sowing", o.page((*visit).agreeTable))
}

func (v *visit) sowing(status int, wrong []string) error {
	names, list, growing, err := v.grown()
	if err != nil {
		return err
	}
	view := SowingView{Frame: v.frame("more", v.say("page.sowing.title")), Names: names, Varieties: list, Growing: growing.Value, Base: growing.Rev}
	view.Wrong, view.Missing = wrong, lists{Varieties: list}.missing(varieties.word)
	if view.Table, err = v.office.Book.SowingTable(v.ctx, v.who, v.today); err != nil {
		return err
	}
	for _, s := range view.Table.Sowings {
		if s.Day < v.today.Add(7) {
			view.Soon = append(view.Soon, s)
		} else {
			view.Later = append(view.Later, s)
		}
	}
	for _, r := range view.Table.Rows {
		view.Changes = view.Changes || r.Trays != r.Now
	}
	for _, ask := range []func(*SowingView) error{v.askCovers, v.askSurge} {
		var faults domain.Faults
		if err := ask(&view); errors.As(err, &faults) {
			status, view.Wrong = http.StatusUnprocessableEntity, append(view.Wrong, v.refusal(err)...)
		} else if err != nil {
			return err
		}
	}
	return v.show(status, "sowing", view)
}

// askCovers reads which trays on which day are asked after; where nobody asked,
// those of the first day of the table.
func (v *visit) askCovers(view *SowingView) error {
	r := &reader{Values: v.QueryParams()}
	c := &view.Covers
	c.Trays = map[string]int{}
	if c.Day = r.day("sow"); c.Day == 0 && len(view.Table.Sowings) > 0 {
		c.Day = view.Table.Sowings[0].Day
		for _, s := range view.Table.Sowings {
			if s.Day == c.Day {
				c.Trays[s.Variety] += s.Trays
			}
		}
	}
	for _, x := range view.Varieties {
		if n := r.number("trays." + x.Code); n != 0 {
			c.Trays[x.Code] = n
		}
	}
	if err := r.faults.Err(); err != nil || c.Day == 0 {
		return err
	}
	list, err := v.office.Book.SowingCovers(v.ctx, v.who, v.today, c.Day, c.Trays)
	c.List = list
	return err
}

// askSurge reads the surge that is asked after, if any.
func (v *visit) askSurge(view *SowingView) error {
	r := &reader{Values: v.QueryParams()}
	if view.Surge.Asked = r.Has("heads"); !view.Surge.Asked {
		return nil
	}
	s := domain.Surge{From: r.day("from"), Variety: r.text("variety"), Heads: domain.Heads(r.number("heads"))}
	view.Surge.Surge = s
	if err := r.faults.Err(); err != nil {
		return err
	}
	answers, err := v.office.Book.SurgeAsks(v.ctx, v.who, v.today, s)
	view.Surge.Answers = answers
	return err
}

// agreeTable makes the table that is proposed the farm's own.
func (v *visit) agreeTable() error {
	r := &reader{Values: v.posted()}
	var rows []domain.SowRow
	for i := range r.count("rows") {
		rows = append(rows, domain.SowRow{Variety: r.text(row("rows", i, "variety")), Weekday: r.text(row("rows", i, "weekday")), Trays: r.number(row("rows", i, "trays"))})
	}
	err := r.faults.Err()
	if err == nil {
		_, err = v.office.Book.AgreeTable(v.ctx, v.who, rows, book.Note{Base: v.revision("base")})
	}
	return v.changed(err, "/sowing", "saved", v.sowing)
}

// lostHeads is what is lost on average by what had to give.
func lostHeads(g sowing.Give) int { return round(g.Lost[0] + g.Lost[1] + g.Lost[2]) }
