package planner

import (
	"cmp"
	"maps"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// Difference is what is different between two plans of one book, for a change
// slip: lines by id, pulls by day and lot. What both plans say alike is not in it.
type Difference struct {
	Lines []LineChange `json:"lines"`
	Pulls []PullChange `json:"pulls"`
}

// None says that the plans tell a reader of the slip the same.
func (d *Difference) None() bool { return len(d.Lines)+len(d.Pulls) == 0 }

// LineChange is a line that gets something else than before. A line that is in
// one plan alone has a zero LineFigures on the other side.
type LineChange struct {
	ID      string      `json:"id"`
	Added   bool        `json:"added,omitempty"`   // was in no order before
	Dropped bool        `json:"dropped,omitempty"` // is in none any more
	Was     LineFigures `json:"was,omitzero"`
	Is      LineFigures `json:"is,omitzero"`
}

// LineFigures is what a line gets, as a reader of the slip sees it.
type LineFigures struct {
	Cases    int                     `json:"cases"`
	Filled   int                     `json:"filled"`
	Firm     int                     `json:"firm"`
	Short    int                     `json:"short"`
	Broken   int                     `json:"broken"`
	Contents []planning.VarietyHeads `json:"contents,omitempty"` // over all cases out of lots, by variety
	Packed   []planning.PackedCases  `json:"packed,omitempty"`
}

// PullChange is a pull that differs. A pull that is in one plan alone has zero
// figures on the other side.
type PullChange struct {
	Day     domain.Day  `json:"day"`
	Lot     string      `json:"lot"`
	Variety string      `json:"variety"`
	Was     PullFigures `json:"was,omitzero"`
	Is      PullFigures `json:"is,omitzero"`
}

// PullFigures is what the crew is told of a pull.
type PullFigures struct {
	Heads     int              `json:"heads"`
	StopAt    int              `json:"stop_at"`
	Rafts     domain.HalfRafts `json:"rafts,omitempty"`
	RaftsUpTo domain.HalfRafts `json:"rafts_up_to,omitempty"`
}

// Compare tells what is different in plan is from plan was: lines in the order
// of is, then those dropped in the order of was; pulls by day, then lot.
func Compare(was, is *planning.Plan) *Difference {
	return &Difference{Lines: compareLines(was.Lines, is.Lines), Pulls: comparePulls(was.Pulls, is.Pulls)}
}

func compareLines(was, is []planning.LinePlan) []LineChange {
	changes := []LineChange{}
	before := make(map[string]*planning.LinePlan, len(was))
	for i := range was {
		before[was[i].ID] = &was[i]
	}
	for i := range is {
		c := LineChange{ID: is[i].ID, Is: figuresOf(&is[i])}
		old, known := before[c.ID]
		if c.Added = !known; known {
			c.Was = figuresOf(old)
			delete(before, c.ID)
		}
		if c.Added || !c.Was.same(&c.Is) {
			changes = append(changes, c)
		}
	}
	for i := range was {
		if _, dropped := before[was[i].ID]; dropped {
			changes = append(changes, LineChange{ID: was[i].ID, Dropped: true, Was: figuresOf(&was[i])})
		}
	}
	return changes
}

func figuresOf(l *planning.LinePlan) LineFigures {
	heads := map[string]int{}
	for _, h := range l.Heads {
		heads[h.Variety] += h.Heads
	}
	f := LineFigures{Cases: l.Cases, Filled: l.Filled, Firm: l.Firm, Short: l.Short, Broken: l.Broken, Packed: l.Packed}
	for _, v := range slices.Sorted(maps.Keys(heads)) {
		f.Contents = append(f.Contents, planning.VarietyHeads{Variety: v, Heads: heads[v]})
	}
	return f
}

func (f *LineFigures) same(o *LineFigures) bool {
	return f.Cases == o.Cases && f.Filled == o.Filled && f.Firm == o.Firm && f.Short == o.Short && f.Broken == o.Broken &&
		slices.Equal(f.Contents, o.Contents) && slices.Equal(f.Packed, o.Packed)
}

func comparePulls(was, is []planning.Pull) []PullChange {
	changes := []PullChange{}
	type key struct {
		day domain.Day
		lot string
	}
	pulls := map[key]*PullChange{}
	at := func(p *planning.Pull) *PullChange {
		k := key{p.Day, p.Lot}
		if pulls[k] == nil {
			pulls[k] = &PullChange{Day: p.Day, Lot: p.Lot, Variety: p.Variety}
		}
		return pulls[k]
	}
	for i := range was {
		at(&was[i]).Was = pullFigures(&was[i])
	}
	for i := range is {
		at(&is[i]).Is = pullFigures(&is[i])
	}
	for _, c := range pulls {
		if c.Was != c.Is {
			changes = append(changes, *c)
		}
	}
	slices.SortFunc(changes, func(a, b PullChange) int { return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Lot, b.Lot)) })
	return changes
}

func pullFigures(p *planning.Pull) PullFigures {
	return PullFigures{Heads: p.Heads, StopAt: p.StopAt, Rafts: p.Rafts, RaftsUpTo: p.RaftsUpTo}
}
