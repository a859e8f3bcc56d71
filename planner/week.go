package planner

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/growth"
	"headtally/planner/orders"
	"headtally/planner/stock"
)

// Week is the book's own plan: the facts as of a day, made into a problem,
// planned, with what lies beyond the days planned and what was taken for
// granted on the way.
type Week struct {
	Revision int64 // of the facts it was made from
	AsOf     domain.Day
	Problem  *planning.Problem
	Plan     *planning.Plan
	Standing *Standing     // the plan as promises are asked of it; recipes typed over are products of their own in it
	Lines    []domain.Line // the lines planned, in the order of Plan.Lines
	Ahead    []Listed      // pickups after the last day planned, as far as the tally looks
	Notices  []domain.Notice
	Assumed  []domain.Assumption

	Growth growth.Stock // what stood in the house, and where each lot's figures come from

	calendar *domain.Calendar
	hand     *byHand
}

// Listed is the heads of one variety ordered for a pickup day, by the first
// choice of each slot. No heads are held for it.
type Listed struct {
	Pickup  domain.Day
	Variety string
	Heads   domain.Heads
}

// wordReach is how many days ahead of a plan a word given is looked for. Words are
// given for days that are planned, a month ahead at most, and their lines are moved
// by at most a month; a word farther off was given as of a later day, for heads of
// which nobody knows yet. Without an end, a plan as of a day long ago would be one
// of all the years since.
const wordReach = 366

// PlanWeek plans the book's pickups of the coming days as of a day: as many as
// the farm plans, and at least to the last day with a word given within a year.
func PlanWeek(f *domain.Facts, asOf domain.Day) *Week {
	p, w := FromFacts(f, asOf)
	var planned *planning.Problem
	planned, w.hand = asTyped(f, p)
	w.Standing = NewStanding(planned)
	w.Problem, w.Plan = p, w.hand.readBack(planned, w.Standing.Plan, len(p.Lines))
	return w
}

// FromFacts makes the problem of PlanWeek without planning it; recipes typed
// over are not in it.
func FromFacts(f *domain.Facts, asOf domain.Day) (*planning.Problem, *Week) {
	cal := f.Calendar()
	horizon, sight := asOf.Add(f.Farm.PlanDays-1), asOf.Add(f.Farm.TallyDays)
	lines, notices := orders.Lines(f, asOf, max(horizon, sight, lastWord(f, cal, asOf.Add(wordReach))))
	w := &Week{Revision: f.Revision, AsOf: asOf, Notices: notices, calendar: cal}
	for _, l := range lines {
		if l.Promised > 0 {
			horizon = max(horizon, l.Pickup)
		}
	}
	n := slices.IndexFunc(lines, func(l domain.Line) bool { return l.Pickup > horizon })
	if n < 0 {
		n = len(lines)
	}
	w.Lines = stillToGo(f, lines[:n])
	w.Ahead = listed(f, lines[n:], sight)

	grown := growth.Of(f, cal, asOf)
	held := stock.Now(stock.Held{Lots: grown.Lots, Packed: grown.Packed, Since: grown.Since,
		CoolerSince: grown.CoolerSince, Assumed: grown.Assumed}, f, asOf)
	w.Growth, w.Assumed = grown, held.Assumed
	return w.problem(f, held, horizon), w
}

// stillToGo leaves out the lines of trucks that have left.
func stillToGo(f *domain.Facts, lines []domain.Line) []domain.Line {
	left := map[string]bool{}
	for _, d := range f.Departures {
		left[domain.PickupID(d.Carrier, d.Day)] = true
	}
	return slices.DeleteFunc(slices.Clone(lines), func(l domain.Line) bool { return left[domain.PickupID(l.Carrier, l.Pickup)] })
}

// lastWord is the last day, none after reach, on which a line with a word can lie:
// the day the office moved it to, else the one the calendar moved it to, else the
// one its id names.
func lastWord(f *domain.Facts, cal *domain.Calendar, reach domain.Day) (last domain.Day) {
	for _, d := range f.Decisions {
		if d.Promised > 0 {
			ordered := domain.PickupOf(d.Line)
			to, _ := cal.MovedTo(domain.CarrierOf(d.Line), ordered)
			if day := cmp.Or(d.MovedTo, to, ordered); day <= reach {
				last = max(last, day)
			}
		}
	}
	return last
}

