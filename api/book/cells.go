package book

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner/orders"
)

// OrderCell is how many cases of a product a customer asks for on one pickup day, of
// all its orders together. It is made of several records, so a change is held
// against the cases the person saw rather than against one record's revision.
type OrderCell struct {
	Customer string
	Product  string
	Pickup   domain.Day
	Was      domain.Cases // what the person saw
	Cases    domain.Cases // what it shall be
}

// SetCells makes cells what a person typed, all of them or none.
//
// A standing order stays as it is: what differs on that day is kept as its
// exception, so that a word given and the place in the queue are not lost. A
// one-off that stands instead of it is changed itself. Where the cell holds
// other one-offs, or nothing, more cases go on a one-off received today and
// fewer are taken from the one received last. A cell that already holds what was typed is no change;
// one that holds neither that nor what the person saw is stale.
func (b *Book) SetCells(ctx context.Context, who Person, cells []OrderCell, note Note) error {
	if err := who.ask(MayOrder); err != nil {
		return err
	}
	var faults domain.Faults
	first := cells[0].Pickup
	for i, c := range cells {
		if c.Cases < 0 || c.Cases > domain.MaxCount {
			faults.Add(place("cells", i)+".cases", "between", "min", 0, "max", domain.MaxCount)
		}
		first = min(first, c.Pickup)
	}
	if faults != nil {
		return faults
	}
	_, err := change(ctx, b, who, note, func(tx *store.Tx) (struct{}, error) {
		facts, err := tx.Facts(first.Add(-domain.MoveReach))
		if err != nil {
			return struct{}{}, err
		}
		w := &cellWriter{book: b, tx: tx, facts: facts, today: facts.Calendar().Today(tx.Now)}
		return struct{}{}, w.setAll(cells)
	})
	return err
}

// cellWriter changes cells in one transaction; facts is kept as the book stands
// after each change.
type cellWriter struct {
	book  *Book
	tx    *store.Tx
	facts domain.Facts
	today domain.Day
}

// source is one order's part of a cell.
type source struct {
	standing bool
	id       string
	ordered  domain.Day // the day it was ordered for
	cases    domain.Cases
	usual    domain.Cases // standing: what its term asks that day
}

func (w *cellWriter) setAll(cells []OrderCell) error {
	for _, c := range cells {
		if err := w.fresh(c); err != nil {
			return err
		}
	}
	for i, c := range cells {
		if err := w.set(c); err != nil {
			return underCell(err, i)
		}
	}
	return nil
}

// fresh refuses a cell that somebody else changed since the person saw it.
func (w *cellWriter) fresh(c OrderCell) error {
	var have domain.Cases
	for _, s := range w.sources(c) {
		have += s.cases
	}
	if have == c.Was || have == c.Cases {
		return nil
	}
	return domain.Refuse(domain.ErrStale, "cell", c.Customer+"/"+c.Product+"/"+c.Pickup.String(), "cases", int(have))
}

// underCell names the cell and its field in a fault, in place of the order that
// would have been written for it.
func underCell(err error, i int) error {
	faults, ok := err.(domain.Faults)
	if !ok {
		return err
	}
	for k, f := range faults {
		faults[k].Place = place("cells", i) + "." + f.Place[strings.LastIndexByte(f.Place, '.')+1:]
	}
	return faults
}

// set spreads the difference over the cell's orders.
func (w *cellWriter) set(c OrderCell) error {
	sources := w.sources(c)
	want := c.Cases
	for _, s := range sources {
		want -= s.cases
	}
	if want > 0 {
		return w.raise(c, sources, want)
	}
	for _, s := range sources {
		if want == 0 {
			break
		}
		next := max(0, s.cases+want)
		want += s.cases - next
		if err := w.setSource(c, s, next); err != nil {
			return err
		}
	}
	return nil
}

