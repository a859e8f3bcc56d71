package pages

import (
	"net/http"
	"slices"
	"sync"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
	"headtally/planner"
	"headtally/planner/growth"
)

// OutlookView is varieties down and pickup days across, eight weeks of them.
type OutlookView struct {
	Frame
	Weeks []WeekHead
	Days  []domain.Day
	Rows  []OutlookRow
}

// WeekHead is a week over its days.
type WeekHead struct {
	Week int
	Span int
}

// OutlookRow is one variety.
type OutlookRow struct {
	Code, Name string
	Cells      []OutlookCell
}

// OutlookCell is the heads of one variety for one pickup day.
type OutlookCell struct {
	planner.OutlookRow
	Address string
	State   book.LineState // "": nothing is ordered
}

// VarietyDayView is what lies behind one cell of the outlook, and what would
// mend it.
type VarietyDayView struct {
	Frame
	Variety string
	Pickup  domain.Day
	Lines   []LineView
	Coming  []AheadLine // the lines of a day that lies beyond what is planned
	Lots    []SourcedLot
	Row     OutlookCell
	Ahead   bool // the day lies beyond what is planned
	Mends   []MendView
	Mended  bool // by a sowing named for an earlier day
	Late    bool // cases are short and no sowing mends them any more
}

// AheadLine is a line of a day that is only looked ahead to.
type AheadLine struct {
	planner.OutlookLine
	Name    string // the customer's
	Product string
}

// SourcedLot is a lot with where its figures come from, in words.
type SourcedLot struct {
	LotView
	From  string
	Batch string // "": it was counted
}

// MendView is a sowing that would still mend a pickup day.
type MendView struct {
	planner.Mend
	Name string
}

// outlookWeeks is how far the outlook reaches.
const outlookWeeks = 8

// aheadKept is the outlook of one moment of the book: it is the same until the
// book changes.
type aheadKept struct {
	mu       sync.Mutex
	revision int64
	asOf     domain.Day
	outlook  *planner.Outlook
}

func (v *visit) ahead() (*planner.Outlook, error) {
	revision, err := v.office.Book.Revision(v.ctx)
	if err != nil {
		return nil, err
	}
	kept := &v.office.ahead
	kept.mu.Lock()
	defer kept.mu.Unlock()
	if kept.outlook != nil && kept.revision == revision && kept.asOf == v.today {
		return kept.outlook, nil
	}
	o, err := v.office.Book.LookAhead(v.ctx, v.who, v.today, outlookWeeks)
	if err == nil {
		kept.outlook, kept.revision, kept.asOf = o, o.Revision, v.today
	}
	return o, err
}

func (o *Office) registerOutlook(e *echo.Echo) {
	e.GET("/outlook", o.page((*visit).outlook))
	e.GET("/outlook/:variety/:day", o.page((*visit).varietyDay))
}

func (v *visit) outlook() error {
	look, err := v.ahead()
	if err != nil {
		return err
	}
	l, err := v.lists()
	if err != nil {
		return err
	}
	view := OutlookView{Frame: v.frame("outlook", v.say("page.outlook.title"))}
	view.Wide = true
	cells := map[string]map[domain.Day]OutlookCell{}
	for _, row := range look.Rows {
		if row.Listed == 0 && row.Spare == 0 {
			continue
		}
		if cells[row.Variety] == nil {
			cells[row.Variety] = map[domain.Day]OutlookCell{}
		}
		cells[row.Variety][row.Pickup] = outlookCell(row)
		if row.Listed > 0 && !slices.Contains(view.Days, row.Pickup) {
			view.Days = append(view.Days, row.Pickup)
		}
	}
	for _, d := range view.Days {
		_, week := d.ISOWeek()
		if n := len(view.Weeks); n > 0 && view.Weeks[n-1].Week == week {
			view.Weeks[n-1].Span++
		} else {
			view.Weeks = append(view.Weeks, WeekHead{week, 1})
		}
	}
	for _, x := range l.Varieties {
		row := OutlookRow{Code: x.Code, Name: x.Name}
		for _, d := range view.Days {
			row.Cells = append(row.Cells, cells[x.Code][d])
		}
		view.Rows = append(view.Rows, row)
	}
	return v.show(http.StatusOK, "outlook", view)
}

