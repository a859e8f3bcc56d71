package pages

import (
	"cmp"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
)

func (o *Office) registerSorts(e *echo.Echo) {
	registerSort(o, e, customers)
	registerSort(o, e, products)
	registerSort(o, e, varieties)
	registerSort(o, e, carriers)
	registerSort(o, e, exceptions)
	registerSort(o, e, standing)
	registerSort(o, e, layouts)
	registerSort(o, e, surges)
}

var customers = sort[domain.Customer]{
	word:  "customers",
	needs: []string{"carriers"},
	shelf: func(b *book.Book) book.Shelf[domain.Customer] { return b.Customers },
	code:  func(x *domain.Customer) string { return x.Code },
	fresh: func(*visit, *address) domain.Customer {
		return domain.Customer{Importance: domain.Steady, Substitutes: "yes"}
	},
	heads: []string{"name", "importance", "carrier", "stop", "phone"},
	cells: func(v *visit, l lists, x *domain.Customer) []string {
		return []string{x.Name, v.say("page.pick." + string(x.Importance)), carrierName(l, x.Carrier), blankZero(x.Stop), x.Phone}
	},
	fields: func(v *visit, l lists, x *domain.Customer) []Field {
		carrier := kinded("pick", "carrier", "carrier", x.Carrier)
		carrier.Picks = carriersNamed(l)
		refuse := kinded("ticks", "refuse", "refuse", "")
		refuse.Ticked = x.Refuse
		refuse.Picks = varietiesNamed(l)
		codes := Field{Name: "item_codes", Code: "item_codes", Kind: "rows", Heads: []string{"product", "their_code"}}
		for i, p := range l.Products {
			name := fixed(row("item_codes", i, "product"), "product", p.Code, p.Name)
			codes.Rows = append(codes.Rows, []Field{name, text(row("item_codes", i, "code"), "their_code", x.ItemCodes[p.Code])})
		}
		return []Field{
			needed(text("name", "name", x.Name)), v.choice("importance", "importance", string(x.Importance), "anchor", "steady", "casual"),
			carrier, count("stop", "stop", x.Stop),
			v.choice("substitutes", "substitutes", x.Substitutes, "yes", "ask", "never"), refuse,
			maybeCount("min_shelf_days", "min_shelf_days", x.MinShelfDays), tick("all_or_none", "all_or_none", x.AllOrNone),
			kinded("tel", "phone", "phone", x.Phone), kinded("email", "email", "email", x.Email), kinded("area", "note", "note", x.Note), codes,
		}
	},
	read: func(r *reader, x *domain.Customer) {
		x.Name, x.Importance, x.Carrier, x.Stop = r.text("name"), domain.Importance(r.text("importance")), r.text("carrier"), r.number("stop")
		x.Substitutes, x.Refuse, x.MinShelfDays, x.AllOrNone = r.text("substitutes"), r.Values["refuse"], r.maybe("min_shelf_days"), r.Has("all_or_none")
		x.Phone, x.Email, x.Note, x.ItemCodes = r.text("phone"), r.text("email"), r.text("note"), nil
		for i := range r.count("item_codes") {
			if own := r.text(row("item_codes", i, "code")); own != "" {
				if x.ItemCodes == nil {
					x.ItemCodes = map[string]string{}
				}
				x.ItemCodes[r.text(row("item_codes", i, "product"))] = own
			}
		}
	},
}

func carrierName(l lists, code string) string {
	for _, c := range l.Carriers {
		if c.Code == code {
			return c.Name
		}
	}
	return code
}

// spareRows are the empty rows at the end of a list that a form always offers.
const spareRows = 2