// raise adds cases: to the one-off that stands instead, else beside the other
// one-offs, else as an exception of the standing order.
func (w *cellWriter) raise(c OrderCell, sources []source, more domain.Cases) error {
	if n := len(sources); n > 0 {
		if last := sources[n-1]; w.rank(last) == rankInstead {
			return w.setSource(c, last, last.cases+more)
		}
		if first := sources[0]; first.standing {
			return w.setSource(c, first, first.cases+more)
		}
	}
	_, err := w.ask(c, more)
	return err
}

// sources are the orders a cell is made of, in the order in which they give up
// cases: one-offs from the one received last, standing orders, and a one-off
// that stands instead of them.
func (w *cellWriter) sources(c OrderCell) (list []source) {
	facts := w.of(c.Customer)
	at := map[string]int{}
	add := func(s source) {
		at[s.id] = len(list)
		list = append(list, s)
	}
	replaced := false
	for _, o := range facts.Orders {
		if o.Mode == domain.Replace && o.Pickup == c.Pickup && lineOf(o, c.Product) >= 0 {
			add(source{id: o.ID, ordered: o.Pickup})
			replaced = true
		}
	}
	for _, s := range facts.Standing {
		if usual, ordered, asks := w.usual(s, c); asks && !replaced {
			add(source{standing: true, id: s.ID, ordered: ordered, usual: usual})
		}
	}
	lines, _ := orders.Lines(&facts, c.Pickup, c.Pickup)
	for _, l := range lines {
		if l.Product != c.Product {
			continue
		}
		if _, seen := at[l.Order]; !seen {
			add(source{standing: l.Standing, id: l.Order, ordered: cmp.Or(l.MovedFrom, l.Pickup)})
		}
		list[at[l.Order]].cases += l.Cases
	}
	slices.SortStableFunc(list, func(a, b source) int { return w.compare(a, b) })
	return list
}

// The ranks in which the orders of a cell give up cases.
const (
	rankOneOff = iota
	rankStanding
	rankInstead
)

func (w *cellWriter) rank(s source) int {
	switch {
	case s.standing:
		return rankStanding
	case w.order(s.id).Mode == domain.Replace:
		return rankInstead
	}
	return rankOneOff
}

func (w *cellWriter) compare(a, b source) int {
	if by := cmp.Compare(w.rank(a), w.rank(b)); by != 0 || a.standing {
		return by
	}
	return w.order(b.id).Received.Compare(w.order(a.id).Received)
}

// usual is what a standing order asks for a cell by its term alone, and the day
// it asks it for; asks is false where the term or a change to another product
// leaves the cell out.
func (w *cellWriter) usual(s domain.Standing, c OrderCell) (usual domain.Cases, ordered domain.Day, asks bool) {
	if s.Product != c.Product {
		return 0, 0, false
	}
	bare := w.of(s.Customer)
	changes := s.Changes
	s.Changes = nil
	bare.Standing, bare.Orders = []domain.Standing{s}, nil
	lines, _ := orders.Lines(&bare, c.Pickup, c.Pickup)
	for _, l := range lines {
		usual, ordered, asks = usual+l.Cases, cmp.Or(l.MovedFrom, l.Pickup), true
	}
	for _, x := range changes {
		if x.Covers(ordered) && x.Product != "" && x.Product != c.Product {
			return 0, 0, false
		}
	}
	return usual, ordered, asks
}

// of is the facts with one customer's orders only.
func (w *cellWriter) of(customer string) domain.Facts {
	f := w.facts
	f.Orders, f.Standing = nil, nil
	for _, o := range w.facts.Orders {
		if o.Customer == customer {
			f.Orders = append(f.Orders, o)
		}
	}
	for _, s := range w.facts.Standing {
		if s.Customer == customer {
			f.Standing = append(f.Standing, s)
		}
	}
	return f
}

func (w *cellWriter) order(id string) (o domain.Order) {
	if i := slices.IndexFunc(w.facts.Orders, func(o domain.Order) bool { return o.ID == id }); i >= 0 {
		return w.facts.Orders[i]
	}
	return o
}

func lineOf(o domain.Order, product string) int {
	return slices.IndexFunc(o.Lines, func(l domain.OrderLine) bool { return l.Product == product })
}