// stateOf is how the pages call the outlook's states.
var stateOf = map[planner.State]book.LineState{planner.Covered: book.StateSure, planner.AtRisk: book.StateAtRisk,
	planner.Short: book.StateShort, planner.NotCounted: book.StateNotCounted}

func outlookCell(row planner.OutlookRow) OutlookCell {
	return OutlookCell{OutlookRow: row, Address: "/outlook/" + row.Variety + "/" + row.Pickup.String(), State: stateOf[row.State]}
}

func (v *visit) varietyDay() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	code := v.Param("variety")
	x, err := v.office.Book.Varieties.Get(v.ctx, v.who, code)
	if err != nil {
		return err
	}
	look, err := v.ahead()
	if err != nil {
		return err
	}
	week, err := v.office.Book.Week(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	view := VarietyDayView{Frame: v.frame("outlook", x.Value.Name), Variety: x.Value.Name, Pickup: day, Ahead: !slices.Contains(week.Problem.PickupDays, day)}
	behind := look.Behind(code, day)
	if behind.Row.Listed > 0 || behind.Row.Expected > 0 {
		view.Row = outlookCell(behind.Row)
	}
	if short := behind.Short; short != nil && view.Row.Short > 0 {
		for _, m := range short.Mends {
			view.Mends = append(view.Mends, MendView{m, varietyName(week, m.Variety)})
		}
		view.Mended = short.Mended
		view.Late = len(short.Mends) == 0 && !short.Mended
	}
	if err := v.standBehind(&view, &behind); err != nil {
		return err
	}
	if !view.Ahead {
		if err := v.behind(&view, code, day); err != nil {
			return err
		}
	}
	return v.show(http.StatusOK, "varietyday", view)
}

// standBehind adds the lots behind a cell, and the lines of a day that is only
// looked ahead to.
func (v *visit) standBehind(view *VarietyDayView, b *planner.Behind) error {
	l, err := v.lists()
	if err != nil {
		return err
	}
	for _, r := range b.Lots {
		lot := LotView{r.Lot.Code, view.Variety, r.Lot.BedName, r.Lot.Ready, r.Lot.Last, r.Lot.Pulled, r.Lot.Heads, r.Lot.Cautious()}
		view.Lots = append(view.Lots, SourcedLot{lot, v.sourceOf(r.Source), r.Source.Batch})
	}
	if view.Ahead {
		for _, x := range b.Lines {
			view.Coming = append(view.Coming, AheadLine{x, customerName(l, x.Customer), productName(l, x.Product)})
		}
	}
	return nil
}

// sourceOf says where a lot's figures come from.
func (v *visit) sourceOf(s growth.Source) string {
	switch {
	case s.NotReady:
		return v.say("source.not_ready", "batch", s.Batch, "day", v.speech.ShortDay(s.Told))
	case s.Batch != "":
		return v.say("source.batch", "batch", s.Batch, "method", v.say("method."+string(s.Method), "batches", s.Batches))
	case s.Told != 0:
		return v.say("source.count", "day", v.speech.ShortDay(s.Told))
	}
	return ""
}

// behind adds the lines of a day that is planned, with their answers.
func (v *visit) behind(view *VarietyDayView, code string, day domain.Day) error {
	board, err := v.office.Book.Board(v.ctx, v.who, v.today, day)
	if err != nil {
		return err
	}
	for _, l := range board.Lines {
		if takes(l.Product, code) {
			view.Lines = append(view.Lines, v.lineView(board, l))
		}
	}
	return nil
}

// takes says whether a product can hold a variety.
func takes(p domain.Product, variety string) bool {
	return slices.ContainsFunc(p.Slots, func(s domain.Slot) bool { return slices.Contains(s.Accept, variety) })
}
