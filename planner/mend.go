package planner

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/growth"
)

// Mend is a sowing that fills every case of a pickup day, tried in the planner:
// heads of one variety may mend it by freeing those of another.
type Mend struct {
	Variety string
	Trays   int
	By      domain.Day // the last day on which it can be sown
	Ready   domain.Day // expected, if sown then
	Heads   int        // that it is expected to give
}

// mender tries sowings on a problem.
type mender struct {
	facts   *domain.Facts
	week    *Week
	problem *planning.Problem
	asOf    domain.Day
	figures *growth.Figures
	sown    []planning.Lot // of mends named for earlier days
}

func newMender(f *domain.Facts, w *Week, p *planning.Problem, asOf domain.Day) *mender {
	return &mender{facts: f, week: w, problem: p, asOf: asOf, figures: growth.Read(f, asOf)}
}

// mendAll finds for every short pickup day the sowings that still mend it, those
// named for earlier days being taken as sown.
func (m *mender) mendAll(x *allotted, lead int) (shorts []OutlookShort) {
	for _, t := range m.problem.PickupDays {
		cases, lines := x.shortOn(t)
		if cases == 0 {
			continue
		}
		s := OutlookShort{Pickup: t, Cases: cases}
		counted := true
		for _, i := range lines {
			s.Lines = append(s.Lines, m.week.hand.line(m.problem.Lines[i].ID))
			counted = counted && m.countedFor(x, i, lead)
		}
		if !counted {
			continue // nothing is known, so nothing is short
		}
		if len(m.sown) > 0 && m.shortWith(t, nil) == 0 {
			s.Mended = true
		} else if s.Mends = m.mends(t, lines); len(s.Mends) > 0 {
			m.sown = append(m.sown, m.lot(s.Mends[0]))
		}
		shorts = append(shorts, s)
	}
	return shorts
}

// countedFor says whether what a short line lacks is known of.
func (m *mender) countedFor(x *allotted, line, lead int) bool {
	l := &m.problem.Lines[line]
	var lacks []string
	if r := x.lines[line].Reason; r != nil {
		lacks = r.Varieties
	}
	if len(lacks) == 0 {
		for _, s := range x.book.Products[x.book.ProductIx[l.Product]].Slots {
			lacks = append(lacks, s.Accept[0])
		}
	}
	return !slices.ContainsFunc(lacks, func(v string) bool { return !m.week.Counted(v, l.Pickup, lead) })
}

// unknown is the first-choice heads of cases that cannot be filled for want of
// what nobody has looked at.
func (m *mender) unknown(x *allotted, lead int) map[key]int {
	heads := map[key]int{}
	for i := range m.problem.Lines {
		l := &m.problem.Lines[i]
		if x.lines[i].Short == 0 || m.countedFor(x, i, lead) {
			continue
		}
		for _, s := range x.book.Products[x.book.ProductIx[l.Product]].Slots {
			heads[key{l.Pickup, x.book.VarietyIx[s.Accept[0]]}] += s.Heads * x.lines[i].Short
		}
	}
	return heads
}

// related are the varieties whose heads could help short lines: those that the
// lines take, those that stand in for them in anybody's cases and so may free
// some, those that stand in for these, and so on; in the farm's order.
func (m *mender) related(lines []int) (list []string) {
	in := map[string]bool{}
	for _, i := range lines {
		for _, code := range m.accepted(m.problem.Lines[i].Product) {
			in[code] = true
		}
	}
	for grown := true; grown; {
		grown = false
		for i := range m.problem.Products {
			takes := m.accepted(m.problem.Products[i].Code)
			if !slices.ContainsFunc(takes, func(c string) bool { return in[c] }) {
				continue
			}
			for _, c := range takes {
				grown = grown || !in[c]
				in[c] = true
			}
		}
	}
	for i := range m.problem.Varieties {
		if code := m.problem.Varieties[i].Code; in[code] {
			list = append(list, code)
		}
	}
	return list
}

