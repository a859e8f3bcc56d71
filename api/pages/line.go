package pages

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"headtally/api/book"
	"headtally/domain"
	"headtally/planner"
)

// OneLineView is everything about one line of a pickup day.
type OneLineView struct {
	Frame
	Pickup domain.Day
	Line   LineView
	Lots   []LotView
}

// LotView is heads of one lot that a line or a variety gets.
type LotView struct {
	Code            string
	Variety, Bed    string
	Ready, Last     domain.Day
	Pulled          domain.Day
	Heads, Cautious int
}

func (v *visit) line() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	board, err := v.office.Book.Board(v.ctx, v.who, v.today, day)
	if err != nil {
		return err
	}
	id := v.QueryParam("id")
	at := slices.IndexFunc(board.Lines, func(l book.DayLine) bool { return l.Base == id })
	if at < 0 {
		return domain.Refuse(domain.ErrNotFound, "line", id)
	}
	line := v.lineView(board, board.Lines[at])
	view := OneLineView{Frame: v.frame("pickup", line.Customer.Name), Pickup: day, Line: line}
	for _, h := range line.Plan.Heads {
		lot := lotView(board.Week, h.Lot)
		lot.Heads = h.Heads
		view.Lots = append(view.Lots, lot)
	}
	return v.show(http.StatusOK, "line", view)
}

// lotView is a lot by its code.
func lotView(w *planner.Week, code string) LotView {
	for _, l := range w.Problem.Lots {
		if l.Code == code {
			return LotView{l.Code, varietyName(w, l.Variety), l.BedName, l.Ready, l.Last, l.Pulled, l.Heads, l.Cautious()}
		}
	}
	return LotView{}
}

func varietyName(w *planner.Week, code string) string {
	for _, x := range w.Problem.Varieties {
		if x.Code == code {
			return x.Name
		}
	}
	return code
}

func escape(s string) string { return url.QueryEscape(s) }

// whole reads a whole number as people type it; -1 is none.
func whole(text string) int {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || n < 0 {
		return -1
	}
	return n
}

// formStatus is the status and the sentences with which a form comes back; 0
// where the error is none that a form could mend.
func (v *visit) formStatus(err error) (int, []string) {
	var faults domain.Faults
	switch {
	case errors.As(err, &faults):
		return http.StatusUnprocessableEntity, v.refusal(err)
	case errors.Is(err, domain.ErrStale), errors.Is(err, domain.ErrConflict):
		return http.StatusConflict, v.refusal(err)
	}
	return 0, nil
}
