package prints

import (
	"strconv"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// TrayTags go on the trays as they come out of the beds on a day, so that no
// tray in the cooler is without a name: variety, day pulled, heads, lot. There
// is one for every tray the plan expects; the last of a lot holds what is left.
func TrayTags(f *domain.Facts, w *planner.Week, day domain.Day, o Options) (*Paper, error) {
	d := begin(f.Farm, o, office)
	d.names = namesOf(w.Problem)
	name := d.say("tray_tags")
	d.head = d.header(day, name, f.Farm.Name)
	var tags []block
	for _, p := range w.Plan.Pulls {
		if p.Day == day {
			tags = append(tags, d.trayTags(p)...)
		}
	}
	if len(tags) == 0 {
		d.sentence(d.say("nothing_to_lift"))
	}
	for i := 0; i < len(tags); i += 2 {
		pair := &beside{left: tags[i : i+1], share: 0.5}
		if i+1 < len(tags) {
			pair.right = tags[i+1 : i+2]
		}
		d.add(item{block: pair, gap: 8})
	}
	return d.paper(name)
}

// trayTags are the tags of one pull.
func (d *document) trayTags(p planning.Pull) (tags []block) {
	trays := d.names.trays(p.Variety, p.HeadsLifted)
	per := max(1, d.names.perTray[p.Variety])
	bed, _ := d.bedOf(p)
	one := []column{{share: 1}}
	for n := range trays {
		heads := min(per, p.HeadsLifted-n*per)
		tags = append(tags, &strip{blocks: []block{
			&row{cols: one, cells: []cell{d.cell(style{24, true}, d.names.variety(p.Variety))}},
			&row{cols: one, cells: []cell{d.cell(style{18, true}, d.speech.Day(p.Day))}},
			&row{cols: []column{{share: 1}, {share: 1, align: right}}, least: 16 * mm, cells: []cell{
				d.cell(style{28, true}, strconv.Itoa(heads)), {texts: []text{{style{14, false}, d.say("tray_of", "n", n+1, "of", trays)}, {style{14, false}, d.say("from_bed", "bed", bed)}}}}},
			&row{cols: one, cells: []cell{d.cell(style{11, false}, d.say("lot", "lot", p.Lot))}},
		}})
	}
	return tags
}