// problem puts the facts into the planner's document.
func (w *Week) problem(f *domain.Facts, held stock.Held, horizon domain.Day) *planning.Problem {
	farm := &f.Farm
	p := &planning.Problem{
		AsOf: w.AsOf, LeadDays: farm.LeadDays, PickupDays: w.pickupDays(horizon), PullDays: []domain.Day{},
		Rank: planning.Rank(farm.Rank), ShareRule: planning.ShareRule(farm.ShareRule), MaxRecipes: farm.MaxRecipes,
		Cooler: planning.Cooler{CaseSpaces: farm.CaseSpaces, TraySpaces: farm.TraySpaces, CaseRule: planning.CaseRule(farm.CaseRule)},
		Work: planning.Work{RaftsPerDay: farm.Crew.RaftsPerDay, HarvestHeadsPerHour: farm.Crew.HeadsPerHour,
			HarvestHours: farm.Crew.HarvestHours, PackCasesPerHour: farm.Crew.CasesPerHour, PackHours: farm.Crew.PackHours},
	}
	if stock.LiftedOn(f, w.AsOf) {
		p.NextPull = w.AsOf.Add(1)
	}
	for d := w.AsOf; d <= horizon; d++ {
		if w.calendar.Lifts(d) {
			p.PullDays = append(p.PullDays, d)
		}
	}
	for _, v := range f.Varieties {
		p.Varieties = append(p.Varieties, w.variety(farm, v))
	}
	for _, x := range f.Products {
		slots := make([]planning.Slot, len(x.Slots))
		for i, s := range x.Slots {
			slots[i] = planning.Slot{Heads: int(s.Heads), Accept: s.Accept, GrowersChoice: s.GrowersChoice}
		}
		p.Products = append(p.Products, planning.Product{Code: x.Code, Name: x.Name, Slots: slots, MaxHeadsPerVariety: x.MaxHeadsPerVariety})
	}
	w.stands(p, held)
	customers, carriers := map[string]domain.Customer{}, map[string]domain.Carrier{}
	for _, c := range f.Customers {
		customers[c.Code] = c
	}
	for _, c := range f.Carriers {
		carriers[c.Code] = c
	}
	for _, l := range w.Lines {
		p.Lines = append(p.Lines, w.line(farm, l, customers[l.Customer], carriers[l.Carrier]))
	}
	return p
}

// stands puts what is held into a problem that has its varieties and products.
// Heads and cases of what the farm has ended since are left out, for nobody can
// ask for them; cases that were packed for a line which is no longer wanted are
// spare.
func (w *Week) stands(p *planning.Problem, held stock.Held) {
	varieties, products, lines := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, v := range p.Varieties {
		varieties[v.Code] = true
	}
	for _, x := range p.Products {
		products[x.Code] = true
	}
	for _, l := range w.Lines {
		lines[l.ID] = true
	}
	p.Lots = slices.DeleteFunc(held.Lots, func(l planning.Lot) bool { return !varieties[l.Variety] })
	p.Packed = slices.DeleteFunc(held.Packed, func(c planning.Packed) bool {
		return !products[c.Product] || slices.ContainsFunc(c.Contents, func(h planning.VarietyHeads) bool { return !varieties[h.Variety] })
	})
	for i := range p.Packed {
		if !lines[p.Packed[i].Line] {
			p.Packed[i].Line = ""
		}
	}
}

// pickupDays are the days to the horizon on which a carrier comes, and those to
// which the office moved a line.
func (w *Week) pickupDays(horizon domain.Day) []domain.Day {
	days := w.calendar.PickupDays(w.AsOf, horizon)
	for _, l := range w.Lines {
		days = append(days, l.Pickup)
	}
	slices.Sort(days)
	return slices.Compact(days)
}

