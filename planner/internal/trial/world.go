// Package trial grows a made-up farm for two years in worlds of which all is
// known, sowing by one policy or another, to see whether projections hold as
// often as they say, whether learned figures approach the true ones, and what
// following the sowing table is worth.
//
// The long form is a table of many seeds, kept in RESULTS.md:
//
//	go test ./planner/internal/trial -run TestLong -v -timeout 2h -seeds 100
package trial

import (
	"math"
	"math/rand/v2"

	"headtally/domain"
)

// World is how batches truly fare. Only the first is one the learned figures
// assume.
type World string

// The worlds: rates vary from batch to batch; every plant fares for itself;
// whole trays die; one month of each year is hot; a pest comes for some weeks,
// twice; days and losses swing with the season.
const (
	Assumed  World = "as assumed"
	Alone    World = "plant by plant"
	Trays    World = "tray by tray"
	HotMonth World = "a hot month"
	Pest     World = "a pest"
	Seasons  World = "seasons"
)

// Worlds lists them.
var Worlds = []World{Assumed, Alone, Trays, HotMonth, Pest, Seasons}

// kind is the truth about a variety.
type kind struct {
	code                   string
	nurseryDays, raftsDays float64 // means
	daysSpread             float64
	nurseryGood, raftsGood float64
	ready                  int // days it stands ready
}

var kinds = []kind{
	{"ROM", 12, 25, 1.2, .84, .93, 7},
	{"BUT", 11, 23, 1.0, .80, .95, 7},
	{"OAK", 12, 27, 1.6, .76, .90, 6},
}

// grown is how one batch truly fares.
type grown struct {
	batch     string
	kind      int
	sown      domain.Day
	cells     int
	setOn     domain.Day
	readyOn   domain.Day
	lastOn    domain.Day
	seedlings int     // fit to set
	good      float64 // share of plants on rafts that are good
	rafts     domain.HalfRafts
	plants    int
	left      int // good heads that still stand
	taken     int // plants lifted so far
	done      bool
}

// nature decides how batches fare.
type nature struct {
	world World
	rng   *rand.Rand
	pests [2]domain.Day // the first days of the pest
}

const (
	cells   = 162
	sites   = 36
	pestFor = 21 // days
)

func newNature(w World, seed uint64, start domain.Day) *nature {
	n := &nature{world: w, rng: rand.New(rand.NewPCG(seed, 7))}
	for i := range n.pests {
		n.pests[i] = start.Add(200 + 300*i + n.rng.IntN(150))
	}
	return n
}

// grow is the true course of trays sown on a day.
func (n *nature) grow(batch string, k int, sown domain.Day, trays int) *grown {
	v := kinds[k]
	g := &grown{batch: batch, kind: k, sown: sown, cells: trays * cells}
	swing := 0.0
	if n.world == Seasons {
		swing = math.Cos(2 * math.Pi * float64(int(sown)%365) / 365)
	}
	g.setOn = sown.Add(n.days(v.nurseryDays+swing, v.daysSpread/2))
	days := v.raftsDays + 4*swing
	if n.hot(g.setOn.Add(12)) {
		days -= 4
	}
	g.readyOn = g.setOn.Add(n.days(days, v.daysSpread))
	g.lastOn = g.readyOn.Add(v.ready - 1)
	if n.hot(g.readyOn) {
		g.lastOn = g.readyOn.Add(v.ready - 3)
	}
	g.seedlings = n.seedlings(v.nurseryGood-0.04*swing, trays)
	g.good = n.rate(v.raftsGood - 0.03*swing)
	if n.hot(g.readyOn) {
		g.good *= 0.85
	}
	if n.pest(g.readyOn) {
		g.good *= 0.5
	}
	return g
}

func (n *nature) days(mean, spread float64) int {
	return int(math.Round(mean + spread*n.rng.NormFloat64()))
}

// rate is a batch's own rate about a mean.
func (n *nature) rate(mean float64) float64 {
	if n.world == Alone {
		return mean
	}
	return min(0.99, max(0.3, mean+0.035*n.rng.NormFloat64()))
}

func (n *nature) seedlings(mean float64, trays int) (fit int) {
	rate := n.rate(mean)
	for range trays {
		r := rate
		if n.world == Trays {
			r = min(0.97, mean+0.06)
			if n.rng.Float64() < 0.08 {
				r = 0.15 // dried out, or drowned
			}
		}
		fit += n.binomial(cells, r)
	}
	return fit
}

func (n *nature) binomial(of int, p float64) (k int) {
	for range of {
		if n.rng.Float64() < p {
			k++
		}
	}
	return k
}

// hot says whether a day lies in the hot month.
func (n *nature) hot(d domain.Day) bool {
	_, month, _ := d.Date()
	return n.world == HotMonth && month == 7
}

func (n *nature) pest(d domain.Day) bool {
	for _, first := range n.pests {
		if n.world == Pest && first <= d && d < first.Add(pestFor) {
			return true
		}
	}
	return false
}
