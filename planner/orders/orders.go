// Package orders turns standing orders, one-offs and what was decided about
// them into the lines of each pickup day.
//
// A standing order asks on the days its terms name; a change speaks instead of
// the term on its days; a one-off comes on top or stands instead. A day the
// carrier does not come moves the cases to the day the calendar names, or drops
// them with a notice. Nothing here looks at a clock.
package orders

import (
	"cmp"
	"slices"
	"time"

	"github.com/teambition/rrule-go"

	"headtally/domain"
)

// Lines are the lines with a pickup from first to last, in the order of their
// days and ids, and what a reader should know about orders that made none.
func Lines(f *domain.Facts, first, last domain.Day) ([]domain.Line, []domain.Notice) {
	x := &expansion{facts: f, calendar: f.Calendar(), first: first, last: last,
		customers: map[string]domain.Customer{}, decisions: map[string]domain.Decision{}, replaced: map[replacement]bool{}}
	for _, c := range f.Customers {
		x.customers[c.Code] = c
	}
	for _, d := range f.Decisions {
		x.decisions[d.Line] = d
	}
	for _, o := range f.Orders {
		x.oneOff(o)
	}
	for i := range f.Standing {
		x.standing(&f.Standing[i])
	}
	slices.SortFunc(x.lines, func(a, b domain.Line) int {
		return cmp.Or(cmp.Compare(a.Pickup, b.Pickup), cmp.Compare(a.ID, b.ID))
	})
	slices.SortStableFunc(x.notices, func(a, b domain.Notice) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Order, b.Order), cmp.Compare(a.Product, b.Product))
	})
	return x.lines, x.notices
}

// replacement is a customer's product on a day for which a one-off stands
// instead of the standing orders.
type replacement struct {
	customer, product string
	day               domain.Day
}

type expansion struct {
	facts       *domain.Facts
	calendar    *domain.Calendar
	first, last domain.Day
	customers   map[string]domain.Customer
	decisions   map[string]domain.Decision
	replaced    map[replacement]bool
	lines       []domain.Line
	notices     []domain.Notice
}

// layer is cases of one order on one day that were asked for at the same time.
type layer struct {
	received time.Time
	cases    domain.Cases
}

func (x *expansion) oneOff(o domain.Order) {
	for _, l := range o.Lines {
		if o.Mode == domain.Replace {
			x.replaced[replacement{o.Customer, l.Product, o.Pickup}] = true
		}
		x.add(domain.Line{Order: o.ID, Customer: o.Customer, Product: l.Product, Carrier: o.Carrier, Pickup: o.Pickup,
			PO: o.PO, AllOrNone: l.AllOrNone}, []layer{{o.Received, l.Cases}})
	}
}

func (x *expansion) standing(s *domain.Standing) {
	for i := range s.Terms {
		term := &s.Terms[i]
		from, until := term.From, termEnd(s, i)
		from, until = max(from, x.first.Add(-domain.MoveReach)), min(until, x.last.Add(domain.MoveReach))
		for _, day := range Occurrences(term, x.weekdays(s, term), from, until) {
			x.standingDay(s, i, day)
		}
	}
}

// termEnd is the last day the i-th term holds: its own until, or the day before
// the next term's first.
func termEnd(s *domain.Standing, i int) domain.Day {
	end := s.Terms[i].Until
	if i+1 < len(s.Terms) {
		if next := s.Terms[i+1].From.Add(-1); end == 0 || next < end {
			end = next
		}
	}
	if end == 0 {
		end = domain.MustDay("9999-12-31")
	}
	return end
}

// weekdays are the days of the week a term asks for: its own, or those on
// which the carrier comes.
func (x *expansion) weekdays(s *domain.Standing, term *domain.Term) domain.Weekdays {
	if term.Weekdays != 0 {
		return term.Weekdays
	}
	code := x.carrier(s.Carrier, s.Customer)
	for _, c := range x.facts.Carriers {
		if c.Code == code {
			return c.Pickups
		}
	}
	return 0
}

// Occurrences are the days of a term from first to last: a weekly recurrence of
// RFC 5545 with weeks that begin on Monday, counted from the week of the
// term's first day.
func Occurrences(term *domain.Term, weekdays domain.Weekdays, first, last domain.Day) []domain.Day {
	if weekdays == 0 || last < first {
		return nil
	}
	byDay := make([]rrule.Weekday, 0, 7)
	for _, d := range weekdays.Days() {
		byDay = append(byDay, rruleDays[d])
	}
	rule, err := rrule.NewRRule(rrule.ROption{Freq: rrule.WEEKLY, Interval: max(term.Every, 1), Wkst: rrule.MO,
		Dtstart: term.From.Time(), Until: last.Time(), Byweekday: byDay})
	if err != nil {
		panic("orders: " + err.Error()) // every field was checked when the term was stored
	}
	var days []domain.Day
	for _, t := range rule.Between(first.Time(), last.Time(), true) {
		days = append(days, domain.DayOf(t))
	}
	return days
}

var rruleDays = [7]rrule.Weekday{rrule.SU, rrule.MO, rrule.TU, rrule.WE, rrule.TH, rrule.FR, rrule.SA}

