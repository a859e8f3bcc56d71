package prints

import (
	"slices"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// Morning is a packing day with all that its papers are made from.
type Morning struct {
	Facts   *domain.Facts
	Week    *planner.Week
	Day     domain.Day            // the packing day
	Pickups []*book.Day           // packed on it, in their order
	Was     []domain.Given        // what the printing before gave; nil: there was none
	WasRuns []domain.PackedRun    // what it packed
	Others  map[string]domain.Day // line id -> the first day on which all it lacks could be had
	Traces  map[string][]string   // line id -> traceability lot codes of its cases
	High    int                   // cases in a stack; 0 is usualStack
}

// usualStack is the height of a stack of cases where none is told: common
// practice for what a person can lift from and see over.
const usualStack = 6

// Tomorrow is all the paper of a packing day as one file, in the order in which
// it is used: the door, the lift and its tags, the table, the trucks, the
// telephone, and the form for the next walk. Papers that would say nothing are
// left out.
func Tomorrow(m Morning, o Options) (*Paper, error) {
	p := &pile{}
	for _, day := range m.Pickups {
		p.add(DoorSheet(day, m.Day, m.before(day), o))
	}
	if slices.ContainsFunc(m.Week.Plan.Pulls, func(x planning.Pull) bool { return x.Day == m.Day }) {
		p.add(HarvestList(m.Facts, m.Week, m.Day, o))
		p.add(TrayTags(m.Facts, m.Week, m.Day, o))
	}
	for _, day := range m.Pickups {
		p.pickup(m, day, o)
	}
	p.add(CountForm(m.Facts, m.Week, m.Day, o))
	if p.err != nil {
		return nil, p.err
	}
	d := begin(m.Facts.Farm, o, office)
	return Together(d.say("everything", "day", d.speech.DayYear(m.Day)), p.papers...), nil
}

// before is what the printing before gave of a pickup; nil where there was none.
func (m *Morning) before(day *book.Day) []domain.Given {
	if m.Was == nil {
		return nil
	}
	was := []domain.Given{}
	for _, g := range m.Was {
		if g.Pickup == day.Pickup {
			was = append(was, g)
		}
	}
	return was
}

// pile is papers laid one on another; after the first error nothing is added.
type pile struct {
	papers []*Paper
	err    error
}

func (p *pile) add(paper *Paper, err error) {
	switch {
	case p.err != nil:
	case err != nil:
		p.err = err
	default:
		p.papers = append(p.papers, paper)
	}
}

// pickup lays on the papers of one pickup day.
func (p *pile) pickup(m Morning, day *book.Day, o Options) {
	if slices.ContainsFunc(day.Runs, func(r planning.Run) bool { return r.Pack == m.Day }) {
		p.add(Recipes(day, m.Day, o))
	}
	p.add(PackList(day, o))
	p.add(StackTags(day, m.High, o))
	for _, truck := range loads(day) {
		p.add(LoadSheet(day, truck.carrier, o))
	}
	p.add(PackingSlips(day, m.Traces, o))
	if was := m.before(day); len(changes(was, day.Given())) > 0 {
		p.add(ChangeSlips(day, was, o))
	}
	if len(repacks(m.WasRuns, day, m.Day)) > 0 {
		p.add(RecipeSlips(day, m.Day, m.WasRuns, o))
	}
	if slices.ContainsFunc(day.Lines, func(l book.DayLine) bool { return l.Plan.Short > 0 || l.Plan.Broken > 0 }) {
		p.add(CallList(day, m.Others, o))
	}
}
