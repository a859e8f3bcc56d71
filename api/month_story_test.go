package api_test

import (
	"slices"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// moment is a part of one of the month's days, the first being day 0, a Tuesday.
type moment struct {
	day  int
	part int
}

// The parts of a day at which something can happen.
const (
	morning   = iota // before the paper of the day is printed again
	lifted           // between the lift and the packing
	afternoon        // when the day is packed
	evening          // when tomorrow is printed
)

// happen lets what the story has for a moment happen, once.
func (m *month) happen(day, part int) {
	if what := m.script[moment{day, part}]; what != nil {
		delete(m.script, moment{day, part})
		what()
		m.noteWords()
		m.check("what happened")
	}
}

// happenings are the month's mishaps, by when they befall the farm.
func (m *month) happenings() map[moment]func() {
	return map[moment]func(){
		{1, afternoon}:  m.lateChange,
		{2, evening}:    m.chefAfterThePrinting,
		{3, lifted}:     m.droppedTray,
		{5, evening}:    m.killed,
		{8, afternoon}:  m.cameBack,
		{13, morning}:   m.bolted,
		{14, afternoon}: func() { m.raised(); m.holidays() },
		{14, evening}:   func() { m.absent = round },
		{16, morning}:   func() { m.cooler(12, "limit") },
		{18, morning}:   func() { m.cooler(44, "warn") },
		{19, lifted}:    m.killed,
		{20, afternoon}: m.surge,
	}
}

// killed ends the process without a word and starts it again.
func (m *month) killed() { m.open() }

// lateChange takes cases off an order whose truck was closed at noon and whose
// cases are packed: refused without the tick, taken with it.
func (m *month) lateChange() {
	thursday := m.today.Add(1)
	list, err := m.book.Standing.List(m.ctx, book.Owner(), book.Query{})
	require.NoError(m.t, err)
	i := slices.IndexFunc(list, func(s book.Record[domain.Standing]) bool {
		return s.Value.Customer == "BARNACLE-WHOLESALE" && s.Value.Product == "COAST-BLEND"
	})
	was, fewer := list[i], domain.Cases(5)
	now := was.Value
	now.Changes = []domain.Change{{From: thursday, Until: thursday, Cases: &fewer}}
	_, err = m.book.Standing.Replace(m.ctx, book.Owner(), now.ID, now, book.Note{Base: was.Rev})
	require.ErrorIs(m.t, err, domain.ErrConflict)
	m.check("refused")
	_, err = m.book.Standing.Replace(m.ctx, book.Owner(), now.ID, now, book.Note{Base: was.Rev, Late: book.LateCustomer})
	require.NoError(m.t, err)
}

// once puts down a one-off.
func (m *month) once(customer, product string, cases domain.Cases, day domain.Day, late book.Late) {
	_, err := m.book.Orders.Create(m.ctx, book.Owner(), domain.Order{Customer: customer, Pickup: day, Mode: domain.Add,
		Lines: []domain.OrderLine{{Product: product, Cases: cases}}}, book.Note{Late: late})
	require.NoError(m.t, err)
}

// chefAfterThePrinting orders when tomorrow is printed: the new issue says which
// one it replaces.
func (m *month) chefAfterThePrinting() {
	first := m.issue(m.today.Add(1))
	m.once("THE-TIN-LANTERN", "CHEF-S-SIX", 2, m.today.Add(2), "")
	second := m.issue(m.today.Add(1))
	m.that(second.Replaces == first.Number && second.Number > first.Number, "issue %d replaces %d", second.Number, first.Number)
	names, err := m.book.PrintedNames(m.ctx, book.Owner(), first.ID)
	require.NoError(m.t, err)
	m.that(len(names) == 1, "the first printing is kept")
}

// droppedTray loses heads between the lift and the packing: that is told first,
// with nothing packed yet, and the plan is made anew.
func (m *month) droppedTray() {
	w := m.week()
	runs := runsOn(w, m.today)
	require.NotEmpty(m.t, runs)
	none := make([]book.PackedChange, len(runs))
	for i := range none {
		none[i] = book.PackedChange{Run: i}
	}
	variety := runs[0].Contents[0].Variety
	lost := min(20, m.house.loose[variety])
	was := w.Plan.Totals.Filled
	m.pack(none, domain.HeadsGone{Variety: variety, Heads: lost, Where: domain.Dropped})
	m.less = map[domain.Day]bool{}
	m.that(m.week().Plan.Totals.Filled <= was, "with fewer heads no more cases are filled")
}

// cameBack brings a case that the round took this morning back to be sold.
func (m *month) cameBack() {
	left, err := m.book.Departures().Get(m.ctx, book.Owner(), domain.PickupID(round, m.today))
	require.NoError(m.t, err)
	s := left.Value.Took[slices.IndexFunc(left.Value.Took, func(s domain.Shipped) bool { return s.Trace != "" })]
	_, err = m.book.CameBack(m.ctx, book.Owner(), domain.Return{Day: m.today, Customer: s.Customer, Product: s.Product, Trace: s.Trace, Cases: 1, Became: "stock"}, "")
	require.NoError(m.t, err)
	m.back[s.Trace]++
	m.hand[s.Product]++
	m.traced(s)
}

// bolted asks who would be hit by throwing away each lot, throws away the one
// that hits most lines, and finds just that.
func (m *month) bolted() {
	w := m.week()
	bolted, hits := "", []planner.Hit(nil)
	for _, l := range w.Problem.Lots {
		if l.Place != planning.Bed {
			continue
		}
		hit, faults := w.Without(l.Code)
		require.Empty(m.t, faults)
		if len(hit) > len(hits) {
			bolted, hits = l.Code, hit
		}
	}
	require.NotEmpty(m.t, hits)
	filled := map[string]int{}
	for _, l := range w.Plan.Lines {
		filled[l.ID] = l.Filled
	}
	for _, h := range hits {
		filled[h.Line] = h.FilledWithout
	}
	m.house.bolt(bolted)
	m.clock(6, 50)
	m.count()
	for _, l := range m.week().Plan.Lines {
		m.that(l.Filled == filled[l.ID], "line %s gets %d cases without the lot, as was said: %d", l.ID, l.Filled, filled[l.ID])
	}
}

// raised lets a standing order ask for more from next week on.
func (m *month) raised() {
	list, err := m.book.Standing.List(m.ctx, book.Owner(), book.Query{})
	require.NoError(m.t, err)
	i := slices.IndexFunc(list, func(s book.Record[domain.Standing]) bool { return s.Value.Customer == "OLD-KELP-HOUSE" })
	now := list[i].Value
	last := now.Terms[len(now.Terms)-1]
	now.Terms = append(slices.Clone(now.Terms), domain.Term{From: m.today.Add(3), Weekdays: last.Weekdays, Every: 1, Cases: last.Cases + 3})
	_, err = m.book.Standing.Replace(m.ctx, book.Owner(), now.ID, now, book.Note{Base: list[i].Rev})
	require.NoError(m.t, err)
}

// holidays close one round and move the harbour's Thursday to Friday.
func (m *month) holidays() {
	for _, e := range []domain.Exception{
		{Day: m.first.Add(22), Kind: domain.Closed, Carrier: round},
		{Day: m.first.Add(23), Kind: domain.Moved, Carrier: harbour, To: m.first.Add(24)},
	} {
		_, err := m.book.Exceptions.Create(m.ctx, book.Owner(), e, book.Note{})
		require.NoError(m.t, err)
	}
}

// surge is the week of the holiday: everybody wants more.
func (m *month) surge() {
	m.once("BARNACLE-WHOLESALE", "COAST-BLEND", 9, m.first.Add(24), "")
	m.once("HOTEL-PALISADE", "OAKLEAF-TEN", 6, m.first.Add(24), "")
	m.once("THE-TIN-LANTERN", "BUTTERHEAD-TEN", 5, m.first.Add(25), "")
	m.once("WINDWARD-FOODS", "MINI-ROMAINE-FIFTEEN", 7, m.first.Add(27), "")
}

// cooler changes what the cooler can hold.
func (m *month) cooler(cases int, rule string) {
	farm, err := m.book.Farm(m.ctx)
	require.NoError(m.t, err)
	now := farm.Value
	now.CaseSpaces, now.CaseRule = cases, rule
	_, err = m.book.SetFarm(m.ctx, book.Owner(), now, book.Note{Base: farm.Rev})
	require.NoError(m.t, err)
}

// notCollected moves the lines of a truck that did not come to its next day.
func (m *month) notCollected(carrier string) {
	next, there := m.facts().Calendar().NextPickup(carrier, m.today.Add(1))
	require.True(m.t, there)
	n, err := m.book.NotCollected(m.ctx, book.Owner(), carrier, m.today, next, "a flat tyre")
	require.NoError(m.t, err)
	m.that(n > 0, "lines were moved to %s", next)
}
