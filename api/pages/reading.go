package pages

import (
	"maps"
	"slices"
	"strings"

	"headtally/api/book"
)

// reading adds what the page says and asks of how the sheet is read.
func (v *visit) reading(view *PreviewView) error {
	for _, order := range []book.DayOrder{book.DayMonthYear, book.MonthDayYear, book.YearMonthDay} {
		view.Choices = append(view.Choices, Pick{string(order), v.say("page.dayorder." + string(order))})
	}
	for _, unit := range []string{"cases", "heads", "dozens"} {
		view.Units = append(view.Units, Pick{unit, v.speech.Say("column." + unit)})
	}
	layouts, err := v.office.Book.Layouts().List(v.ctx, v.who, book.Query{})
	if err != nil {
		return err
	}
	for _, l := range layouts {
		view.Layouts = append(view.Layouts, Pick{l.Value.Code, l.Value.Name})
		if l.Value.Code == view.Preview.Layout {
			view.Layout = l.Value.Name
		}
	}
	view.How = v.howRead(&view.Preview.Read)
	view.Headings = view.Preview.Headings
	for _, col := range book.OrderColumns() {
		view.Theirs = append(view.Theirs, HeadingView{Column: col, Name: v.speech.Say("column." + col), Field: "theirs~" + col, Told: view.Asked.Columns[col]})
	}
	return nil
}

// howRead says in words how a sheet was read, where the sheet alone did not say.
func (v *visit) howRead(r *book.OrderSheet) (list []string) {
	if r.DayOrder != "" {
		list = append(list, v.say("page.how.day_order", "order", v.say("page.dayorder."+string(r.DayOrder))))
	}
	if r.DaysAfterPickup != nil {
		list = append(list, v.say("page.how.after", "n", *r.DaysAfterPickup))
	}
	if r.Unit != "" {
		list = append(list, v.say("page.how.unit", "unit", v.speech.Say("column."+r.Unit)))
	}
	if r.Sheet != "" {
		list = append(list, v.say("page.how.sheet", "sheet", r.Sheet))
	}
	if r.Customer != "" {
		list = append(list, v.say("page.how.customer", "customer", r.Customer))
	}
	if len(r.Columns) > 0 {
		var pairs []string
		for _, col := range slices.Sorted(maps.Keys(r.Columns)) {
			pairs = append(pairs, v.say("page.how.heading", "theirs", r.Columns[col], "ours", v.speech.Say("column."+col)))
		}
		list = append(list, strings.Join(pairs, ", "))
	}
	return list
}
