package prints

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// HarvestList is the clipboard of a morning's lift: by bed in walking order how
// many rafts, from which end and where to stop, with boxes for what truly came
// out; then each variety's needed, to come and true. Cautions stand first.
func HarvestList(f *domain.Facts, w *planner.Week, day domain.Day, o Options) (*Paper, error) {
	d := begin(f.Farm, o, clipboard)
	d.names = namesOf(w.Problem)
	name := d.say("harvest_list")
	d.head = d.header(day, name, f.Farm.Name)
	d.cautions()
	var pulls []planning.Pull
	for _, p := range w.Plan.Pulls {
		if p.Day == day {
			pulls = append(pulls, p)
		}
	}
	if len(pulls) == 0 {
		d.sentence(d.say("nothing_to_lift"))
		return d.paper(name)
	}
	d.pulls(pulls, walkOf(f))
	d.liftTotals(pulls)
	return d.paper(name)
}

// cautions are the usual ones of a greenhouse with fish: hands, drips, the ill,
// the heat (21 CFR 112.32 on hands). The cold room's figures are for quality:
// whole heads are a raw commodity; lettuce freezes below -0.2 °C and keeps
// longest just above (UC Davis, Produce Facts). Cut leaves are another thing in
// law (US: 41 °F or below, FDA Food Code).
func (d *document) cautions() {
	codes := []string{"caution.heat", "caution.hands", "caution.drips", "caution.ill", "caution.cold", "caution.law"}
	for i, code := range codes {
		r := &row{cols: []column{{share: 1}}, upright: bold, cells: []cell{d.cell(d.text, d.say(code))}}
		if i == 0 {
			r.over = bold
		}
		if i == len(codes)-1 {
			r.under = bold
		}
		d.add(item{block: r, keep: true})
	}
}

// walk is the order in which beds are walked: as they are on record, then as
// the last whole count named them, and others after these, bed 2 before bed 10.
type walk map[string]int

func walkOf(f *domain.Facts) walk {
	w := walk{}
	add := func(bed string) {
		if _, known := w[bed]; !known && bed != "" {
			w[bed] = len(w)
		}
	}
	for _, b := range f.Beds {
		add(b.Name)
		w[b.Code] = w[b.Name] // a count may name a bed by either
	}
	last := 0
	for i, c := range f.Counts {
		if c.Whole {
			last = i
		}
	}
	for _, c := range f.Counts[min(last, len(f.Counts)):] {
		for _, b := range c.Beds {
			add(b.Bed)
		}
	}
	return w
}

func (w walk) compare(a, b string) int {
	place := func(bed string) int {
		if at, known := w[bed]; known {
			return at
		}
		return len(w)
	}
	return cmp.Or(cmp.Compare(place(a), place(b)), compareNatural(a, b))
}

// compareNatural puts "bed 2" before "bed 10".
func compareNatural(a, b string) int {
	numbers := func(s string) string {
		var out strings.Builder
		digits := ""
		for _, r := range s + "\x00" {
			if r >= '0' && r <= '9' {
				digits += string(r)
				continue
			}
			if digits != "" {
				out.WriteString(strings.Repeat("0", max(0, 12-len(digits))) + digits)
				digits = ""
			}
			out.WriteRune(r)
		}
		return out.String()
	}
	return cmp.Or(cmp.Compare(numbers(a), numbers(b)), cmp.Compare(a, b))
}

// bedOf is the bed a pull's lot stands in, and its place there.
func (d *document) bedOf(p planning.Pull) (bed string, at int) {
	l := d.names.lots[p.Lot]
	if l == nil {
		return "", 0
	}
	if l.At != nil {
		at = *l.At
	}
	return l.BedName, at
}

