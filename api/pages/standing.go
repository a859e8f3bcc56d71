package pages

import (
	"strconv"
	"strings"
	"time"

	"headtally/api/book"
	"headtally/domain"
)

var standing = sort[domain.Standing]{
	word:  "standing",
	needs: []string{"customers", "products"},
	nav:   "orders",
	shelf: func(b *book.Book) book.Shelf[domain.Standing] { return b.Standing },
	code:  func(x *domain.Standing) string { return x.ID },
	fresh: func(v *visit, a *address) domain.Standing {
		return domain.Standing{Terms: []domain.Term{{From: v.today, Every: 1}}, Customer: a.customer(v)}
	},
	heads: []string{"order", "days", "cases", "exceptions"},
	cells: func(v *visit, l lists, x *domain.Standing) []string {
		term := termOn(x, v.today)
		return []string{customerName(l, x.Customer) + " · " + productName(l, x.Product), v.termDays(term), strconv.Itoa(int(term.Cases)), v.changes(l, x)}
	},
	fields: standingFields,
	read:   readStanding,
}

// termOn is the term that holds on a day, or the first to come.
func termOn(x *domain.Standing, day domain.Day) domain.Term {
	term := domain.Term{}
	for i, t := range x.Terms {
		if i == 0 || t.From <= day {
			term = t
		}
	}
	return term
}

func customerName(l lists, code string) string {
	for _, c := range l.Customers {
		if c.Code == code {
			return c.Name
		}
	}
	return code
}

func productName(l lists, code string) string {
	for _, p := range l.Products {
		if p.Code == code {
			return p.Name
		}
	}
	return code
}

// termDays is when a term asks, in words.
func (v *visit) termDays(t domain.Term) string {
	days := v.say("page.standing.every")
	if t.Weekdays != 0 {
		days = v.weekdayNames(t.Weekdays)
	}
	if t.Every > 1 {
		days += ", " + v.say("page.standing.weeks", "n", t.Every)
	}
	if t.Until != 0 {
		days += ", " + v.say("page.standing.until", "day", v.speech.ShortDay(t.Until))
	}
	return days
}

// changes are the exceptions from today on, in words.
func (v *visit) changes(l lists, x *domain.Standing) string {
	var list []string
	for _, c := range x.Changes {
		last := c.Until
		if last == 0 && !c.Hold {
			last = c.From
		}
		if last != 0 && last < v.today {
			continue
		}
		when := v.speech.ShortDay(c.From)
		switch {
		case last == 0:
			when = v.say("page.standing.from", "day", when)
		case last != c.From:
			when += " – " + v.speech.ShortDay(last)
		}
		what := v.say("page.standing.hold")
		if c.Cases != nil {
			what = strconv.Itoa(int(*c.Cases))
		}
		if c.Product != "" {
			what = strings.TrimSpace(strings.TrimSuffix(what, v.say("page.standing.hold")) + " " + productName(l, c.Product))
		}
		list = append(list, when+": "+what)
	}
	return strings.Join(list, "; ")
}

func standingFields(v *visit, l lists, x *domain.Standing) []Field {
	customer, product, carrier := kinded("pick", "customer", "customer", x.Customer), kinded("pick", "product", "product", x.Product), kinded("pick", "carrier", "carrier.own", x.Carrier)
	customer.Picks = customersNamed(l)
	product.Picks = productsNamed(l)
	carrier.Picks = append([]Pick{{"", v.say("page.carrier.theirs")}}, carriersNamed(l)...)
	terms := Field{Name: "terms", Code: "terms", Kind: "rows", Heads: []string{"from", "until", "weekdays", "every_weeks", "cases"}}
	for i := range len(x.Terms) + 1 {
		t := domain.Term{}
		if i < len(x.Terms) {
			t = x.Terms[i]
		}
		every := count(row("terms", i, "every_weeks"), "every_weeks", t.Every)
		terms.Rows = append(terms.Rows, []Field{kinded("day", row("terms", i, "from"), "from", t.From.String()), kinded("day", row("terms", i, "until"), "until", t.Until.String()),
			v.weekdayTicks(row("terms", i, "weekdays"), "weekdays", t.Weekdays), every, count(row("terms", i, "cases"), "cases", int(t.Cases))})
	}
	changes := Field{Name: "changes", Code: "changes", Kind: "rows", Heads: []string{"from", "until", "change.cases", "change.product", "change.hold"}}
	for i := range len(x.Changes) + spareRows {
		c := domain.Change{}
		if i < len(x.Changes) {
			c = x.Changes[i]
		}
		other := kinded("pick", row("changes", i, "product"), "change.product", c.Product)
		other.Picks = append([]Pick{{"", "–"}}, product.Picks...)
		changes.Rows = append(changes.Rows, []Field{kinded("day", row("changes", i, "from"), "from", c.From.String()), kinded("day", row("changes", i, "until"), "until", c.Until.String()),
			maybeCount(row("changes", i, "cases"), "change.cases", (*int)(c.Cases)), other, tick(row("changes", i, "hold"), "change.hold", c.Hold)})
	}
	return []Field{customer, product, carrier, text("purchase_order", "purchase_order", x.PO), terms, changes, kinded("area", "note", "note", x.Note)}
}

func readStanding(r *reader, x *domain.Standing) {
	x.Customer, x.Product, x.Carrier, x.PO, x.Note = r.text("customer"), r.text("product"), r.text("carrier"), r.text("purchase_order"), r.text("note")
	before := *x
	x.Terms, x.Changes = nil, nil
	for i := range r.count("terms") {
		t := domain.Term{}
		if i < len(before.Terms) {
			t = before.Terms[i]
		}
		cases := domain.Cases(r.number(row("terms", i, "cases")))
		from := r.day(row("terms", i, "from"))
		if from == 0 && cases == 0 && r.text(row("terms", i, "every_weeks")) == "" {
			continue
		}
		if i >= len(before.Terms) || cases != t.Cases {
			t.Received = time.Time{}
		}
		t.From, t.Until, t.Weekdays, t.Every, t.Cases = from, r.day(row("terms", i, "until")), r.weekdays(row("terms", i, "weekdays")), max(1, r.number(row("terms", i, "every_weeks"))), cases
		x.Terms = append(x.Terms, t)
	}
	for i := range r.count("changes") {
		c := domain.Change{}
		if i < len(before.Changes) {
			c = before.Changes[i]
		}
		from := r.day(row("changes", i, "from"))
		if from == 0 {
			continue
		}
		c.From, c.Until, c.Cases = from, r.day(row("changes", i, "until")), (*domain.Cases)(r.maybe(row("changes", i, "cases")))
		c.Product, c.Hold = r.text(row("changes", i, "product")), r.Has(row("changes", i, "hold"))
		x.Changes = append(x.Changes, c)
	}
}
