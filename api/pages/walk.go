package pages

import (
	"crypto/rand"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// BedsView is what was counted last and where to count anew.
type BedsView struct {
	Frame
	Counts []CountView
	Known  []KnownView
}

// CountView is one walk.
type CountView struct {
	ID    string
	Day   domain.Day
	Beds  int
	Rafts domain.HalfRafts
	Whole bool
	Cold  bool // the cooler was counted
	Note  string
}

// KnownView is one variety and the heads that stand and lie for it.
type KnownView struct {
	Code, Name string
	Ready      int // heads that can be lifted today
	Later      int
	Cooler     int
}

// WalkView is a walk through the house, row by row.
type WalkView struct {
	Frame
	ID        string // the count's own, so that one sent twice is stored once
	Day       domain.Day
	Next      domain.Day // the next harvest days, which the boxes name
	After     domain.Day
	Varieties []domain.Variety
	Products  []domain.Product
	Rows      []WalkRow
	Whole     bool
	Cooler    bool // it was counted too, and all of it
	Loose     []LooseRow
	Packed    []CasesRow
	Focus     string // the box to type into first
	Missing   string // what must be told before anything is counted; "": nothing
}

// WalkRow is one bed of one variety.
type WalkRow struct {
	I                      int
	Bed, Variety, Name     string
	Now, Next, After, Poor string
	Known                  bool // bed and variety stand as they were; only figures are asked
	Fault                  string
}

// spareBeds are the rows for beds that were not there at the last walk.
const spareBeds = 3

func (o *Office) registerBeds(e *echo.Echo) {
	e.GET("/beds", o.page((*visit).beds))
	e.GET("/beds/without", o.page((*visit).without))
	e.GET("/beds/walk", o.page(func(v *visit) error { return v.walk(http.StatusOK, nil, nil, nil) }))
	e.POST("/beds/walk", o.page((*visit).saveWalk))
}

func (v *visit) beds() error {
	counts, err := v.office.Book.Counts.List(v.ctx, v.who, book.Query{})
	if err != nil {
		return err
	}
	view := BedsView{Frame: v.frame("beds", v.say("page.beds.title"))}
	for i := len(counts) - 1; i >= 0 && len(view.Counts) < 10; i-- {
		c := counts[i].Value
		row := CountView{ID: c.ID, Day: c.Day, Beds: len(c.Beds), Whole: c.Whole, Cold: c.Cooler, Note: c.Note}
		for _, b := range c.Beds {
			row.Rafts += b.RaftsNow + b.RaftsNext + b.RaftsAfter
		}
		view.Counts = append(view.Counts, row)
	}
	week, err := v.office.Book.Week(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	for _, x := range week.Problem.Varieties {
		known := KnownView{Code: x.Code, Name: x.Name}
		for _, lot := range week.Problem.Lots {
			switch {
			case lot.Variety != x.Code:
			case lot.Pulled != 0:
				known.Cooler += lot.Heads
			case lot.Ready <= v.today:
				known.Ready += lot.Heads
			default:
				known.Later += lot.Heads
			}
		}
		view.Known = append(view.Known, known)
	}
	return v.show(http.StatusOK, "beds", view)
}

// walk shows the boxes of a walk: those of the last whole one, or as typed.
func (v *visit) walk(status int, wrong []string, faults domain.Faults, typed *domain.Count) error {
	l, err := v.lists()
	if err != nil {
		return err
	}
	view := WalkView{Frame: v.frame("beds", v.say("page.beds.walk")), Day: v.today, Varieties: l.Varieties, Products: l.Products, Whole: true, Missing: l.missing(varieties.word)}
	view.Wrong = wrong
	view.Next, _ = l.Calendar.NextLift(v.today.Add(1))
	view.After, _ = l.Calendar.NextLift(view.Next.Add(1))
	if typed != nil {
		view.ID, view.Day, view.Whole = typed.ID, typed.Day, typed.Whole
		for i, b := range typed.Beds {
			r := walkRow(l, i, b)
			r.Now, r.Next, r.After, r.Poor = v.FormValue(row("beds", i, "rafts_now")), v.FormValue(row("beds", i, "rafts_next")), v.FormValue(row("beds", i, "rafts_after")), v.FormValue(row("beds", i, "rafts_poor"))
			view.Rows = append(view.Rows, r)
		}
	} else {
		view.ID = newWalk()
		last, err := v.lastWalk()
		if err != nil {
			return err
		}
		for i, b := range last.Beds {
			view.Rows = append(view.Rows, walkRow(l, i, b))
		}
		for i := range spareBeds {
			view.Rows = append(view.Rows, WalkRow{I: len(last.Beds) + i})
		}
	}
	if err := view.cooler(v, l, typed); err != nil {
		return err
	}
	view.mind(v, faults)
	view.Focus = firstEmpty(view.Rows)
	return v.show(status, "walk", view)
}

// mind puts faults to the rows they concern, and what concerns none above all.
func (view *WalkView) mind(v *visit, faults domain.Faults) {
	if len(faults) > 0 {
		view.Wrong = append(view.Wrong, v.say("page.form.faults", "n", len(faults)))
	}
	for _, f := range faults {
		said := sentence(v.speech.Fault(f))
		if view.mindCooler(v, f) {
			continue
		}
		at := slices.IndexFunc(view.Rows, func(r WalkRow) bool { return strings.HasPrefix(f.Place, "beds["+strconv.Itoa(r.I)+"]") })
		switch {
		case at < 0:
			view.Wrong = append(view.Wrong, said)
		case !strings.Contains(view.Rows[at].Fault, said):
			view.Rows[at].Fault = strings.TrimSpace(view.Rows[at].Fault + " " + said)
		}
	}
}

// lastWalk is the newest count of the whole house, or the newest of any.
func (v *visit) lastWalk() (last domain.Count, err error) {
	counts, err := v.office.Book.Counts.List(v.ctx, v.who, book.Query{})
	for _, c := range counts {
		if len(c.Value.Beds) == 0 {
			continue // of the cooler alone
		}
		newer := c.Value.Day > last.Day || c.Value.Day == last.Day && c.Value.At.After(last.At)
		if c.Value.Whole && (newer || !last.Whole) || !c.Value.Whole && !last.Whole && newer {
			last = c.Value
		}
	}
	return last, err
}

func walkRow(l lists, i int, b domain.BedCount) WalkRow {
	r := WalkRow{I: i, Bed: b.Bed, Variety: b.Variety, Name: b.Variety, Known: b.Bed != "" && b.Variety != ""}
	for _, x := range l.Varieties {
		if x.Code == b.Variety {
			r.Name = x.Name
		}
	}
	return r
}

func firstEmpty(rows []WalkRow) string {
	for _, r := range rows {
		if r.Known && r.Now == "" && r.Next == "" && r.After == "" {
			return row("beds", r.I, "rafts_now")
		}
	}
	return ""
}

// saveWalk stores a walk. A walk that is sent again, since the answer to the
// first got lost, is already there and is no fault.
func (v *visit) saveWalk() error {
	r := &reader{Values: v.posted()}
	c := readWalk(r)
	if r.Has("next") {
		return v.walk(http.StatusOK, nil, r.faults, &c)
	}
	loose, packed, sent := found(c)
	beds := typedBeds(r, len(c.Beds))
	sent.Beds = counted(c.Beds)
	if c.Cooler && !beds {
		sent.Beds, sent.Whole = nil, false // only the cooler was counted
	}
	err := r.faults.Err()
	if err == nil && !beds && !c.Cooler && len(loose)+len(packed) == 0 {
		return v.walk(http.StatusUnprocessableEntity, []string{v.say("page.walk.nothing")}, nil, nil)
	}
	if err == nil && !c.Cooler && len(loose)+len(packed) > 0 {
		return v.walk(http.StatusUnprocessableEntity, []string{v.say("page.walk.cooler.tick")}, nil, &c)
	}
	if err == nil {
		_, err = v.office.Book.Walked(v.ctx, v.who, sent, book.Note{})
	}
	var faults domain.Faults
	switch {
	case err == nil || errors.Is(err, domain.ErrConflict) && v.arrived(sent):
		return v.done("/beds", "counted")
	case errors.Is(err, domain.ErrConflict):
		c.ID = newWalk()
		return v.walk(http.StatusConflict, v.refusal(sentBefore()), nil, &c)
	case errors.As(err, &faults):
		return v.walk(http.StatusUnprocessableEntity, nil, atRows(faults, loose, packed), &c)
	}
	return err
}

// arrived says whether a walk that is sent again is in the book as it is sent.
func (v *visit) arrived(c domain.Count) bool {
	rec, err := v.office.Book.Counts.Get(v.ctx, v.who, c.ID)
	return err == nil && sameWalk(rec.Value, c)
}

// sameWalk says whether two walks found the same.
func sameWalk(a, b domain.Count) bool {
	same := func(x, y domain.BedCount) bool {
		return x.Bed == y.Bed && x.Variety == y.Variety && x.RaftsNow == y.RaftsNow && x.RaftsNext == y.RaftsNext && x.RaftsAfter == y.RaftsAfter && x.Poor == y.Poor
	}
	return a.Day == b.Day && a.Whole == b.Whole && slices.EqualFunc(a.Beds, b.Beds, same) && sameCooler(a, b)
}

func newWalk() string { return "W" + rand.Text()[:12] }

// typedBeds says whether a figure was typed for any bed.
func typedBeds(r *reader, beds int) bool {
	for i := range beds {
		for _, name := range []string{"rafts_now", "rafts_next", "rafts_after", "rafts_poor"} {
			if r.text(row("beds", i, name)) != "" {
				return true
			}
		}
	}
	return false
}

// counted leaves out rows of a bed that no variety was told for.
func counted(beds []domain.BedCount) (list []domain.BedCount) {
	for i := range beds {
		place := i
		if b := beds[i]; b.Bed != "" || b.Variety != "" {
			if b.Place == nil {
				b.Place = &place
			}
			list = append(list, b)
		}
	}
	return list
}

func readWalk(r *reader) domain.Count {
	c := domain.Count{ID: r.text("id"), Day: r.day("day"), Whole: r.Has("whole"), Note: r.text("note")}
	for i := range r.count("beds") {
		b := domain.BedCount{Bed: r.text(row("beds", i, "bed")), Variety: r.text(row("beds", i, "variety"))}
		b.RaftsNow, b.RaftsNext = r.rafts(row("beds", i, "rafts_now")), r.rafts(row("beds", i, "rafts_next"))
		b.RaftsAfter, b.Poor = r.rafts(row("beds", i, "rafts_after")), r.rafts(row("beds", i, "rafts_poor"))
		c.Beds = append(c.Beds, b)
	}
	readCooler(r, &c)
	return c
}