func (m *mender) accepted(product string) (codes []string) {
	for i := range m.problem.Products {
		if m.problem.Products[i].Code == product {
			for _, s := range m.problem.Products[i].Slots {
				codes = append(codes, s.Accept...)
			}
		}
	}
	return codes
}

// mends tries each variety that could help on its last day. The fewest trays
// come first, then the one that can wait longest.
func (m *mender) mends(t domain.Day, lines []int) (list []Mend) {
	lead := 0
	for _, i := range lines {
		lead = max(lead, m.problem.Lead(&m.problem.Lines[i]))
	}
	for _, v := range m.related(lines) {
		by, ok := m.lastDay(v, t, lead)
		if !ok {
			continue
		}
		if trays := m.fewest(v, by, t); trays > 0 {
			s := m.figures.Sow(v, by)
			heads, _ := s.Heads(trays)
			list = append(list, Mend{v, trays, by, s.Ready, heads})
		}
	}
	slices.SortStableFunc(list, func(a, b Mend) int { return cmp.Or(cmp.Compare(a.Trays, b.Trays), cmp.Compare(b.By, a.By)) })
	return list
}

// lastDay is the last day on which a variety can be sown to be surely ready for
// a pickup with so many lead days.
func (m *mender) lastDay(variety string, t domain.Day, lead int) (domain.Day, bool) {
	b := planning.Index(m.problem)
	for d := t; d >= m.asOf; d-- {
		s := m.figures.Sow(variety, d)
		pull, ok := b.LastPull(min(max(s.Last, s.Late), t.Add(-lead)))
		if ok && pull >= s.Late && b.FreshEnough(b.VarietyIx[variety], pull, t, 0) {
			return d, true
		}
	}
	return 0, false
}

// mostMended bounds the trays tried for one day.
const mostMended = 256

// fewest is the fewest trays of a variety that mend a day; 0 where none do.
func (m *mender) fewest(variety string, by, t domain.Day) int {
	mended := func(trays int) bool {
		lot := m.lot(Mend{Variety: variety, Trays: trays, By: by})
		return m.shortWith(t, &lot) == 0
	}
	if !mended(mostMended) {
		return 0
	}
	low, high := 1, 1
	for !mended(high) {
		low, high = high+1, min(2*high, mostMended)
	}
	for low < high {
		if n := (low + high) / 2; mended(n) {
			high = n
		} else {
			low = n + 1
		}
	}
	return high
}

// lot is what a sowing would give. Its name is no code that a batch can have.
func (m *mender) lot(s Mend) planning.Lot {
	g := m.figures.Sow(s.Variety, s.By)
	heads, cautious := g.Heads(s.Trays)
	return planning.Lot{Code: "to sow/" + s.Variety + "/" + s.By.String(), Variety: s.Variety, Place: planning.Bed,
		Heads: heads, CautiousHeads: &cautious, Ready: g.Late, Last: max(g.Last, g.Late)}
}

// shortWith is the cases still short on a day if a lot more were there. Lines
// for later days are left out where they come later in rank.
func (m *mender) shortWith(t domain.Day, more *planning.Lot) int {
	p := *m.problem
	p.Lots = append(slices.Clone(p.Lots), m.sown...)
	if more != nil {
		if i := slices.IndexFunc(p.Lots, func(l planning.Lot) bool { return l.Code == more.Code }); i >= 0 {
			p.Lots[i].Heads += more.Heads // it was sown for an earlier day already
		} else {
			p.Lots = append(p.Lots, *more)
		}
	}
	if p.Rank != planning.PriorityFirst {
		p.Lines = slices.DeleteFunc(slices.Clone(p.Lines), func(l planning.Line) bool { return l.Pickup > t && l.Promised == 0 })
	}
	cases, _ := allot(&p).shortOn(t)
	return cases
}
