package book

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner/stock"
)

// Trace is what the records say about a code: the runs it touches, the lots
// whose heads can be in them, and everybody who got cases of them. Within a run
// heads of one variety cannot be told apart, so every lot of a run can be in
// each of its cases.
type Trace struct {
	Code     string
	Runs     []TracedRun
	Lots     []TracedLot
	Sent     []Sent
	Uncoded  []Sent // cases that left without a lot code and can be of it: nobody knows
	Returned []domain.Return
	Gone     []TracedGone
	OnHand   map[string]domain.Cases // trace -> cases packed, or come back to be sold, and not recorded as gone
}

// TracedRun is cases packed to one recipe, with its traceability lot code.
type TracedRun struct {
	Packed    domain.Day
	Document  string // the packing it was told with; of one done as printed the issue
	AsPrinted bool   // nobody told of that day's packing
	domain.PackedRun
}

// TracedLot is where heads came from.
type TracedLot struct {
	Lot     string
	Variety string
	Bed     string
	Lifted  domain.Day
	Lifts   []string     // the lifts it was told with
	Heads   domain.Heads // good ones lifted that day, where recorded
	Culls   domain.Heads
	Count   string     // the walk count the lot was known by, if any
	Batch   string     // the batch it grew from, if recorded
	Sown    domain.Day // of the batch
	SeedLot string
}

// Sent is cases that left for a customer.
type Sent struct {
	Day     domain.Day
	Carrier string
	domain.Shipped
	Name  string
	Phone string
}

// TracedGone is heads of a traced lot, or cases of a traced run, that went
// elsewhere than to a customer. Heads without a lot were the variety's oldest.
type TracedGone struct {
	Day     domain.Day
	Lot     string
	Variety string
	Heads   domain.Heads
	Trace   string
	Cases   domain.Cases
	Where   domain.Where
}

// Trace follows a code both ways. The code may be a case's traceability lot
// code, a lot, a batch, a seed lot, or a customer.
func (b *Book) Trace(ctx context.Context, who Person, code string) (*Trace, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*Trace, error) {
		r, err := readRecords(tx, b.now())
		if err != nil {
			return nil, err
		}
		return r.trace(code)
	})
}

// trace follows a code; one of which nothing is recorded is refused.
func (r *records) trace(code string) (*Trace, error) {
	sentTo := r.tracesSentTo(code)
	t := r.follow(code, func(run *domain.PackedRun) bool {
		return run.Trace == code || sentTo[run.Trace] || slices.ContainsFunc(run.Lots, func(l domain.LotTaken) bool { return r.isOf(l.Lot, code) })
	})
	if len(t.Runs) == 0 && len(t.Lots) == 0 && len(t.Uncoded) == 0 {
		return nil, domain.Refuse(domain.ErrNotFound, "trace", code)
	}
	return t, nil
}

// follow gathers all that the records say of the runs touched, and of lots of
// the code that no run took.
func (r *records) follow(code string, touched func(*domain.PackedRun) bool) *Trace {
	t := &Trace{Code: code, OnHand: map[string]domain.Cases{}}
	lots := map[string]domain.LotTaken{}
	for _, p := range r.packings {
		for i := range p.Runs {
			run := &p.Runs[i]
			if !touched(run) {
				continue
			}
			t.Runs = append(t.Runs, TracedRun{p.Day, p.document(), p.printed, *run})
			t.OnHand[run.Trace] += run.Cases
			for _, l := range run.Lots {
				lots[sameLot(l)] = l
			}
		}
	}
	for _, l := range lots {
		t.Lots = append(t.Lots, r.lot(l))
	}
	r.addLifted(t, code, lots)
	r.addSent(t)
	r.addUncoded(t)
	r.addGone(t)
	slices.SortFunc(t.Runs, func(a, b TracedRun) int {
		return cmp.Or(cmp.Compare(a.Packed, b.Packed), cmp.Compare(a.Trace, b.Trace))
	})
	slices.SortFunc(t.Lots, func(a, b TracedLot) int { return cmp.Or(cmp.Compare(a.Lifted, b.Lifted), cmp.Compare(a.Lot, b.Lot)) })
	return t
}

// tracesSentTo are the traceability lot codes that went to a customer.
func (r *records) tracesSentTo(customer string) map[string]bool {
	traces := map[string]bool{}
	for _, d := range r.left {
		for _, s := range d.Took {
			if s.Customer == customer && s.Trace != "" {
				traces[s.Trace] = true
			}
		}
	}
	return traces
}

// isOf says whether a lot is the code itself, comes from the batch of that code,
// or from the seed lot of that code.
func (r *records) isOf(lot, code string) bool {
	source, _ := splitLot(lot)
	batch, _, _ := strings.Cut(source, "/")
	sown, known := r.sown[batch]
	return lot == code || source == code || batch == code && known || known && sown.SeedLot == code
}

// splitLot takes a cooler lot's code apart into the bed lot it was lifted from
// and the day.
func splitLot(lot string) (source string, lifted domain.Day) {
	source, day, chilled := strings.Cut(lot, "@")
	if chilled {
		lifted, _ = domain.ParseDay(day)
	}
	return source, lifted
}

// sameLot names the heads of a lot that were lifted on one day, whether they
// were taken from the bed's lot or out of the cooler.
func sameLot(l domain.LotTaken) string {
	source, lifted := splitLot(l.Lot)
	return stock.ChilledCode(source, cmp.Or(lifted, l.Pulled))
}