func (d *document) pulls(pulls []planning.Pull, w walk) {
	slices.SortStableFunc(pulls, func(a, b planning.Pull) int {
		bedA, atA := d.bedOf(a)
		bedB, atB := d.bedOf(b)
		return cmp.Or(w.compare(bedA, bedB), cmp.Compare(atA, atB), cmp.Compare(a.Lot, b.Lot))
	})
	cols := []column{{fixed: 58}, {share: 1}, {fixed: 70, align: right}, {fixed: 74, align: right}, {fixed: 56}, {fixed: 56}, {fixed: 56}}
	top := &row{cols: cols, over: bold, under: bold, upright: fine, cells: []cell{
		d.cell(d.heading, d.say("bed")), d.cell(d.heading, d.say("variety")), d.cell(d.heading, d.say("rafts")), d.cell(d.heading, d.say("stop_at")),
		d.cell(d.heading, d.say("true_heads")), d.cell(d.heading, d.say("culls")), d.cell(d.heading, d.say("trays"))}}
	d.add(item{block: top, gap: 8, keep: true})
	for _, p := range pulls {
		bed, _ := d.bedOf(p)
		rafts := ""
		if p.Rafts > 0 {
			rafts = d.speech.Rafts(p.Rafts)
		}
		what := []text{{style{d.text.size, true}, d.names.variety(p.Variety)}}
		for _, note := range d.pullNotes(p) {
			what = append(what, text{d.text, note})
		}
		d.add(item{block: &row{cols: cols, least: d.row, under: d.rule, upright: fine, cells: []cell{
			d.cell(d.name, bed), {texts: what}, d.cell(d.figure, rafts), d.cell(d.figure, strconv.Itoa(p.StopAt)), {}, {}, {}}}, top: []block{top}})
	}
}

// pullNotes say from which end, what stands in front, how far the lift may go,
// and whether it was brought forward.
func (d *document) pullNotes(p planning.Pull) (notes []string) {
	if len(p.InFront) > 0 {
		var front []string
		for _, lot := range p.InFront {
			if l := d.names.lots[lot]; l != nil {
				front = append(front, d.names.variety(l.Variety))
			}
		}
		slices.Sort(front)
		notes = append(notes, d.say("behind", "varieties", d.speech.List(slices.Compact(front))))
	} else {
		notes = append(notes, d.say("from_end"))
	}
	if p.RaftsUpTo > p.Rafts {
		notes = append(notes, d.say("up_to", "rafts", p.RaftsUpTo))
	}
	if p.MovedFrom != 0 {
		notes = append(notes, d.say("moved_from", "day", d.speech.ShortDay(p.MovedFrom)))
	}
	return notes
}

// liftTotals adds the list up by variety, with a box for what it came to.
func (d *document) liftTotals(pulls []planning.Pull) {
	type sum struct {
		variety       string
		needed, lifts int
	}
	var sums []sum
	for _, p := range pulls {
		k := slices.IndexFunc(sums, func(s sum) bool { return s.variety == p.Variety })
		if k < 0 {
			k = len(sums)
			sums = append(sums, sum{variety: p.Variety})
		}
		sums[k].needed += p.StopAt
		sums[k].lifts += p.HeadsLifted
	}
	cols := []column{{share: 1}, {fixed: 90, align: right}, {fixed: 90, align: right}, {fixed: 120}}
	top := &row{cols: cols, over: heavy, under: bold, upright: fine, cells: []cell{d.cell(d.heading, d.say("variety")),
		d.cell(d.heading, d.say("needed")), d.cell(d.heading, d.say("to_come")), d.cell(d.heading, d.say("true"))}}
	d.add(item{block: top, gap: 16, keep: true})
	for i, s := range sums {
		d.add(item{block: &row{cols: cols, least: d.row, under: d.rule, upright: fine, cells: []cell{
			d.cell(style{d.text.size, true}, d.names.variety(s.variety)), d.cell(d.figure, strconv.Itoa(s.needed)),
			d.cell(d.figure, strconv.Itoa(s.lifts)), {}}}, keep: i < len(sums)-1, top: []block{top}})
	}
}
