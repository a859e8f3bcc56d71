package pages

import (
	"net/http"
	"slices"
	"sync"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
	"headtally/planner"
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
	Lots    []LotView
	Row     OutlookCell
	Ahead   bool // the day lies beyond what is planned
	Mends   []MendView
	Late    bool // cases are short and no sowing mends them any more
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
		if row.Listed == 0 {
			continue
		}
		if cells[row.Variety] == nil {
			cells[row.Variety] = map[domain.Day]OutlookCell{}
		}
		cells[row.Variety][row.Pickup] = outlookCell(row)
		if !slices.Contains(view.Days, row.Pickup) {
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
	for _, row := range look.Rows {
		if row.Variety == code && row.Pickup == day {
			view.Row = outlookCell(row)
		}
	}
	for _, s := range look.Shorts {
		if s.Pickup == day && view.Row.Short > 0 {
			for _, m := range s.Mends {
				view.Mends = append(view.Mends, MendView{m, varietyName(week, m.Variety)})
			}
			view.Late = len(s.Mends) == 0 && !s.Mended
		}
	}
	if !view.Ahead {
		if err := v.behind(&view, code, day); err != nil {
			return err
		}
	}
	return v.show(http.StatusOK, "varietyday", view)
}

// behind adds the lines and lots of a day that is planned.
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
	for _, lot := range board.Week.Problem.Lots {
		if lot.Variety == code {
			view.Lots = append(view.Lots, lotView(board.Week, lot.Code))
		}
	}
	return nil
}

// takes says whether a product can hold a variety.
func takes(p domain.Product, variety string) bool {
	return slices.ContainsFunc(p.Slots, func(s domain.Slot) bool { return slices.Contains(s.Accept, variety) })
}
