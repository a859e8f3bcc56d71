package planner

import (
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// OutlookLine is one line within an outlook's reach, with the cases that can be
// filled as things are.
type OutlookLine struct {
	domain.Line
	Asked  int // what was ordered less what was cut
	Filled int
	Short  int
}

// Behind is what lies behind one cell of an outlook.
type Behind struct {
	Row   OutlookRow
	Lots  []BedRow      // that give heads to the day, or could, as they are named in the row
	Lines []OutlookLine // of the day, of products that can hold the variety
	Short *OutlookShort // what is short on the day, and the sowings that still mend it
}

// Behind is what lies behind a variety's cell of a pickup day; without a row of
// it, all is empty.
func (o *Outlook) Behind(variety string, pickup domain.Day) Behind {
	b := Behind{Row: OutlookRow{Pickup: pickup, Variety: variety, State: NotCounted}}
	for _, r := range o.Rows {
		if r.Pickup == pickup && r.Variety == variety {
			b.Row = r
		}
	}
	for _, code := range b.Row.Lots {
		i := slices.IndexFunc(o.problem.Lots, func(l planning.Lot) bool { return l.Code == code })
		b.Lots = append(b.Lots, BedRow{Lot: o.problem.Lots[i], Source: o.from[code]})
	}
	takes := map[string]bool{}
	for i := range o.problem.Products {
		p := &o.problem.Products[i]
		takes[p.Code] = slices.ContainsFunc(p.Slots, func(s planning.Slot) bool { return slices.Contains(s.Accept, variety) })
	}
	for _, l := range o.lines {
		if l.Pickup == pickup && takes[l.Product] {
			b.Lines = append(b.Lines, l)
		}
	}
	if i := slices.IndexFunc(o.Shorts, func(s OutlookShort) bool { return s.Pickup == pickup }); i >= 0 {
		b.Short = &o.Shorts[i]
	}
	return b
}

// keep remembers what stands behind the rows: the farm's own problem, and its
// lines as they were granted in the document that was planned.
func (o *Outlook) keep(own, planned *planning.Problem, w *Week, x *allotted) {
	o.problem, o.from = own, w.Growth.From
	granted := map[string]*OutlookLine{}
	o.lines = make([]OutlookLine, len(w.Lines))
	for i, l := range w.Lines {
		o.lines[i] = OutlookLine{Line: l, Asked: int(l.Asked())}
		granted[l.ID] = &o.lines[i]
	}
	for i := range planned.Lines {
		if l := granted[w.hand.line(planned.Lines[i].ID)]; l != nil {
			l.Filled += x.lines[i].Filled
			l.Short += x.lines[i].Short
		}
	}
}
