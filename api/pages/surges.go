package pages

import (
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// surges are what the grower expects beyond what is ordered, such as before a
// holiday.
var surges = sort[domain.Surge]{
	word:  "surges",
	key:   func(x *domain.Surge) string { return x.From.String() },
	shelf: func(b *book.Book) book.Shelf[domain.Surge] { return b.Surges },
	code:  func(x *domain.Surge) string { return x.ID },
	fresh: func(v *visit, a *address) domain.Surge {
		return domain.Surge{From: a.dayOr("day", v.today), Name: a.text("name")}
	},
	heads: []string{"days", "name", "surge", "note"},
	cells: func(v *visit, l lists, x *domain.Surge) []string {
		days := v.speech.Day(x.From)
		if x.Until > x.From {
			days += " – " + v.speech.Day(x.Until)
		}
		return []string{days, x.Name, v.surgeOf(l, x), x.Note}
	},
	fields: func(v *visit, l lists, x *domain.Surge) []Field {
		variety := kinded("pick", "variety", "surge_variety", x.Variety)
		variety.Picks = append([]Pick{{"", v.say("page.surges.all")}}, varietiesNamed(l)...)
		product := kinded("pick", "product", "surge_product", x.Product)
		product.Picks = append([]Pick{{"", v.say("page.surges.all")}}, productsNamed(l)...)
		return []Field{text("name", "name", x.Name), needed(kinded("day", "from", "from", x.From.String())), kinded("day", "until", "until", x.Until.String()),
			variety, product, count("heads", "surge_heads", int(x.Heads)), count("cases", "surge_cases", int(x.Cases)),
			count("percent", "surge_percent", x.Percent), text("note", "note", x.Note)}
	},
	read: func(r *reader, x *domain.Surge) {
		x.Name, x.From, x.Until, x.Note = r.text("name"), r.day("from"), r.day("until"), r.text("note")
		x.Variety, x.Product = r.text("variety"), r.text("product")
		x.Heads, x.Cases, x.Percent = domain.Heads(r.number("heads")), domain.Cases(r.number("cases")), r.number("percent")
	},
}

// surgeOf is what a surge expects, in words.
func (v *visit) surgeOf(l lists, x *domain.Surge) string {
	var what []string
	if x.Variety != "" {
		what = append(what, varietyOf(l, x.Variety))
	}
	if x.Product != "" {
		what = append(what, productName(l, x.Product))
	}
	switch {
	case x.Percent != 0:
		what = append(what, v.say("page.surges.percent", "n", x.Percent))
	case x.Heads != 0:
		what = append(what, v.say("page.surges.heads", "n", int(x.Heads)))
	default:
		what = append(what, v.say("page.cases", "n", int(x.Cases)))
	}
	return strings.Join(what, ": ")
}

// HolidaysView is the public holidays ahead, as suggestions.
type HolidaysView struct {
	Frame
	Holidays []HolidayView
	Country  string
}

// HolidayView is one of them, with who would come for cases.
type HolidayView struct {
	Day      domain.Day
	Name     string
	Carriers []string
	Told     bool // the calendar says something about the day already
}

func (o *Office) registerHolidays(e *echo.Echo) { e.GET("/holidays", o.page((*visit).holidays)) }

// holidaysAhead is how many days ahead holidays are suggested.
const holidaysAhead = 366

func (v *visit) holidays() error {
	list, err := v.office.Book.Holidays(v.ctx, v.who, v.today, v.today.Add(holidaysAhead))
	if err != nil {
		return err
	}
	l, err := v.lists()
	if err != nil {
		return err
	}
	view := HolidaysView{Frame: v.frame("more", v.say("page.holidays.title")), Country: v.farm.Country}
	for _, h := range list {
		one := HolidayView{Day: h.Day, Name: h.Name, Told: h.Told}
		for _, c := range h.Carriers {
			one.Carriers = append(one.Carriers, carrierName(l, c))
		}
		view.Holidays = append(view.Holidays, one)
	}
	return v.show(http.StatusOK, "holidays", view)
}