var products = sort[domain.Product]{
	word:  "products",
	needs: []string{"varieties"},
	shelf: func(b *book.Book) book.Shelf[domain.Product] { return b.Products },
	fresh: func(_ *visit, a *address) domain.Product { return domain.Product{Name: a.text("name")} },
	code:  func(x *domain.Product) string { return x.Code },
	heads: []string{"name", "code", "heads_per_case", "what"},
	cells: func(v *visit, l lists, x *domain.Product) []string {
		return []string{x.Name, x.Code, strconv.Itoa(int(x.HeadsPerCase())), v.contents(l, x)}
	},
	fields: func(v *visit, l lists, x *domain.Product) []Field {
		slots := Field{Name: "slots", Code: "slots", Kind: "rows", Heads: []string{"slot.heads", "slot.first", "slot.else", "slot.any"}}
		for i := range len(x.Slots) + spareRows {
			var s domain.Slot
			if i < len(x.Slots) {
				s = x.Slots[i]
			}
			first := kinded("pick", row("slots", i, "first"), "slot.first", "")
			first.Picks = append([]Pick{{"", "–"}}, varietiesNamed(l)...)
			if len(s.Accept) > 0 {
				first.Value = s.Accept[0]
			}
			then := text(row("slots", i, "accept"), "slot.else", strings.Join(s.Accept[min(1, len(s.Accept)):], ", "))
			slots.Rows = append(slots.Rows, []Field{count(row("slots", i, "heads"), "slot.heads", int(s.Heads)), first, then,
				tick(row("slots", i, "growers_choice"), "slot.any", s.GrowersChoice)})
		}
		return []Field{needed(text("name", "name", x.Name)), slots, maybeCount("max_heads_per_variety", "max_heads_per_variety", x.MaxHeadsPerVariety),
			text("gtin", "gtin", x.GTIN)}
	},
	read: func(r *reader, x *domain.Product) {
		x.Name, x.GTIN, x.MaxHeadsPerVariety, x.Slots = r.text("name"), r.text("gtin"), r.maybe("max_heads_per_variety"), nil
		for i := range r.count("slots") {
			s := domain.Slot{Heads: domain.Heads(r.number(row("slots", i, "heads"))), GrowersChoice: r.Has(row("slots", i, "growers_choice"))}
			if first := r.text(row("slots", i, "first")); first != "" {
				s.Accept = append(s.Accept, first)
			}
			s.Accept = append(s.Accept, r.codes(row("slots", i, "accept"))...)
			if s.Heads != 0 || len(s.Accept) > 0 {
				x.Slots = append(x.Slots, s)
			}
		}
	},
}

// contents is what goes in a case, in words.
func (v *visit) contents(l lists, p *domain.Product) string {
	parts := make([]string, len(p.Slots))
	for i, s := range p.Slots {
		names := make([]string, len(s.Accept))
		for k, code := range s.Accept {
			names[k] = code
			for _, c := range l.Varieties {
				if c.Code == code {
					names[k] = c.Name
				}
			}
		}
		code := "page.contents.else"
		if s.GrowersChoice {
			code = "page.contents.any"
		}
		parts[i] = v.say("page.contents.heads", "n", int(s.Heads)) + " " + strings.Join(names, v.say(code))
	}
	return strings.Join(parts, " + ")
}

var varieties = sort[domain.Variety]{
	word:  "varieties",
	shelf: func(b *book.Book) book.Shelf[domain.Variety] { return b.Varieties },
	code:  func(x *domain.Variety) string { return x.Code },
	heads: []string{"name", "code", "heads_per_raft", "shelf_days"},
	cells: func(v *visit, _ lists, x *domain.Variety) []string {
		raft := v.say("page.usual", "n", int(v.farm.HeadsPerRaft))
		if x.HeadsPerRaft != nil {
			raft = strconv.Itoa(int(*x.HeadsPerRaft))
		}
		return []string{x.Name, x.Code, raft, v.orUsual(x.ShelfDays, v.farm.ShelfDays)}
	},
	fields: func(v *visit, _ lists, x *domain.Variety) []Field {
		return []Field{needed(text("name", "name", x.Name)), maybeCount("heads_per_raft", "heads_per_raft", (*int)(x.HeadsPerRaft)),
			maybeCount("good_in_ten", "good_in_ten", x.GoodInTen), maybeCount("ready_days", "ready_days", x.ReadyDays),
			maybeCount("shelf_days", "shelf_days", x.ShelfDays), maybeCount("hold_days", "hold_days", x.HoldDays),
			maybeCount("heads_per_tray", "heads_per_tray", x.HeadsPerTray)}
	},
	read: func(r *reader, x *domain.Variety) {
		x.Name, x.HeadsPerRaft = r.text("name"), (*domain.Heads)(r.maybe("heads_per_raft"))
		x.GoodInTen, x.ReadyDays, x.ShelfDays = r.maybe("good_in_ten"), r.maybe("ready_days"), r.maybe("shelf_days")
		x.HoldDays, x.HeadsPerTray = r.maybe("hold_days"), r.maybe("heads_per_tray")
	},
}

