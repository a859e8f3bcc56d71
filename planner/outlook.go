package planner

import (
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/allocation"
	"headtally/planner/growth"
)

// Outlook is the pickup days of the next weeks by variety, planned by the same
// planner over the long horizon. Nothing is promised from it.
type Outlook struct {
	Revision int64
	AsOf     domain.Day
	Last     domain.Day
	Rows     []OutlookRow   // by pickup day, then the farm's order of varieties
	Shorts   []OutlookShort // by pickup day
	Assumed  []domain.Assumption

	problem *planning.Problem // the farm's own
	from    map[string]growth.Source
	lines   []OutlookLine
}

// OutlookRow is one variety on one pickup day, in heads.
type OutlookRow struct {
	Pickup   domain.Day
	Variety  string
	Listed   int // by the first choice of each slot
	Expected int // projected: what goes to this day, and what could and goes to none
	Cautious int // the same of the cautious heads, batches being ready as late as they may
	Spare    int // expected heads that go to no day
	Short    int // first-choice heads of cases that cannot be filled, as far as all that they lack is known of
	State    State
	Lots     []string // that give heads to this day, or could
}

// State is how a variety stands on a pickup day.
type State string

// Covered even by the cautious heads; at risk where only all that is expected
// covers it; short; and not counted where nothing is known of it, or of what
// else its cases lack.
const (
	Covered    State = "covered"
	AtRisk     State = "at_risk"
	Short      State = "short"
	NotCounted State = "not_counted"
)

// OutlookShort is a pickup day on which cases cannot be filled, and the sowings
// that would still mend it.
type OutlookShort struct {
	Pickup domain.Day
	Cases  int
	Lines  []string
	Mends  []Mend // the fewest trays first; none: it is too late, or no sowing does
	Mended bool   // a sowing named for an earlier day mends this one too
}

// LookAhead plans the pickups of so many weeks.
func LookAhead(f *domain.Facts, asOf domain.Day, weeks int) *Outlook {
	long := *f
	long.Farm.PlanDays = 7 * weeks
	p, w := FromFacts(&long, asOf)
	own := p
	p, w.hand = asTyped(&long, p)
	expected, cautious := allot(p), allot(w.cautious(p))
	o := &Outlook{Revision: f.Revision, AsOf: asOf, Last: asOf.Add(7*weeks - 1), Assumed: w.Assumed}
	lead := earliestLead(&long)
	m := newMender(f, w, p, asOf)
	unknown := m.unknown(expected, lead)
	for _, t := range p.PickupDays {
		for v := range p.Varieties {
			if row := expected.row(t, v, cautious); row.Listed+row.Expected > 0 {
				lacking := min(row.Short, unknown[key{t, v}])
				row.Short -= lacking
				row.State = state(row, cautious.tallied[key{t, v}].Short, w.Counted(row.Variety, t, lead) && (row.Short > 0 || lacking == 0))
				o.Rows = append(o.Rows, row)
			}
		}
	}
	o.keep(own, p, w, expected)
	o.Shorts = m.mendAll(expected, lead)
	return o
}

func state(row OutlookRow, shortByCautious int, counted bool) State {
	switch {
	case !counted:
		return NotCounted
	case row.Short > 0:
		return Short
	case shortByCautious > 0:
		return AtRisk
	}
	return Covered
}

// earliestLead is the fewest days from pull to pickup of any carrier.
func earliestLead(f *domain.Facts) int {
	lead := f.Farm.LeadDays
	for _, c := range f.Carriers {
		if c.LeadDays != nil {
			lead = min(lead, *c.LeadDays)
		}
	}
	return lead
}

// cautious is a problem with the cautious heads, batches being ready as late as
// they may.
func (w *Week) cautious(p *planning.Problem) *planning.Problem {
	low := *p
	low.Lots = slices.Clone(p.Lots)
	for i := range low.Lots {
		l := &low.Lots[i]
		l.Heads = l.Cautious()
		if late := w.Growth.From[l.Code].Late; late > l.Ready {
			l.Ready, l.Last = late, max(l.Last, late)
		}
	}
	return &low
}

// allotted is a problem with its grants, and no runs or pulls made of them.
type allotted struct {
	book    *planning.Book
	lines   []planning.LinePlan
	tallied map[key]planning.TallyRow
	left    []int // heads of each lot that go to no line
}

type key struct {
	day     domain.Day
	variety int
}

func allot(p *planning.Problem) *allotted {
	b := planning.Index(p)
	a := allocation.Allocate(b)
	x := &allotted{book: b, lines: a.Lines(), tallied: map[key]planning.TallyRow{}, left: make([]int, len(p.Lots))}
	for _, r := range tally(b, x.lines, a.Served) {
		x.tallied[key{r.Pickup, b.VarietyIx[r.Variety]}] = r
	}
	for i := range p.Lots {
		x.left[i] = p.Lots[i].Heads
	}
	for i := range a.Served.Classes {
		for _, share := range a.Served.Classes[i].Lots {
			x.left[share.Lot] -= share.Heads
		}
	}
	return x
}

// row is one variety on one pickup day.
func (x *allotted) row(t domain.Day, variety int, cautious *allotted) OutlookRow {
	r := x.tallied[key{t, variety}]
	row := OutlookRow{Pickup: t, Variety: x.book.Varieties[variety].Code, Listed: r.Listed, Short: r.Short}
	row.Spare = x.spare(t, variety)
	row.Expected = r.Assigned + row.Spare
	row.Cautious = min(row.Expected, cautious.tallied[key{t, variety}].Assigned+cautious.spare(t, variety))
	for i := range x.book.Lots {
		if x.book.Of[i] == variety && x.book.Lots[i].Heads > 0 && x.book.CanServe(i, t, x.book.LeadDays, 0) {
			row.Lots = append(row.Lots, x.book.Lots[i].Code)
		}
	}
	return row
}

// spare is the heads of a variety that could go to a pickup day and go to none.
func (x *allotted) spare(t domain.Day, variety int) (heads int) {
	for i, left := range x.left {
		if x.book.Of[i] == variety && left > 0 && x.book.CanServe(i, t, x.book.LeadDays, 0) {
			heads += left
		}
	}
	return heads
}

// shortOn is the cases that cannot be filled on a pickup day, and their lines.
func (x *allotted) shortOn(t domain.Day) (cases int, lines []int) {
	for i := range x.book.Lines {
		if x.book.Lines[i].Pickup == t && x.lines[i].Short > 0 {
			cases += x.lines[i].Short
			lines = append(lines, i)
		}
	}
	return cases, lines
}
