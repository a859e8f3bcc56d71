package pages

import (
	"io"
	"net/http"
	"strconv"
	"strings"

	"headtally/domain"
)

// AvailabilityView is what can still be promised, by pickup day and product, and
// the same in lines to paste.
type AvailabilityView struct {
	Frame
	HoldBack string // as asked, or the farm's
	Days     []domain.Day
	Rows     []SpareRow
	Text     string
	Missing  string // what must be told before there can be any; "": nothing
}

// SpareRow is a product and its cases on each of the days.
type SpareRow struct {
	Name  string
	Cases []int
}

// heldBack is how many cases of each product are not offered: as asked for, else
// as the farm has it.
func (v *visit) heldBack() (domain.Cases, error) {
	a := v.address()
	n := a.within("hold_back", 0, domain.MaxCount, int(v.farm.HoldBack))
	return domain.Cases(n), a.err()
}

func (v *visit) availability() error {
	held, err := v.heldBack()
	view := AvailabilityView{Frame: v.frame("more", v.say("page.avail.title")), HoldBack: strconv.Itoa(int(held))}
	if err != nil {
		view.HoldBack, view.Wrong = v.QueryParam("hold_back"), v.refusal(err)
		return v.show(http.StatusUnprocessableEntity, "availability", view)
	}
	found, err := v.office.Book.Spares(v.ctx, v.who, v.today, held)
	if err != nil {
		return err
	}
	l, err := v.lists()
	if err != nil {
		return err
	}
	view.Missing = l.missing(products.word, carriers.word)
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
	held, err := v.heldBack()
	if err != nil {
		return err
	}
	found, err := v.office.Book.Spares(v.ctx, v.who, v.today, held)
	if err != nil {
		return err
	}
	if v.office.DrawSpares == nil {
		return domain.Refuse(domain.ErrNotFound, "paper", "availability")
	}
	return v.pdf("availability", func(w io.Writer) error { return v.office.DrawSpares(w, v.farm, v.today, found) })
}