// variety fills what the farm has not told of a variety with its defaults.
func (w *Week) variety(farm *domain.Farm, v domain.Variety) planning.Variety {
	hold := w.figure("hold_days", v.HoldDays, farm.HoldDays)
	return planning.Variety{Code: v.Code, Name: v.Name, HoldDays: &hold,
		ShelfDays:    w.figure("shelf_days", v.ShelfDays, farm.ShelfDays),
		HeadsPerTray: w.figure("heads_per_tray", v.HeadsPerTray, farm.HeadsPerTray)}
}

// figure is a record's own figure or the farm's default, which is then named.
func (w *Week) figure(code string, own *int, usual int) int {
	if own != nil {
		return *own
	}
	if a := (domain.Assumption{Code: code, Value: usual}); !slices.Contains(w.Assumed, a) {
		w.Assumed = append(w.Assumed, a)
	}
	return usual
}

func (w *Week) line(farm *domain.Farm, l domain.Line, c domain.Customer, carrier domain.Carrier) planning.Line {
	w.figure("min_shelf_days", c.MinShelfDays, farm.MinShelfDays)
	return LineFor(farm, l, c, carrier)
}

// LineFor is a line in the planner's terms, with what holds for all orders of
// its customer and its carrier; what they do not tell is the farm's default.
func LineFor(farm *domain.Farm, l domain.Line, c domain.Customer, carrier domain.Carrier) planning.Line {
	line := planning.Line{ID: l.ID, Customer: l.Customer, Product: l.Product, Pickup: l.Pickup, Cases: int(l.Cases),
		Received: l.Received, Priority: c.Importance.Priority(), Promised: int(l.Promised), PromisedAt: l.PromisedAt,
		AllOrNone: l.AllOrNone, Substitutes: planning.Substitutes(c.Substitutes), Refuse: c.Refuse,
		MinShelfDays: farm.MinShelfDays, LeadDays: carrier.LeadDays}
	if c.MinShelfDays != nil {
		line.MinShelfDays = *c.MinShelfDays
	}
	if l.Agreed {
		line.Substitutes = planning.SubstituteYes
	}
	if l.AtMost != nil {
		most := int(*l.AtMost)
		line.AtMost = &most
	}
	return line
}

// listed adds up the first-choice heads of lines up to a day, or what their
// recipe says where a person typed it over.
func listed(f *domain.Facts, lines []domain.Line, last domain.Day) []Listed {
	products := map[string]*domain.Product{}
	for i := range f.Products {
		products[f.Products[i].Code] = &f.Products[i]
	}
	order, sums := map[string]int{}, map[Listed]domain.Heads{}
	for i, v := range f.Varieties {
		order[v.Code] = i
	}
	for _, l := range lines {
		product := products[l.Product]
		if product == nil || l.Pickup > last {
			continue
		}
		if r := f.Recipe(l.Product, l.Pickup); r != nil {
			for _, c := range r.Contents {
				sums[Listed{Pickup: l.Pickup, Variety: c.Variety}] += c.Heads * domain.Heads(l.Cases)
			}
		} else {
			for _, s := range product.Slots {
				sums[Listed{Pickup: l.Pickup, Variety: s.Accept[0]}] += s.Heads * domain.Heads(l.Cases)
			}
		}
	}
	list := make([]Listed, 0, len(sums))
	for row, heads := range sums {
		row.Heads = heads
		list = append(list, row)
	}
	slices.SortFunc(list, func(a, b Listed) int {
		return cmp.Or(cmp.Compare(a.Pickup, b.Pickup), cmp.Compare(order[a.Variety], order[b.Variety]))
	})
	return list
}

// Counted says whether anything is known of a variety's heads for a pickup: a
// count spoke of the harvest day on which they would be lifted, or the sowings
// on record do. What is short where nothing is known is "not counted", never
// "short".
func (w *Week) Counted(variety string, pickup domain.Day, lead int) bool {
	d := pickup.Add(-lead)
	for d > w.AsOf && !w.calendar.Lifts(d) {
		d--
	}
	return w.Growth.Knows(variety, max(d, w.AsOf))
}