// lot tells where the heads of a lot in the cooler came from.
func (r *records) lot(taken domain.LotTaken) TracedLot {
	source, lifted := splitLot(taken.Lot)
	t := TracedLot{Lot: source, Variety: taken.Variety, Lifted: cmp.Or(lifted, taken.Pulled)}
	for _, l := range r.lifts {
		for _, row := range l.Rows {
			if row.Lot == source && l.Day == t.Lifted {
				t.Bed, t.Heads, t.Culls = row.Bed, t.Heads+row.Heads, t.Culls+row.Culls
				if !slices.Contains(t.Lifts, l.ID) {
					t.Lifts = append(t.Lifts, l.ID)
				}
			}
		}
	}
	r.origin(&t)
	return t
}

// origin names the batch or the walk count that a lot's code tells of.
func (r *records) origin(t *TracedLot) {
	parts := strings.Split(t.Lot, "/")
	if sown, known := r.sown[parts[0]]; known {
		t.Batch, t.Sown, t.SeedLot = sown.Batch, sown.Day, sown.SeedLot
		if t.Bed == "" && len(parts) > 1 {
			t.Bed = parts[1]
		}
		return
	}
	if len(parts) == 3 {
		if parts[0] != "cooler" {
			t.Bed = cmp.Or(t.Bed, parts[0])
		}
		t.Count, _, _ = strings.Cut(parts[2], ".")
	}
}

// addLifted adds lots of the code that were lifted and never packed.
func (r *records) addLifted(t *Trace, code string, packed map[string]domain.LotTaken) {
	for _, l := range r.lifts {
		for _, row := range l.Rows {
			taken := domain.LotTaken{Lot: row.Lot, Variety: row.Variety, Pulled: l.Day}
			if _, known := packed[sameLot(taken)]; known || !r.isOf(row.Lot, code) && sameLot(taken) != code {
				continue
			}
			packed[sameLot(taken)] = taken
			t.Lots = append(t.Lots, r.lot(taken))
		}
	}
}

// addSent adds everybody who got cases of the traced runs, and what came back.
func (r *records) addSent(t *Trace) {
	for _, d := range r.left {
		for _, s := range d.Took {
			if _, traced := t.OnHand[s.Trace]; traced && s.Trace != "" {
				t.OnHand[s.Trace] -= s.Cases
				t.Sent = append(t.Sent, r.sent(d, s))
			}
		}
	}
	for _, x := range r.returns {
		if _, traced := t.OnHand[x.Trace]; traced && x.Trace != "" {
			t.Returned = append(t.Returned, x)
			if x.Became == "stock" {
				t.OnHand[x.Trace] += x.Cases
			}
		}
	}
	slices.SortFunc(t.Sent, bySending)
}

func (r *records) sent(d domain.Departure, s domain.Shipped) Sent {
	c := r.customers[s.Customer]
	return Sent{d.Day, d.Carrier, s, cmp.Or(c.Name, s.Customer), c.Phone}
}

func bySending(a, b Sent) int {
	return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Customer, b.Customer), cmp.Compare(a.Trace, b.Trace), cmp.Compare(a.Line, b.Line))
}

// codeReach is how many days after a lift its heads can still be in a case that
// bears no code: the longest life from the pull that a variety may have.
const codeReach = 90

// addUncoded adds cases that left without a lot code: all that the customer got,
// or else those of products that may hold a traced lot's variety and left after
// it was lifted.
func (r *records) addUncoded(t *Trace) {
	for _, d := range r.left {
		for _, s := range d.Took {
			if s.Trace == "" && (s.Customer == t.Code || slices.ContainsFunc(t.Lots, func(l TracedLot) bool {
				return l.Lifted <= d.Day && d.Day <= l.Lifted.Add(codeReach) && r.mayHold(s.Product, l.Variety)
			})) {
				t.Uncoded = append(t.Uncoded, r.sent(d, s))
			}
		}
	}
	slices.SortFunc(t.Uncoded, bySending)
}

// mayHold says whether a product takes a variety; of one that is not on record
// nobody knows.
func (r *records) mayHold(product, variety string) bool {
	p, known := r.products[product]
	return !known || slices.ContainsFunc(p.Slots, func(s domain.Slot) bool { return slices.Contains(s.Accept, variety) })
}

// addGone adds heads of the traced lots and cases of the traced runs that went
// elsewhere. Heads of no lot told were the oldest: of a traced one, if it was
// lifted by then and is not too long ago.
func (r *records) addGone(t *Trace) {
	for _, p := range r.packings {
		for _, g := range p.Gone {
			if slices.ContainsFunc(t.Lots, func(l TracedLot) bool {
				if g.Lot != "" {
					return sameLot(domain.LotTaken{Lot: g.Lot, Pulled: p.Day}) == stock.ChilledCode(l.Lot, l.Lifted)
				}
				return l.Variety == g.Variety && l.Lifted <= p.Day && p.Day <= l.Lifted.Add(codeReach)
			}) {
				t.Gone = append(t.Gone, TracedGone{Day: p.Day, Lot: g.Lot, Variety: g.Variety, Heads: g.Heads, Where: g.Where})
			}
		}
		for _, g := range p.GoneCases {
			if _, traced := t.OnHand[g.Trace]; traced {
				t.OnHand[g.Trace] -= g.Cases
				t.Gone = append(t.Gone, TracedGone{Day: p.Day, Trace: g.Trace, Cases: g.Cases, Where: g.Where})
			}
		}
	}
	slices.SortStableFunc(t.Gone, func(a, b TracedGone) int { return cmp.Compare(a.Day, b.Day) })
}
