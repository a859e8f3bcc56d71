package book

import (
	"cmp"
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner"
)

// Day is one pickup day of a week's plan, as an office looks at it.
type Day struct {
	Week     *planner.Week
	Farm     domain.Farm
	Pickup   domain.Day
	Carriers []domain.Carrier // who comes, by hour
	Tally    []TallyRow       // by variety, in the farm's order
	Lines    []DayLine        // by carrier's hour, stop, customer, product
	Runs     []planning.Run   // what is packed for this day
	Notices  []domain.Notice  // of orders for this day
}

// TallyRow is the heads of one variety for the day.
type TallyRow struct {
	Variety domain.Variety
	planning.TallyRow
	Counted bool // a count spoke of the harvest day; else what lacks is "not counted", not short
}

// DayLine is one line with what it gets and for whom.
type DayLine struct {
	domain.Line
	Plan     planning.LinePlan
	Customer domain.Customer
	Product  domain.Product
	Counted  bool    // everything it lacks was counted
	CameLate bool    // its cases were asked for after the pickup's cut-off
	Shorted  Shorted // when its customer last went short; zero: not in the last weeks
}

// Day is one pickup day as planned as of a day; it must lie among the days the
// plan covers.
func (b *Book) Day(ctx context.Context, who Person, asOf, pickup domain.Day) (*Day, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*Day, error) {
		day, _, err := b.pickupDay(tx, asOf, pickup)
		return day, err
	})
}

// pickupDay is one pickup day in this moment of the book, and the facts it was
// planned from.
func (b *Book) pickupDay(tx *store.Tx, asOf, pickup domain.Day) (*Day, *domain.Facts, error) {
	facts, w, err := b.weekWithFacts(tx, asOf)
	if err != nil {
		return nil, nil, err
	}
	if !slices.Contains(w.Problem.PickupDays, pickup) {
		return nil, nil, domain.Refuse(domain.ErrNotFound, "pickup day", pickup.String(), "days", w.Problem.PickupDays)
	}
	day := NewDay(facts, w, pickup)
	shorted := shortedBefore(facts.Issues, pickup)
	for i, l := range day.Lines {
		day.Lines[i].Shorted = shorted[l.Line.Customer]
	}
	return day, facts, nil
}

// Mind is the warnings of the plan that speak of the pickup itself, or of a day
// from one on until it.
func (d *Day) Mind(from domain.Day) (list []planning.Warning) {
	for _, w := range d.Week.Plan.Warnings {
		if w.Pickup == d.Pickup || w.Pickup == 0 && from <= w.Day && w.Day <= d.Pickup {
			list = append(list, w)
		}
	}
	return list
}

// NextPickup is the first pickup day the plan covers, on or after its day.
func (b *Book) NextPickup(ctx context.Context, who Person, asOf domain.Day) (domain.Day, error) {
	w, err := b.Week(ctx, who, asOf)
	if err != nil {
		return 0, err
	}
	if len(w.Problem.PickupDays) == 0 {
		return 0, domain.Refuse(domain.ErrNotFound, "pickup day", "next")
	}
	return w.Problem.PickupDays[0], nil
}

// NewDay picks one day out of a week's plan.
func NewDay(f *domain.Facts, w *planner.Week, pickup domain.Day) *Day {
	cal := f.Calendar()
	d := &Day{Week: w, Farm: f.Farm, Pickup: pickup, Carriers: cal.Carriers(pickup)}
	varieties, customers, products := byCode(f.Varieties, func(v domain.Variety) string { return v.Code }),
		byCode(f.Customers, func(v domain.Customer) string { return v.Code }),
		byCode(f.Products, func(v domain.Product) string { return v.Code })
	lead := leads(f)
	latest := f.Farm.LeadDays
	for i, l := range w.Lines {
		if l.Pickup != pickup {
			continue
		}
		line := DayLine{Line: l, Plan: w.Plan.Lines[i], Customer: customers[l.Customer], Product: products[l.Product]}
		line.CameLate = l.Received.After(cal.Cutoff(l.Carrier, l.Pickup))
		line.Counted = countedFor(w, line, lead(l.Carrier))
		latest = min(latest, lead(l.Carrier))
		d.Lines = append(d.Lines, line)
	}
	for _, row := range w.Plan.Tally {
		if row.Pickup == pickup {
			d.Tally = append(d.Tally, TallyRow{varieties[row.Variety], row, w.Counted(row.Variety, pickup, latest)})
		}
	}
	for _, r := range w.Plan.Runs {
		if r.Pickup == pickup {
			d.Runs = append(d.Runs, r)
		}
	}
	for _, n := range w.Notices {
		if n.Day == pickup || n.To == pickup {
			d.Notices = append(d.Notices, n)
		}
	}
	d.sortLines()
	return d
}

// leads gives the lead days of a carrier.
func leads(f *domain.Facts) func(carrier string) int {
	own := map[string]int{}
	for _, c := range f.Carriers {
		if c.LeadDays != nil {
			own[c.Code] = *c.LeadDays
		}
	}
	return func(carrier string) int {
		if days, told := own[carrier]; told {
			return days
		}
		return f.Farm.LeadDays
	}
}

// countedFor says whether what a line lacks was counted: for each variety its
// reason names, or where there is none, each its cases list first.
func countedFor(w *planner.Week, l DayLine, lead int) bool {
	if l.Plan.Short == 0 {
		return true
	}
	var lacks []string
	if l.Plan.Reason != nil {
		lacks = l.Plan.Reason.Varieties
	}
	if len(lacks) == 0 {
		for _, s := range l.Product.Slots {
			lacks = append(lacks, s.Accept[0])
		}
	}
	return !slices.ContainsFunc(lacks, func(v string) bool { return !w.Counted(v, l.Pickup, lead) })
}

// sortLines puts lines in the order of the trucks and their stops.
func (d *Day) sortLines() {
	truck := map[string]int{}
	for i, c := range d.Carriers {
		truck[c.Code] = i + 1
	}
	slices.SortStableFunc(d.Lines, func(a, b DayLine) int {
		return cmp.Or(cmp.Compare(truck[a.Carrier], truck[b.Carrier]), cmp.Compare(a.Carrier, b.Carrier),
			cmp.Compare(a.Customer.Stop, b.Customer.Stop), cmp.Compare(a.Customer.Name, b.Customer.Name),
			cmp.Compare(a.Product.Name, b.Product.Name), cmp.Compare(a.ID, b.ID))
	})
}

func byCode[T any](list []T, code func(T) string) map[string]T {
	m := make(map[string]T, len(list))
	for _, v := range list {
		m[code(v)] = v
	}
	return m
}
