package pages

import (
	"maps"
	"slices"
	"strconv"

	"headtally/api/book"
	"headtally/domain"
)

// layouts are how senders write their order sheets.
var layouts = sort[domain.Layout]{
	word:  "layouts",
	shelf: func(b *book.Book) book.Shelf[domain.Layout] { return b.Layouts() },
	code:  func(x *domain.Layout) string { return x.Code },
	heads: []string{"name", "layout_headings", "layout_names"},
	cells: func(v *visit, _ lists, x *domain.Layout) []string {
		read := book.OrderSheet{}.By(x)
		names := strconv.Itoa(len(x.Customers) + len(x.Products))
		how := v.howRead(&read)
		return []string{x.Name, v.speech.List(how), names}
	},
	fields: layoutFields,
	read:   readLayout,
}

func layoutFields(v *visit, l lists, x *domain.Layout) []Field {
	headings := Field{Name: "columns", Code: "layout_headings", Kind: "rows", Heads: []string{"layout_ours", "layout_theirs"}}
	for _, col := range book.OrderColumns() {
		ours := Field{Name: "ours." + col, Code: "layout_ours", Kind: "fixed", Value: col, Picks: []Pick{{col, v.speech.Say("column." + col)}}}
		headings.Rows = append(headings.Rows, []Field{ours, text("columns."+col, "layout_theirs", x.Columns[col])})
	}
	after := maybeCount("days_after_pickup", "layout_after", x.DaysAfterPickup)
	return []Field{needed(text("name", "layout_name", x.Name)), headings, text("sheet", "layout_sheet", x.Sheet),
		v.layoutPick("day_order", "layout_day_order", "page.dayorder.", x.DayOrder, "dmy", "mdy", "ymd"), after,
		v.layoutPick("unit", "layout_unit", "column.", x.Unit, "cases", "heads", "dozens"),
		v.layoutPick("mode", "layout_mode", "page.sheet.mode.", string(x.Mode), "add", "replace"),
		text("customer", "layout_customer", x.Customer),
		namesField("customers", "layout_customers", x.Customers, customersNamed(l)), namesField("products", "layout_products", x.Products, productsNamed(l))}
}

// layoutPick is a choice that may be left to the sheet.
func (v *visit) layoutPick(name, code, say, value string, values ...string) Field {
	f := Field{Name: name, Code: code, Kind: "pick", Value: value, Picks: []Pick{{"", v.say("page.sheet.dayorder.told")}}}
	for _, x := range values {
		f.Picks = append(f.Picks, Pick{x, v.speech.Say(say + x)})
	}
	return f
}

func varietiesNamed(l lists) (picks []Pick) {
	for _, x := range l.Varieties {
		picks = append(picks, Pick{x.Code, x.Name})
	}
	return picks
}

func carriersNamed(l lists) (picks []Pick) {
	for _, c := range l.Carriers {
		picks = append(picks, Pick{c.Code, c.Name})
	}
	return picks
}

func customersNamed(l lists) (picks []Pick) {
	for _, c := range l.Customers {
		picks = append(picks, Pick{c.Code, c.Name})
	}
	return picks
}

func productsNamed(l lists) (picks []Pick) {
	for _, p := range l.Products {
		picks = append(picks, Pick{p.Code, p.Name})
	}
	return picks
}

// namesField is what a sender's names are tied to, a row a name.
func namesField(name, code string, tied map[string]string, ours []Pick) Field {
	f := Field{Name: name, Code: code, Kind: "rows", Heads: []string{"layout_theirs", "layout_ours"}}
	theirs := append(slices.Sorted(maps.Keys(tied)), make([]string, spareRows)...)
	for i, their := range theirs {
		pick := kinded("pick", row(name, i, "ours"), "layout_ours", tied[their])
		pick.Picks = append([]Pick{{"", "–"}}, ours...)
		f.Rows = append(f.Rows, []Field{text(row(name, i, "theirs"), "layout_theirs", their), pick})
	}
	return f
}

func readLayout(r *reader, x *domain.Layout) {
	x.Name, x.Sheet, x.DayOrder, x.Unit = r.text("name"), r.text("sheet"), r.text("day_order"), r.text("unit")
	x.Mode, x.Customer, x.DaysAfterPickup = domain.OrderMode(r.text("mode")), r.text("customer"), r.maybe("days_after_pickup")
	x.Columns = nil
	for _, col := range book.OrderColumns() {
		if told := r.text("columns." + col); told != "" {
			if x.Columns == nil {
				x.Columns = map[string]string{}
			}
			x.Columns[col] = told
		}
	}
	x.Customers, x.Products = r.names("customers"), r.names("products")
}

// names reads the rows of namesField; one without either side is none.
func (r *reader) names(list string) (tied map[string]string) {
	for i := range r.count(list) {
		theirs, ours := r.text(row(list, i, "theirs")), r.text(row(list, i, "ours"))
		if theirs == "" || ours == "" {
			continue
		}
		if tied == nil {
			tied = map[string]string{}
		}
		tied[theirs] = ours
	}
	return tied
}
