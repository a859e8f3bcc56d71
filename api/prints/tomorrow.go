package prints

import (
	"slices"

	"headtally/api/book"
	"headtally/domain"
	"headtally/planner"
)

// Morning is a packing day with all that its papers are made from.
type Morning struct {
	Facts   *domain.Facts
	Week    *planner.Week
	Day     domain.Day             // the packing day
	Pickups []*book.Day            // packed on it, in their order
	Was     map[domain.Day][]Given // pickup day -> what the printing before gave
	Others  map[string]domain.Day  // line id -> the first day on which all of it could be had
	High    int                    // cases in a stack; 0 is usualStack
}

// usualStack is the height of a stack of cases where none is told: common
// practice for what a person can lift from and see over.
const usualStack = 6

// Tomorrow is all the paper of a packing day as one file, in the order in which
// it is used: the door, the lift and its tags, the table, the trucks, the
// telephone, and the form for the next walk.
func Tomorrow(m Morning, o Options) (*Paper, error) {
	d := begin(m.Facts.Farm, o, office)
	stack := &pile{title: d.say("everything", "day", d.speech.DayYear(m.Day))}
	for _, day := range m.Pickups {
		stack.add(DoorSheet(day, m.Day, m.Was[day.Pickup], o))
	}
	stack.add(HarvestList(m.Facts, m.Week, m.Day, o))
	stack.add(TrayTags(m.Facts, m.Week, m.Day, o))
	for _, day := range m.Pickups {
		stack.pickup(m, day, o)
	}
	stack.add(CountForm(m.Facts, m.Week, m.Day, nil, o))
	if stack.err != nil {
		return nil, stack.err
	}
	return Together(stack.title, stack.papers...), nil
}

// pile is papers laid one on another; after the first error nothing is added.
type pile struct {
	title  string
	papers []*Paper
	err    error
}

func (s *pile) add(p *Paper, err error) {
	if s.err == nil && err == nil {
		s.papers = append(s.papers, p)
	} else if s.err == nil {
		s.err = err
	}
}

// pickup lays on the papers of one pickup day. Change slips and the call list
// are left out where they would be empty.
func (s *pile) pickup(m Morning, day *book.Day, o Options) {
	high := m.High
	if high == 0 {
		high = usualStack
	}
	s.add(Recipes(day, m.Day, o))
	s.add(PackList(day, o))
	s.add(StackTags(day, high, o))
	for _, truck := range loads(day) {
		s.add(LoadSheet(day, truck.carrier, o))
	}
	s.add(PackingSlips(day, nil, o))
	if was := m.Was[day.Pickup]; len(changes(was, Givens(day))) > 0 {
		s.add(ChangeSlips(day, was, o))
	}
	if slices.ContainsFunc(day.Lines, func(l book.DayLine) bool { return l.Plan.Short > 0 }) {
		s.add(CallList(day, m.Others, o))
	}
}
