package prints

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// blankRows are added to a count form for what nobody thought of.
const blankRows = 3

// CountForm is the clipboard of a walk on a day: beds in walking order from the
// harvest end, what is thought to stand in them, and boxes for what does.
func CountForm(f *domain.Facts, w *planner.Week, day domain.Day, o Options) (*Paper, error) {
	d := begin(f.Farm, o, clipboard)
	d.names = namesOf(w.Problem)
	name := d.say("count_form")
	d.head = d.header(day, name, d.say("walked_by", "farm", f.Farm.Name))
	cal := f.Calendar()
	next, _ := cal.NextLift(day.Add(1))
	after, _ := cal.NextLift(next.Add(1))
	cols := []column{{fixed: 54}, {share: 1}, {fixed: 58}, {fixed: 46, align: right}, {fixed: 52}, {fixed: 52}, {fixed: 52}, {fixed: 52}, {fixed: 52}}
	small := d.heading
	head := []cell{d.cell(small, d.say("bed")), d.cell(small, d.say("variety")), d.cell(small, d.say("set_on")), d.cell(small, d.say("rafts_thought")),
		d.cell(small, d.say("ready_now")), d.cell(small, d.say("ready_by", "day", d.speech.ShortDay(next))),
		d.cell(small, d.say("ready_by", "day", d.speech.ShortDay(after))), d.cell(small, d.say("poor_rafts")), d.cell(small, d.say("good_in_raft"))}
	top := &row{cols: cols, cells: head, over: bold, under: bold, upright: fine}
	d.sentence(d.say("count_how"))
	d.add(item{block: top, gap: 6, keep: true})
	for _, b := range standing(f, w) {
		thought, since := "", ""
		if b.rafts > 0 {
			thought = d.speech.Rafts(b.rafts)
		}
		if b.set != 0 {
			since = d.speech.ShortDay(b.set)
		}
		d.add(item{block: &row{cols: cols, least: d.row, under: d.rule, upright: fine, cells: []cell{d.cell(style{d.text.size, true}, b.bed),
			d.cell(d.text, d.names.variety(b.variety)), d.cell(small, since), d.cell(style{20, true}, thought), {}, {}, {}, {}, {}}}, top: []block{top}})
	}
	for range blankRows {
		d.add(item{block: &row{cols: cols, least: d.row, under: d.rule, upright: fine, cells: make([]cell, len(cols))}, top: []block{top}})
	}
	d.writeIn("cooler_loose", "cooler_packed", "counted_by")
	return d.paper(name)
}

// stand is what is thought to stand of one variety in one bed.
type stand struct {
	bed, variety string
	at           int
	set          domain.Day
	rafts        domain.HalfRafts
}

// standing are the beds in walking order, each variety in each once; a bed on
// record in which nothing stands has a row too.
func standing(f *domain.Facts, w *planner.Week) (all []stand) {
	for i := range w.Problem.Lots {
		l := &w.Problem.Lots[i]
		if l.Place != planning.Bed {
			continue
		}
		s := stand{bed: l.BedName, variety: l.Variety}
		if l.At != nil {
			s.at = *l.At
		}
		if from := w.Growth.From[l.Code]; from.Batch != "" {
			s.set = from.Told
		}
		k := slices.IndexFunc(all, func(x stand) bool { return x.bed == s.bed && x.variety == s.variety && x.set == s.set })
		if k < 0 {
			k = len(all)
			all = append(all, s)
		}
		all[k].at = min(all[k].at, s.at)
		if l.Rafts != nil {
			all[k].rafts += *l.Rafts
		}
	}
	for _, b := range f.Beds {
		if !slices.ContainsFunc(all, func(s stand) bool { return s.bed == b.Name || s.bed == b.Code }) {
			all = append(all, stand{bed: b.Name})
		}
	}
	order := walkOf(f)
	slices.SortFunc(all, func(a, b stand) int {
		return cmp.Or(order.compare(a.bed, b.bed), cmp.Compare(a.at, b.at), cmp.Compare(a.variety, b.variety), cmp.Compare(a.set, b.set))
	})
	return all
}
