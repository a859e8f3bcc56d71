package pages

import (
	"io"
	"net/http"
	"strconv"
	"strings"

	"headtally/api/book"
	"headtally/domain"
)

// AvailabilityView is what can still be promised, by pickup day and product, and
// the same in lines to paste.
type AvailabilityView struct {
	Frame
	HoldBack int
	Days     []domain.Day
	Rows     []SpareRow
	Text     string
}

// SpareRow is a product and its cases on each of the days.
type SpareRow struct {
	Name  string
	Cases []int
}

// spares reads what is spare, less what is held back: as asked for, else the
// farm's figure.
func (v *visit) spares() (held int, found []book.Spare, err error) {
	held = int(v.farm.HoldBack)
	if asked, err := strconv.Atoi(v.QueryParam("hold_back")); err == nil && asked >= 0 && asked <= domain.MaxCount {
		held = asked
	}
	found, err = v.office.Book.Spares(v.ctx, v.who, v.today, domain.Cases(held))
	return held, found, err
}

func (v *visit) availability() error {
	held, found, err := v.spares()
	if err != nil {
		return err
	}
	view := AvailabilityView{Frame: v.frame("more", v.say("page.avail.title")), HoldBack: held}
	if v.office.SpareLines != nil {
		view.Text = strings.Join(v.office.SpareLines(v.farm, found), "\n")
	}
	days, rows := map[domain.Day]int{}, map[string]int{}
	for _, s := range found {
		if _, seen := days[s.Pickup]; !seen {
			days[s.Pickup] = len(view.Days)
			view.Days = append(view.Days, s.Pickup)
		}
	}
	for _, s := range found {
		i, seen := rows[s.Product]
		if !seen {
			i = len(view.Rows)
			rows[s.Product] = i
			view.Rows = append(view.Rows, SpareRow{s.Name, make([]int, len(view.Days))})
		}
		view.Rows[i].Cases[days[s.Pickup]] = int(s.Cases)
	}
	return v.show(http.StatusOK, "availability", view)
}

func (v *visit) availabilityPaper() error {
	_, found, err := v.spares()
	if err != nil {
		return err
	}
	if v.office.DrawSpares == nil {
		return domain.Refuse(domain.ErrNotFound, "paper", "availability")
	}
	return v.pdf("availability", func(w io.Writer) error { return v.office.DrawSpares(w, v.farm, v.today, found) })
}
