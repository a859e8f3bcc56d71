package growth

import (
	"math"

	"headtally/domain"
)

// Sown is what a sowing of a variety on a day would come to, by the method the
// farm trusts.
type Sown struct {
	Set   domain.Day // into rafts
	Ready domain.Day // expected
	Late  domain.Day // ready by then, as sure as the figures are
	Last  domain.Day // the last good day

	cells     int // of a tray
	sites     int // of a raft
	seedlings Leg
	whole     Leg
}

// Sow is what a sowing of a day would come to.
func (x *Figures) Sow(variety string, day domain.Day) Sown {
	s := Sown{cells: x.growing.CellsPerTray, sites: int(x.growing.RaftSites),
		seedlings: x.leg(variety, nursery, day), whole: x.leg(variety, whole, day)}
	s.Set = day.Add(s.seedlings.Expected())
	s.Ready, s.Late = day.Add(s.whole.Expected()), day.Add(s.whole.Late)
	s.Last = s.Ready.Add(x.readyDays(variety, s.Ready) - 1)
	return s
}

// Heads is the heads that so many trays are expected to give, and those to
// count on.
func (s Sown) Heads(trays int) (expected, cautious int) { return s.whole.Heads(trays * s.cells) }

// Rafts is the rafts that so many trays are expected to fill, in halves.
func (s Sown) Rafts(trays int) domain.HalfRafts {
	return domain.HalfRafts(math.Ceil(2*float64(trays*s.cells)*s.seedlings.Good/float64(s.sites) - 1e-9))
}

// RaftsFor is the rafts that a batch in trays is expected to fill.
func (x *Figures) RaftsFor(b *domain.Batch) domain.HalfRafts {
	return domain.HalfRafts(math.Ceil(2*x.seedlings(b)/float64(x.growing.RaftSites) - 1e-9))
}

// Seedlings is how many of a batch in trays are expected to be fit to set.
func (x *Figures) Seedlings(b *domain.Batch) int { return int(math.Round(x.seedlings(b))) }

func (x *Figures) seedlings(b *domain.Batch) float64 {
	return float64(max(0, x.left(b))) * x.leg(b.Variety, nursery, b.Sown).Good
}