// ask puts more cases on a one-off received today, or a new one.
func (w *cellWriter) ask(c OrderCell, more domain.Cases) (domain.Order, error) {
	at := slices.IndexFunc(w.facts.Orders, func(o domain.Order) bool {
		return o.Customer == c.Customer && o.Pickup == c.Pickup && o.Mode == domain.Add && o.Carrier == "" && o.PO == "" &&
			o.Reference == "" && w.facts.Calendar().Today(o.Received) == w.today
	})
	if at < 0 {
		rec, err := w.book.Orders.create(w.tx, domain.Order{Customer: c.Customer, Pickup: c.Pickup, Mode: domain.Add,
			Lines: []domain.OrderLine{{Product: c.Product, Cases: more}}})
		if err == nil {
			w.facts.Orders = append(w.facts.Orders, rec.Value)
		}
		return rec.Value, err
	}
	o := w.facts.Orders[at]
	o.Lines = slices.Clone(o.Lines)
	if i := lineOf(o, c.Product); i >= 0 {
		o.Lines[i].Cases += more
	} else {
		o.Lines = append(o.Lines, domain.OrderLine{Product: c.Product, Cases: more})
	}
	return o, w.putOrder(o)
}

func (w *cellWriter) setSource(c OrderCell, s source, cases domain.Cases) error {
	if s.standing {
		return w.except(s, cases)
	}
	o := w.order(s.id)
	o.Lines = slices.Clone(o.Lines)
	i := lineOf(o, c.Product)
	if o.Lines[i].Cases = cases; cases == 0 && o.Mode == domain.Add {
		o.Lines = slices.Delete(o.Lines, i, i+1)
	}
	return w.putOrder(o)
}

// putOrder stores a one-off; one without lines is ended.
func (w *cellWriter) putOrder(o domain.Order) error {
	was, err := store.Orders.Get(w.tx, o.ID)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(w.facts.Orders, func(x domain.Order) bool { return x.ID == o.ID })
	if len(o.Lines) == 0 {
		w.facts.Orders = slices.Delete(w.facts.Orders, at, at+1)
		_, err = store.Orders.End(w.tx, o.ID, was.Rev)
		return err
	}
	w.facts.Orders[at] = o
	_, err = w.book.Orders.replace(w.tx, o.ID, o, was.Rev)
	return err
}

// except makes a standing order ask for so many cases on one of its days.
func (w *cellWriter) except(s source, cases domain.Cases) error {
	at := slices.IndexFunc(w.facts.Standing, func(x domain.Standing) bool { return x.ID == s.id })
	order := w.facts.Standing[at]
	was, err := store.Standing.Get(w.tx, s.id)
	if err != nil {
		return err
	}
	order.Changes = withChange(order.Changes, s.ordered, cases, s.usual)
	rec, err := w.book.Standing.replace(w.tx, s.id, order, was.Rev)
	if err == nil {
		w.facts.Standing[at] = rec.Value
	}
	return err
}

// withChange is a standing order's changes with so many cases on one day; a
// change that covers more days keeps the others. What the term asks anyhow needs
// no change.
func withChange(changes []domain.Change, day domain.Day, cases, usual domain.Cases) (out []domain.Change) {
	one := domain.Change{From: day, Until: day, Cases: &cases}
	for _, c := range changes {
		if !c.Covers(day) {
			out = append(out, c)
			continue
		}
		one.Product, one.Note = c.Product, c.Note
		if c.From < day {
			before := c
			before.Until = day.Add(-1)
			out = append(out, before)
		}
		if c.Covers(day.Add(1)) {
			after := c
			after.From = day.Add(1)
			out = append(out, after)
		}
	}
	if cases != usual || one.Product != "" {
		out = append(out, one)
	}
	slices.SortFunc(out, func(a, b domain.Change) int { return cmp.Compare(a.From, b.From) })
	return out
}

