package prints

import (
	"strings"

	"headtally/api/book"
	"headtally/domain"
)

// Sheet names one paper of a packing day: "everything", "harvest", or of a
// pickup or a truck such as "pack-list.2027-03-02" and "load.2027-03-02.VAN".
type Sheet struct {
	Name  string
	Title string // as it is called in the farm's language
}

// sheet is a paper of the rack with how it is drawn.
type sheet struct {
	name, title string
	draw        func() (*Paper, error)
}

// Rack lists the papers of a packing day, in the order in which they are used.
func Rack(p *book.PackingDay, o Options) []Sheet {
	var list []Sheet
	for _, s := range rack(p, o) {
		list = append(list, Sheet{s.name, s.title})
	}
	return list
}

// Draw makes one paper of a packing day by its name.
func Draw(p *book.PackingDay, name string, o Options) (*Paper, error) {
	for _, s := range rack(p, o) {
		if s.name == name {
			return s.draw()
		}
	}
	return nil, domain.Refuse(domain.ErrNotFound, "paper", name)
}

func rack(p *book.PackingDay, o Options) []sheet {
	m := morningOf(p)
	speech := begin(p.Facts.Farm, o, office).speech
	var list []sheet
	add := func(kind, of string, draw func() (*Paper, error)) {
		name := kind
		if of != "" {
			name += "." + of
		}
		list = append(list, sheet{name, speech.Paper(name, p.Facts.Carriers), draw})
	}
	add("everything", "", func() (*Paper, error) {
		m := m
		m.Others = p.OtherDays()
		return Tomorrow(m, o)
	})
	for _, d := range p.Pickups {
		add("door", d.Pickup.String(), func() (*Paper, error) { return DoorSheet(d, p.Day, m.before(d), o) })
	}
	add("harvest", "", func() (*Paper, error) { return HarvestList(p.Facts, p.Week, p.Day, o) })
	add("tray-tags", "", func() (*Paper, error) { return TrayTags(p.Facts, p.Week, p.Day, o) })
	for _, d := range p.Pickups {
		rackOf(p, d, m, o, add)
	}
	add("case-labels", "", func() (*Paper, error) { return CaseLabels(p.Facts, p.Day, p.Runs, LabelSheet, o) })
	add("case-labels-4x6", "", func() (*Paper, error) { return CaseLabels(p.Facts, p.Day, p.Runs, LabelRoll, o) })
	add("count-form", "", func() (*Paper, error) { return CountForm(p.Facts, p.Week, p.Day, o) })
	return list
}

// rackOf adds the papers of one pickup day.
func rackOf(p *book.PackingDay, d *book.Day, m Morning, o Options, add func(kind, of string, draw func() (*Paper, error))) {
	of := d.Pickup.String()
	add("recipes", of, func() (*Paper, error) { return Recipes(d, m.Day, o) })
	add("pack-list", of, func() (*Paper, error) { return PackList(d, o) })
	add("stack-tags", of, func() (*Paper, error) { return StackTags(d, m.High, o) })
	for _, truck := range loads(d) {
		add("load", of+"."+truck.carrier, func() (*Paper, error) { return LoadSheet(d, truck.carrier, o) })
	}
	add("slips", of, func() (*Paper, error) { return PackingSlips(d, m.Traces, o) })
	if was := m.before(d); len(changes(was, d.Given())) > 0 {
		add("changes", of, func() (*Paper, error) { return ChangeSlips(d, was, o) })
	}
	if len(repacks(m.WasRuns, d, m.Day)) > 0 {
		add("recipe-changes", of, func() (*Paper, error) { return RecipeSlips(d, m.Day, m.WasRuns, o) })
	}
	add("calls", of, func() (*Paper, error) { return CallList(d, p.OtherDays(), o) })
}

// morningOf is a packing day as the papers see it: with what the last issue
// gave, and the lot codes that the runs are to bear.
func morningOf(p *book.PackingDay) Morning {
	m := Morning{Facts: p.Facts, Week: p.Week, Day: p.Day, Pickups: p.Pickups, High: p.Facts.Farm.StackCases, Traces: map[string][]string{}}
	if n := len(p.Before); n > 0 {
		m.Was, m.WasRuns = p.Before[n-1].Given, p.Before[n-1].Runs
	}
	for _, r := range p.Runs {
		for _, l := range r.Lines {
			m.Traces[l.Line] = append(m.Traces[l.Line], r.Trace)
		}
	}
	return m
}

// FileName is a sheet's name as a file's.
func FileName(sheet string) string { return strings.ReplaceAll(sheet, ".", "-") + ".pdf" }
