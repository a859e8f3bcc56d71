package api_test

import (
	"bytes"
	"encoding/json"
	"maps"
	"slices"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// that is one thing that must hold.
func (m *month) that(holds bool, text string, args ...any) {
	m.t.Helper()
	m.checks++
	if !holds {
		m.t.Errorf("%s %s: "+text, append([]any{m.today, m.now.Format("15:04")}, args...)...)
	}
	if m.t.Failed() {
		m.t.FailNow()
	}
}

// check holds the book against the house after a step.
func (m *month) check(step string) {
	m.t.Helper()
	m.steps++
	w := m.week()
	m.samePlan(w, step)
	m.conserved(w, step)
	m.noLotGivesMore(w, step)
	m.caseForCase(w, step)
	facts := m.facts()
	for i := range w.Lines {
		m.line(w, facts, i, step)
	}
	m.wordsStand(w, facts, step)
}

// samePlan plans the same facts again.
func (m *month) samePlan(w *planner.Week, step string) {
	again := planner.PlanWeek(m.facts(), m.today)
	first, err := json.Marshal(w.Plan)
	require.NoError(m.t, err)
	second, err := json.Marshal(again.Plan)
	require.NoError(m.t, err)
	m.that(bytes.Equal(first, second), "%s: planned twice, the same", step)
}

// conserved sees that no head and no case came or went by itself: the house
// keeps its own account, and the book's beds, cooler and cases are the house's.
func (m *month) conserved(w *planner.Week, step string) {
	h := m.house
	m.that(h.grown == h.standing()+h.lifted+h.culled+h.thrown, "%s: %d grown, %d standing, %d lifted, %d culled, %d thrown away",
		step, h.grown, h.standing(), h.lifted, h.culled, h.thrown)
	var loose domain.Heads
	for _, n := range h.loose {
		loose += n
	}
	m.that(h.began+h.lifted == loose+h.inCases+h.gone, "%s: %d lifted, %d loose, %d in cases, %d gone", step, h.began+h.lifted, loose, h.inCases, h.gone)
	rafts, cooler, cases := 0, map[string]domain.Heads{}, map[string]domain.Cases{}
	for _, l := range w.Problem.Lots {
		if l.Place == planning.Chilled {
			cooler[l.Variety] += domain.Heads(l.Heads)
			continue
		}
		r, stage := h.find(l.Code)
		m.that(int(*l.Rafts) == len(r.stages[stage]), "%s: lot %s stands on %s rafts, truly on %d halves", step, l.Code, l.Rafts, len(r.stages[stage]))
		rafts += int(*l.Rafts)
	}
	for _, r := range h.rows {
		for _, stage := range r.stages {
			rafts -= len(stage)
		}
	}
	m.that(rafts == 0, "%s: %d half rafts too many in the book", step, rafts)
	for _, v := range w.Problem.Varieties {
		m.that(cooler[v.Code] == h.loose[v.Code], "%s: %d loose heads of %s, truly %d", step, cooler[v.Code], v.Code, h.loose[v.Code])
	}
	for _, p := range w.Problem.Packed {
		cases[p.Product] += domain.Cases(p.Cases)
	}
	for _, p := range w.Problem.Products {
		m.that(cases[p.Code] == m.hand[p.Code], "%s: %d cases of %s on hand, truly %d", step, cases[p.Code], p.Code, m.hand[p.Code])
	}
}

// noLotGivesMore adds up what lines and runs take of each lot, and lines of the
// packed cases.
func (m *month) noLotGivesMore(w *planner.Week, step string) {
	byLine, byRun, boxes := map[string]int{}, map[string]int{}, map[string]int{}
	for _, l := range w.Plan.Lines {
		for _, x := range l.Heads {
			byLine[x.Lot] += x.Heads
		}
		for _, x := range l.Packed {
			boxes[x.Code] += x.Cases
		}
	}
	for _, r := range w.Plan.Runs {
		for _, x := range r.Lots {
			byRun[x.Lot] += x.Heads
		}
	}
	for _, l := range w.Problem.Lots {
		m.that(byLine[l.Code] <= l.Heads, "%s: lot %s has %d heads and gives %d", step, l.Code, l.Heads, byLine[l.Code])
		m.that(byLine[l.Code] == byRun[l.Code], "%s: lot %s gives lines %d and runs %d", step, l.Code, byLine[l.Code], byRun[l.Code])
	}
	for _, p := range w.Problem.Packed {
		m.that(boxes[p.Code] <= p.Cases, "%s: %d cases of %s, %d given", step, p.Cases, p.Code, boxes[p.Code])
	}
}

// caseForCase holds the runs against the lines.
func (m *month) caseForCase(w *planner.Week, step string) {
	packed := map[string]int{}
	for _, r := range w.Plan.Runs {
		n := 0
		for _, l := range r.Lines {
			packed[l.ID] += l.Cases
			n += l.Cases
		}
		m.that(n == r.Cases, "%s: a run of %d cases serves %d", step, r.Cases, n)
	}
	for _, l := range w.Plan.Lines {
		m.that(packed[l.ID] == l.Filled-boxed(l), "%s: line %s gets %d cases, of which %d packed and %d in runs", step, l.ID, l.Filled, boxed(l), packed[l.ID])
	}
}

func boxed(l planning.LinePlan) (n int) {
	for _, p := range l.Packed {
		n += p.Cases
	}
	return n
}

// line sees that a line gets only what its customer takes.
func (m *month) line(w *planner.Week, f *domain.Facts, i int, step string) {
	l, plan := w.Lines[i], w.Plan.Lines[i]
	customer := f.Customers[slices.IndexFunc(f.Customers, func(c domain.Customer) bool { return c.Code == l.Customer })]
	product := f.Products[slices.IndexFunc(f.Products, func(p domain.Product) bool { return p.Code == l.Product })]
	swaps := customer.Substitutes == "yes" || l.Agreed
	inSlot, ofVariety := make([]domain.Heads, len(product.Slots)), map[string]int{}
	for _, x := range plan.Heads {
		slot := product.Slots[x.Slot]
		inSlot[x.Slot] += domain.Heads(x.Heads)
		ofVariety[x.Variety] += x.Heads
		place := slices.Index(slot.Accept, x.Variety)
		m.that(!slices.Contains(customer.Refuse, x.Variety), "%s: %s refuses %s", step, customer.Code, x.Variety)
		m.that(place == 0 || place > 0 && (swaps || slot.GrowersChoice), "%s: %s does not take %s", step, customer.Code, x.Variety)
	}
	fresh := domain.Heads(plan.Filled - boxed(plan))
	for s, slot := range product.Slots {
		m.that(inSlot[s] == slot.Heads*fresh, "%s: line %s has %d heads for %d cases", step, l.ID, inSlot[s], fresh)
	}
	if product.MaxHeadsPerVariety != nil {
		for v, n := range ofVariety {
			m.that(n <= *product.MaxHeadsPerVariety*int(fresh), "%s: line %s has %d heads of %s in %d cases", step, l.ID, n, v, fresh)
		}
	}
	if len(plan.Packed) > 0 {
		m.boxes(w, i, customer, swaps, step)
	}
	m.that(plan.Filled+plan.Broken >= int(l.Promised), "%s: line %s has a word of %d, gets %d, and %d are told broken", step, l.ID, l.Promised, plan.Filled, plan.Broken)
	if plan.Broken > 0 {
		m.that(slices.ContainsFunc(w.Plan.Warnings, func(x planning.Warning) bool { return x.Code == planning.PromiseBroken && x.Line == l.ID }),
			"%s: that the word of line %s is broken stands among the warnings", step, l.ID)
	}
}

// boxes sees that the packed cases a line gets are cases it can have.
func (m *month) boxes(w *planner.Week, i int, customer domain.Customer, swaps bool, step string) {
	indexed := planning.Index(w.Problem)
	var refuse []int
	for _, v := range customer.Refuse {
		refuse = append(refuse, indexed.VarietyIx[v])
	}
	rules := indexed.RulesFor(indexed.ProductIx[w.Lines[i].Product], swaps, refuse)
	for _, x := range w.Plan.Lines[i].Packed {
		p := w.Problem.Packed[indexed.PackedIx[x.Code]]
		contents := map[int]int{}
		for _, c := range p.Contents {
			contents[indexed.VarietyIx[c.Variety]] += c.Heads
		}
		m.that(rules.Allow(contents), "%s: line %s can have the packed cases %s", step, w.Lines[i].ID, x.Code)
		m.that(p.Line == "" || p.Line == w.Lines[i].ID, "%s: line %s gets cases packed for %s", step, w.Lines[i].ID, p.Line)
	}
}

// wordsStand sees that every word given is on its line, for as many cases as
// are still asked, until the truck has left.
func (m *month) wordsStand(w *planner.Week, f *domain.Facts, step string) {
	word, asked := map[string]domain.Cases{}, map[string]domain.Cases{}
	for _, l := range w.Lines {
		most := l.Cases
		if l.AtMost != nil {
			most = min(most, *l.AtMost)
		}
		word[l.Base] += l.Promised
		asked[l.Base] += most
	}
	for _, base := range slices.Sorted(maps.Keys(m.words)) {
		if _, there := asked[base]; !there {
			m.that(m.mayBeGone(f, base), "%s: the word of %d for %s is in no plan", step, m.words[base], base)
			continue
		}
		m.that(word[base] == min(m.words[base], asked[base]), "%s: the word of %d for %s is planned as %d", step, m.words[base], base, word[base])
	}
}

// mayBeGone says whether the truck that a line was to go with has left.
func (m *month) mayBeGone(f *domain.Facts, base string) bool {
	carrier, day := domain.CarrierOf(base), domain.PickupOf(base)
	if to, moved := f.Calendar().MovedTo(carrier, day); moved {
		day = to
	}
	for _, d := range f.Decisions {
		if d.Line == base && d.MovedTo != 0 {
			day = d.MovedTo
		}
	}
	return day < m.today || m.over[domain.PickupID(carrier, day)]
}

// stacked notes what was truly packed, and holds it against the plan it was
// packed by.
func (m *month) stacked(w *planner.Week, p domain.Packing, changes []book.PackedChange) {
	h := m.house
	wanted := 0
	for i, r := range runsOn(w, m.today) {
		cases := r.Cases
		for _, c := range changes {
			if c.Run == i {
				cases = int(c.Cases)
			}
		}
		wanted += cases
	}
	got := 0
	for _, r := range p.Runs {
		m.that(m.packed[r.Trace] == 0, "the lot code %s is given once", r.Trace)
		m.packed[r.Trace] = r.Cases
		m.hand[r.Product] += r.Cases
		got += int(r.Cases)
		fromLots, forLines := map[string]domain.Heads{}, domain.Cases(0)
		for _, l := range r.Lots {
			fromLots[l.Variety] += l.Heads
		}
		for _, c := range r.Contents {
			heads := c.Heads * domain.Heads(r.Cases)
			m.that(fromLots[c.Variety] == heads, "%s: %d heads of %s from lots, %d in cases", r.Trace, fromLots[c.Variety], c.Variety, heads)
			h.loose[c.Variety] -= heads
			h.inCases += heads
		}
		for _, l := range r.Lines {
			forLines += l.Cases
		}
		for _, x := range m.printed.Runs {
			if m.printed.Day == m.today && x.Pickup == r.Pickup && x.Product == r.Product && slices.Equal(x.Contents, r.Contents) {
				m.that(x.Trace == r.Trace || m.packed[x.Trace] > 0, "the labels say %s, the record %s", x.Trace, r.Trace)
			}
		}
		m.that(forLines <= r.Cases, "%s: %d cases for lines out of %d packed", r.Trace, forLines, r.Cases)
	}
	m.cases += got
	m.that(wanted == got, "%d cases were to be packed, %d were", wanted, got)
	for _, g := range p.Gone {
		h.loose[g.Variety] -= g.Heads
		h.gone += g.Heads
	}
	for v, n := range h.loose {
		m.that(n >= 0, "more heads of %s were packed than lay in the cooler: %d", v, n)
	}
}

// left notes what a truck took, and holds it against the plan and the trace.
func (m *month) left(w *planner.Week, carrier string, took []domain.Shipped) {
	m.over[domain.PickupID(carrier, m.today)] = true
	byLine := map[string]int{}
	for _, s := range took {
		byLine[s.Line] += int(s.Cases)
		m.hand[s.Product] -= s.Cases
		m.shipped[s.Trace] += s.Cases
		m.sent += int(s.Cases)
	}
	for i, l := range w.Lines {
		if l.Carrier != carrier || l.Pickup != m.today {
			continue
		}
		plan := w.Plan.Lines[i]
		m.that(byLine[l.ID] == boxed(plan), "line %s: %d cases in the plan, %d on the truck", l.ID, boxed(plan), byLine[l.ID])
		m.that(byLine[l.ID]+plan.Broken >= int(l.Promised) || m.less[m.today], "line %s: a word of %d, %d sent, %d told broken", l.ID, l.Promised, byLine[l.ID], plan.Broken)
		m.kept += min(byLine[l.ID], int(l.Promised))
		m.broken += plan.Broken
	}
	for _, s := range took {
		m.traced(s)
	}
}

// traced asks where the cases of a shipment are: packed, sent, come back.
func (m *month) traced(s domain.Shipped) {
	if s.Trace == "" {
		m.that(m.untraced >= s.Cases, "cases of line %s bear a lot code", s.Line)
		m.untraced -= s.Cases
		return
	}
	t, err := m.book.Trace(m.ctx, book.Owner(), s.Trace)
	require.NoError(m.t, err)
	var packed, sent domain.Cases
	for _, r := range t.Runs {
		packed += r.Cases
	}
	to := false
	for _, x := range t.Sent {
		sent += x.Cases
		to = to || x.Customer == s.Customer && x.Line == s.Line && x.Cases == s.Cases && x.Day == m.today
	}
	m.that(packed == m.packed[s.Trace], "%s: %d packed, %d in the trace", s.Trace, m.packed[s.Trace], packed)
	m.that(sent == m.shipped[s.Trace], "%s: %d shipped, %d in the trace", s.Trace, m.shipped[s.Trace], sent)
	m.that(to, "%s: the trace leads to %s", s.Trace, s.Customer)
	m.that(t.OnHand[s.Trace] == packed-sent+m.back[s.Trace], "%s: %d on hand, %d in the trace", s.Trace, packed-sent+m.back[s.Trace], t.OnHand[s.Trace])
}