// Grid is the orders of some days, a figure for each customer, product and day.
type Grid struct {
	AsOf      domain.Day
	Farm      domain.Farm
	Days      []domain.Day // with a pickup or an order, ascending
	Customers []domain.Customer
	Products  []domain.Product
	Notices   []domain.Notice
	planned   []domain.Day
	calendar  *domain.Calendar
	cells     map[gridKey]GridCell
}

type gridKey struct {
	customer, product string
	day               domain.Day
}

// GridCell is what stands in one cell and, on a day the plan covers, what it
// gets. All figures are cases.
type GridCell struct {
	Cases    domain.Cases
	Filled   domain.Cases // if all comes in
	Firm     domain.Cases // sure
	Short    domain.Cases
	Promised domain.Cases
	Planned  bool // the plan covers the day; else the other figures are none
	Counted  bool // whatever it lacks was counted
	Standing bool // some of it comes from a standing order
}

// State is how a cell stands.
func (c GridCell) State() LineState {
	switch {
	case c.Cases == 0 || !c.Planned:
		return ""
	case c.Promised > c.Filled:
		return StateBroken
	case c.Short > 0 && !c.Counted:
		return StateNotCounted
	case c.Short > 0:
		return StateShort
	case c.Filled > c.Firm:
		return StateAtRisk
	}
	return StateSure
}

// At is a cell; where nothing was ordered its figures are 0.
func (g *Grid) At(customer, product string, day domain.Day) GridCell {
	c, there := g.cells[gridKey{customer, product, day}]
	if !there {
		c.Counted, c.Planned = true, g.Covers(day)
	}
	return c
}

// Covers says whether the plan covers a day.
func (g *Grid) Covers(day domain.Day) bool { return slices.Contains(g.planned, day) }

// Comes says whether a customer's carrier comes on a day.
func (g *Grid) Comes(c domain.Customer, day domain.Day) bool {
	return g.calendar.PicksUp(c.Carrier, day)
}

// Grid is the orders from first to last as planned as of a day.
func (b *Book) Grid(ctx context.Context, who Person, asOf, first, last domain.Day) (*Grid, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	if span := last.Sub(first); span < 0 || span > 62 {
		return nil, domain.Faults{{Place: "days", Code: "between", Args: map[string]any{"min": 1, "max": 62}}}
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*Grid, error) {
		w, err := b.week(tx, asOf)
		if err != nil {
			return nil, err
		}
		facts, err := tx.Facts(min(asOf, first.Add(-domain.MoveReach)))
		if err != nil {
			return nil, err
		}
		lines, notices := orders.Lines(&facts, first, last)
		g := &Grid{AsOf: asOf, Farm: facts.Farm, Customers: facts.Customers, Products: facts.Products, Notices: notices,
			planned: w.Problem.PickupDays, calendar: facts.Calendar(), cells: map[gridKey]GridCell{}}
		g.Days = g.calendar.PickupDays(first, last)
		for _, l := range lines {
			g.add(l)
			g.Days = append(g.Days, l.Pickup)
		}
		slices.Sort(g.Days)
		g.Days = slices.Compact(g.Days)
		for _, d := range g.Days {
			if g.Covers(d) {
				for _, l := range NewDay(&facts, w, d).Lines {
					g.plan(l)
				}
			}
		}
		return g, nil
	})
}

func (g *Grid) add(l domain.Line) {
	key := gridKey{l.Customer, l.Product, l.Pickup}
	c, there := g.cells[key]
	if !there {
		c.Counted = true
	}
	c.Cases += l.Cases
	c.Promised += l.Promised
	c.Standing = c.Standing || l.Standing
	c.Planned = g.Covers(l.Pickup)
	g.cells[key] = c
}

func (g *Grid) plan(l DayLine) {
	key := gridKey{l.Line.Customer, l.Line.Product, l.Pickup}
	c := g.cells[key]
	c.Filled += domain.Cases(l.Plan.Filled)
	c.Firm += domain.Cases(l.Plan.Firm)
	c.Short += domain.Cases(l.Plan.Short)
	c.Counted = c.Counted && l.Counted
	g.cells[key] = c
}