// standingDay makes the lines of a standing order on one day of its i-th term.
func (x *expansion) standingDay(s *domain.Standing, i int, day domain.Day) {
	product, layers := s.Product, layersOf(s, i)
	for _, c := range s.Changes {
		if !c.Covers(day) {
			continue
		}
		if c.Hold {
			return
		}
		if c.Product != "" {
			product = c.Product
		}
		if c.Cases != nil {
			layers = restack(layers, layer{c.Received, *c.Cases})
		}
	}
	if x.replaced[replacement{s.Customer, product, day}] {
		return
	}
	x.add(domain.Line{Order: s.ID, Standing: true, Customer: s.Customer, Product: product, Carrier: s.Carrier,
		Pickup: day, PO: s.PO, AllOrNone: s.Terms[i].AllOrNone}, layers)
}

// layersOf are the cases of the i-th term by when they were asked for: a raised
// order keeps its place in the queue for the old cases, and the added ones rank
// from the day of the raise; a lowered one gives up the last asked for. A gap
// between terms begins afresh.
func layersOf(s *domain.Standing, i int) (layers []layer) {
	for k := range s.Terms[:i+1] {
		t := &s.Terms[k]
		if k > 0 && s.Terms[k-1].Until != 0 && s.Terms[k-1].Until.Add(1) < t.From {
			layers = nil
		}
		layers = restack(layers, layer{t.Received, t.Cases})
	}
	return layers
}

// restack brings a stack of layers to the cases of the newest wish.
func restack(layers []layer, wish layer) []layer {
	kept, have := []layer{}, domain.Cases(0)
	for _, l := range layers {
		if l.cases = min(l.cases, wish.cases-have); l.cases > 0 {
			kept, have = append(kept, l), have+l.cases
		}
	}
	if wish.cases > have {
		kept = append(kept, layer{wish.received, wish.cases - have})
	}
	return kept
}

func (x *expansion) carrier(own, customer string) string {
	if own != "" {
		return own
	}
	return x.customers[customer].Carrier
}

// add puts one order's cases of a product on the day the calendar gives them,
// one line a layer, with what was decided about them.
func (x *expansion) add(l domain.Line, layers []layer) {
	var total domain.Cases
	for _, y := range layers {
		total += y.cases
	}
	l.Carrier = x.carrier(l.Carrier, l.Customer)
	ordered := l.Pickup
	l.Base = domain.LineID(l.Order, l.Product, l.Carrier, ordered)
	decision := x.decisions[l.Base]
	if total == 0 || !x.settleDay(&l, decision, total) {
		return
	}
	x.settle(l, decision, layers)
}

// settleDay sets the line's pickup: the day the office moved it to, else the
// one ordered if the carrier comes, else the one the calendar names. It is
// false where there is none, or none within the days asked for.
func (x *expansion) settleDay(l *domain.Line, decision domain.Decision, total domain.Cases) bool {
	ordered := l.Pickup
	notice := domain.Notice{Day: ordered, Order: l.Order, Customer: l.Customer, Product: l.Product, Cases: total}
	inside := func(d domain.Day) bool { return x.first <= d && d <= x.last }
	switch to, moved := x.calendar.MovedTo(l.Carrier, ordered); {
	case decision.MovedTo != 0:
		l.Pickup, l.MovedFrom = decision.MovedTo, ordered
	case x.calendar.PicksUp(l.Carrier, ordered):
	case moved:
		l.Pickup, l.MovedFrom = to, ordered
		notice.Code, notice.To = "moved_by_calendar", to
	default:
		notice.Code = "dropped_closed"
	}
	if notice.Code != "" && (inside(ordered) || inside(l.Pickup)) {
		x.notices = append(x.notices, notice)
	}
	return notice.Code != "dropped_closed" && inside(l.Pickup)
}

// settle makes one line a layer. A word given and a cut are spread over the
// layers from the one asked for first.
func (x *expansion) settle(l domain.Line, decision domain.Decision, layers []layer) {
	l.Agreed = decision.Agreed
	word, most := decision.Promised, decision.AtMost
	for i, y := range layers {
		line := l
		line.ID, line.Cases, line.Received = l.Base, y.cases, y.received
		if i > 0 {
			line.ID += "/+" + domain.DayOf(y.received.UTC()).String()
			for n := 2; x.has(line.ID); n++ {
				line.ID = l.Base + "/+" + domain.DayOf(y.received.UTC()).String() + "." + string(rune('0'+n))
			}
		}
		asked := y.cases
		if most != nil {
			part := min(*most, y.cases)
			if rest := *most - part; part < y.cases || i < len(layers)-1 {
				asked, most = part, &rest
			}
			if part < y.cases {
				line.AtMost = &part
			}
		}
		if give := min(word, asked); give > 0 {
			line.Promised, line.PromisedAt = give, decision.PromisedAt
			word -= give
		}
		x.lines = append(x.lines, line)
	}
}

// has says whether a line of that id was made: layers of one day are few.
func (x *expansion) has(id string) bool {
	return len(x.lines) > 0 && slices.ContainsFunc(x.lines[max(0, len(x.lines)-8):], func(l domain.Line) bool { return l.ID == id })
}
