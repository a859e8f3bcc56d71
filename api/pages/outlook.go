package pages

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// OutlookView is varieties down and pickup days across, as far as the farm looks.
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
	Address string
	Listed  int
	Short   int
	AtRisk  int
	State   book.LineState // "": nothing is ordered
}

// VarietyDayView is what lies behind one cell of the outlook.
type VarietyDayView struct {
	Frame
	Variety string
	Pickup  domain.Day
	Lines   []LineView
	Lots    []LotView
	Row     OutlookCell
	Ahead   bool // the day lies beyond what is planned
}

func (o *Office) registerOutlook(e *echo.Echo) {
	e.GET("/outlook", o.page((*visit).outlook))
	e.GET("/outlook/:variety/:day", o.page((*visit).varietyDay))
}

func (v *visit) outlook() error {
	look, err := v.office.Book.Outlook(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	view := OutlookView{Frame: v.frame("outlook", v.say("page.outlook.title")), Days: look.Days}
	view.Wide = true
	for _, d := range look.Days {
		_, week := d.ISOWeek()
		if n := len(view.Weeks); n > 0 && view.Weeks[n-1].Week == week {
			view.Weeks[n-1].Span++
		} else {
			view.Weeks = append(view.Weeks, WeekHead{week, 1})
		}
	}
	for _, x := range look.Varieties {
		row := OutlookRow{Code: x.Code, Name: x.Name}
		for _, d := range look.Days {
			row.Cells = append(row.Cells, outlookCell(look, x.Code, d))
		}
		view.Rows = append(view.Rows, row)
	}
	return v.show(http.StatusOK, "outlook", view)
}

func outlookCell(look *book.Outlook, variety string, d domain.Day) OutlookCell {
	c := look.At(variety, d)
	return OutlookCell{Address: "/outlook/" + variety + "/" + d.String(), Listed: c.Listed, Short: c.Short, AtRisk: c.AtRisk, State: c.State()}
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
	look, err := v.office.Book.Outlook(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	view := VarietyDayView{Frame: v.frame("outlook", x.Value.Name), Variety: x.Value.Name, Pickup: day, Row: outlookCell(look, code, day), Ahead: !look.Planned(day)}
	if view.Ahead {
		return v.show(http.StatusOK, "varietyday", view)
	}
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
	return v.show(http.StatusOK, "varietyday", view)
}

// takes says whether a product can hold a variety.
func takes(p domain.Product, variety string) bool {
	for _, s := range p.Slots {
		for _, code := range s.Accept {
			if code == variety {
				return true
			}
		}
	}
	return false
}
