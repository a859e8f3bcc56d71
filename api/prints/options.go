package prints

import (
	"time"

	"headtally/api/words"
	"headtally/domain/planning"
)

// Options are what a printing is made with.
type Options struct {
	Language  string    // "en" or "es"; "" the farm's
	Size      string    // "letter" or "a4"; "" the farm's
	Number    int       // the number it is issued under; 0: a draft
	Replaces  int       // the number of the paper it replaces; 0: none
	PrintedAt time.Time // shown by the farm's clock, and the PDF's own date
}

// paperSize is a sheet's width and height.
type paperSize struct{ w, h float64 }

var paperSizes = map[string]paperSize{
	"letter": {8.5 * inch, 11 * inch},
	"a4":     {210 * mm, 297 * mm},
}

// reading is how far from the eye a sheet is read: common practice is 28 points
// and more on a wall at two metres, 16 on a clipboard with rows to write in, 11
// in the office.
type reading struct {
	weekday style
	title   style
	about   style // under the title
	side    style // page and hour of printing
	figure  style
	name    style
	text    style
	heading style   // of columns
	row     float64 // the least height of a row
	rule    float64 // between rows
}

var (
	wall = reading{weekday: style{64, true}, title: style{24, true}, about: style{20, false}, side: style{12, false},
		figure: style{34, true}, name: style{28, true}, text: style{20, false}, heading: style{16, true}, row: 16 * mm, rule: bold}
	clipboard = reading{weekday: style{44, true}, title: style{20, true}, about: style{16, false}, side: style{12, false},
		figure: style{28, true}, name: style{18, true}, text: style{16, false}, heading: style{16, true}, row: 12 * mm, rule: fine}
	office = reading{weekday: style{32, true}, title: style{16, true}, about: style{12, false}, side: style{11, false},
		figure: style{14, true}, name: style{12, true}, text: style{11, false}, heading: style{11, true}, row: 7 * mm, rule: fine}
)

// named gives the names, lots and trays of what a plan knows by its code only.
type named struct {
	words.Names
	perTray map[string]int
	lots    map[string]*planning.Lot
	packed  map[string]*planning.Packed
}

func namesOf(p *planning.Problem) named {
	n := named{Names: words.NamesIn(p), perTray: map[string]int{}, lots: map[string]*planning.Lot{}, packed: map[string]*planning.Packed{}}
	for _, v := range p.Varieties {
		n.perTray[v.Code] = v.HeadsPerTray
	}
	for i := range p.Lots {
		n.lots[p.Lots[i].Code] = &p.Lots[i]
	}
	for i := range p.Packed {
		n.packed[p.Packed[i].Code] = &p.Packed[i]
	}
	return n
}

func (n named) variety(code string) string  { return n.Of(n.Varieties, code) }
func (n named) product(code string) string  { return n.Of(n.Products, code) }
func (n named) customer(code string) string { return n.Of(n.Customers, code) }

// trays is how many trays so many heads of a variety fill.
func (n named) trays(variety string, heads int) int {
	per := max(1, n.perTray[variety])
	return (heads + per - 1) / per
}