// orUsual is a record's own figure, or the farm's.
func (v *visit) orUsual(own *int, usual int) string {
	if own != nil {
		return strconv.Itoa(*own)
	}
	return v.say("page.usual", "n", usual)
}

var carriers = sort[domain.Carrier]{
	word:  "carriers",
	shelf: func(b *book.Book) book.Shelf[domain.Carrier] { return b.Carriers },
	code:  func(x *domain.Carrier) string { return x.Code },
	fresh: func(*visit, *address) domain.Carrier {
		return domain.Carrier{CutoffDays: 1, CutoffHour: 14 * 60, Hour: 9 * 60}
	},
	heads: []string{"name", "pickups", "hour", "cutoff"},
	cells: func(v *visit, _ lists, x *domain.Carrier) []string {
		return []string{x.Name, v.weekdayNames(x.Pickups), v.speech.Clock(x.Hour),
			v.say("page.cutoff", "days", x.CutoffDays, "hour", v.speech.Clock(x.CutoffHour))}
	},
	fields: func(v *visit, _ lists, x *domain.Carrier) []Field {
		return []Field{needed(text("name", "name", x.Name)), v.weekdayTicks("pickups", "pickups", x.Pickups),
			kinded("clock", "hour", "hour", x.Hour.String()), count("cutoff_days", "cutoff_days", x.CutoffDays),
			kinded("clock", "cutoff_hour", "cutoff_hour", x.CutoffHour.String()), maybeCount("lead_days", "lead_days", x.LeadDays),
			tick("own_round", "own_round", x.OwnRound)}
	},
	read: func(r *reader, x *domain.Carrier) {
		x.Name, x.Pickups, x.Hour, x.CutoffDays = r.text("name"), r.weekdays("pickups"), r.clock("hour"), r.number("cutoff_days")
		x.CutoffHour, x.LeadDays, x.OwnRound = r.clock("cutoff_hour"), r.maybe("lead_days"), r.Has("own_round")
	},
}

func (v *visit) weekdayNames(w domain.Weekdays) string {
	var names []string
	for _, d := range w.Days() {
		names = append(names, words.FirstLetters(v.speech.Weekday(d)))
	}
	return strings.Join(names, " ")
}

var exceptions = sort[domain.Exception]{
	word:  "calendar",
	key:   func(x *domain.Exception) string { return x.Day.String() },
	shelf: func(b *book.Book) book.Shelf[domain.Exception] { return b.Exceptions },
	code:  func(x *domain.Exception) string { return x.ID },
	fresh: func(v *visit, a *address) domain.Exception {
		return domain.Exception{Kind: domain.Closed, Day: a.dayOr("day", v.today), Note: a.text("note")}
	},
	heads: []string{"day", "exception", "who", "note"},
	cells: func(v *visit, l lists, x *domain.Exception) []string {
		what := v.say("page.pick." + string(x.Kind))
		if x.To != 0 {
			what += " → " + v.speech.Day(x.To)
		}
		return []string{v.speech.Day(x.Day), what, cmp.Or(carrierName(l, x.Carrier), v.say("page.everybody")), x.Note}
	},
	fields: func(v *visit, l lists, x *domain.Exception) []Field {
		carrier := kinded("pick", "carrier", "carrier.all", x.Carrier)
		carrier.Picks = append([]Pick{{"", v.say("page.everybody")}}, carriersNamed(l)...)
		return []Field{needed(kinded("day", "day", "day", x.Day.String())),
			v.choice("kind", "exception", string(x.Kind), "closed", "extra", "moved", "no_harvest", "extra_harvest"),
			kinded("day", "to", "moved_to", x.To.String()), carrier, text("note", "note", x.Note)}
	},
	read: func(r *reader, x *domain.Exception) {
		x.Day, x.Kind, x.To, x.Carrier, x.Note = r.day("day"), domain.ExceptionKind(r.text("kind")), r.day("to"), r.text("carrier"), r.text("note")
	},
}
