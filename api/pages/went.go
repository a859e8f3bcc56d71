package pages

import (
	"math"
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
	"headtally/planner/growth"
)

// WentView is how growing went, and whether the farm's figures can be trusted.
type WentView struct {
	Frame
	Base      int64
	Names     map[string]string
	Months    []growth.Went
	Varieties []TrustView
}

// TrustView is how projections of a variety held by both methods, and whether
// the learned one is used.
type TrustView struct {
	Code, Name string
	Rows       []growth.Trust
	Learned    bool // there are enough finished batches to learn from
	Used       bool
}

func (o *Office) registerWent(e *echo.Echo) {
	e.GET("/went", o.page(func(v *visit) error { return v.went(http.StatusOK, nil) }))
	e.POST("/went", o.page((*visit).trust))
}

// grown is the varieties, and how the farm grows them.
func (v *visit) grown() (names map[string]string, list []domain.Variety, how book.Record[domain.Growing], err error) {
	if names, list, err = v.varietyNames(); err == nil {
		how, err = v.office.Book.Growing(v.ctx, v.who)
	}
	return names, list, how, err
}

func (v *visit) went(status int, wrong []string) error {
	names, list, growing, err := v.grown()
	if err != nil {
		return err
	}
	went, err := v.office.Book.HowItWent(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	view := WentView{Frame: v.frame("more", v.say("page.went.title")), Base: growing.Rev, Names: names, Months: went.Went}
	view.Wrong = wrong
	for _, x := range list {
		t := TrustView{Code: x.Code, Name: x.Name, Rows: trustOf(went, x.Code), Used: slices.Contains(growing.Value.Learned, x.Code)}
		t.Learned = slices.ContainsFunc(t.Rows, func(r growth.Trust) bool { return r.Method == growth.Learned })
		if len(t.Rows) > 0 {
			view.Varieties = append(view.Varieties, t)
		}
	}
	return v.show(status, "went", view)
}

// trust stores the farm's yes, or no, to the learned figures of a variety.
func (v *visit) trust() error {
	r := &reader{Values: v.posted()}
	_, err := v.office.Book.Trust(v.ctx, v.who, r.text("variety"), r.text("use") == "yes", book.Note{Base: v.revision("base")})
	return v.changed(err, "/went", "saved", v.went)
}

// percent is a share in hundredths, as a whole number.
func percent(share float64) int { return round(100 * share) }

func round(x float64) int { return int(math.Round(x)) }
