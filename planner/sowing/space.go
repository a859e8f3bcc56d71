package sowing

import (
	"cmp"
	"maps"
	"slices"

	"headtally/domain"
)

// Give is trays that are not sown because there is no space for them, with what
// that is expected to lose.
type Give struct {
	Variety string
	Day     domain.Day // of sowing
	Trays   int
	Place   Place
	Full    domain.Day // the first day on which the place would be over full
	Needed  int        // trays or half rafts there on that day, before anything gave
	Had     int
	Lost    [3]float64 // heads short on average: of anchor, steady and casual customers
}

// Place is what a sowing takes up.
type Place string

// Trays stand in the nursery, rafts in the beds.
const (
	InNursery Place = "nursery"
	InBeds    Place = "beds"
)

// fit takes trays back, one by one, until every day's trays and rafts have
// room: each time the tray whose loss is least, anchors' heads weighing before
// all steady ones' and those before all casual ones'. The walks are brought up
// to date.
func (h *House) fit(walks []*walk) (gives []Give) {
	for _, place := range []Place{InNursery, InBeds} {
		if had := h.room(place); had > 0 {
			gives = append(gives, h.fitIn(walks, place, had)...)
		}
	}
	slices.SortStableFunc(gives, func(a, b Give) int { return compareLoss(a.Lost, b.Lost) })
	return gives
}

func (h *House) room(p Place) int {
	if p == InNursery {
		return h.Trays
	}
	return int(h.Rafts)
}

func (h *House) fitIn(walks []*walk, place Place, had int) (gives []Give) {
	known := make([]map[domain.Day][3]float64, len(walks)) // losses, until their walk changes
	for {
		full, needed := h.overFull(walks, place, had)
		if full == 0 {
			return gives
		}
		best, give := h.leastLoss(walks, known, place, full)
		if best < 0 {
			return gives // what stands there already is too much
		}
		give.Place, give.Full, give.Needed, give.Had, give.Trays = place, full, needed, had, 1
		w := walks[best]
		trays := maps.Clone(w.trays)
		trays[give.Day]--
		first := w.first
		walks[best], known[best] = h.walk(w.crop, trays, false), nil
		walks[best].first = first
		if i := slices.IndexFunc(gives, func(g Give) bool { return g.Variety == give.Variety && g.Day == give.Day }); i >= 0 {
			gives[i].Trays++
			for k := range give.Lost {
				gives[i].Lost[k] += give.Lost[k]
			}
		} else {
			gives = append(gives, give)
		}
	}
}

// overFull is the first day on which a place holds more than it can because of
// what is to be sown.
func (h *House) overFull(walks []*walk, place Place, had int) (domain.Day, int) {
	change := map[domain.Day]int{}
	for _, s := range h.standing(place) {
		change[s.First] += s.Count
		change[s.Last.Add(1)] -= s.Count
	}
	for _, w := range walks {
		for d, n := range w.trays {
			if s := w.stay(d, n, place); s.Count > 0 {
				change[s.First] += s.Count
				change[s.Last.Add(1)] -= s.Count
			}
		}
	}
	stands := 0
	for _, d := range slices.Sorted(maps.Keys(change)) {
		if stands += change[d]; stands > had && h.sownStands(walks, place, d) {
			return d, stands
		}
	}
	return 0, 0
}

func (h *House) standing(place Place) []Stay {
	if place == InNursery {
		return h.Nursery
	}
	return h.Beds
}

// sownStands says whether something that is yet to be sown stands in a place on
// a day.
func (h *House) sownStands(walks []*walk, place Place, d domain.Day) bool {
	for _, w := range walks {
		for sown, n := range w.trays {
			if s := w.stay(sown, n, place); s.Count > 0 && s.First <= d && d <= s.Last {
				return true
			}
		}
	}
	return false
}

// stay is the place that trays sown on a day take up.
func (w *walk) stay(sown domain.Day, trays int, place Place) Stay {
	if trays == 0 {
		return Stay{}
	}
	s := w.crop.Sowing(sown)
	if place == InNursery {
		return Stay{sown, s.Set.Add(-1), trays}
	}
	return Stay{s.Set, max(s.Last, s.Ready), int(s.Rafts(trays))}
}

// leastLoss is the walk and sowing day of which a tray less loses least, among
// those that stand in a place on a day.
func (h *House) leastLoss(walks []*walk, known []map[domain.Day][3]float64, place Place, full domain.Day) (best int, give Give) {
	best = -1
	for i, w := range walks {
		for _, d := range slices.Sorted(maps.Keys(w.trays)) {
			s := w.stay(d, w.trays[d], place)
			if s.Count == 0 || full < s.First || s.Last < full {
				continue
			}
			loss, there := known[i][d]
			if !there {
				if known[i] == nil {
					known[i] = map[domain.Day][3]float64{}
				}
				loss = h.lossOf(w, d)
				known[i][d] = loss
			}
			if best < 0 || compareLoss(loss, give.Lost) < 0 {
				best, give = i, Give{Variety: w.crop.Variety, Day: d, Lost: loss}
			}
		}
	}
	return best, give
}

// lossOf is what a tray less on a day would lose.
func (h *House) lossOf(w *walk, d domain.Day) [3]float64 {
	trays := maps.Clone(w.trays)
	trays[d]--
	loss := h.walk(w.crop, trays, false).loss()
	for k, had := range w.loss() {
		loss[k] -= had
	}
	return loss
}

// loss is the heads short on average over all pickups.
func (w *walk) loss() (sum [3]float64) {
	for _, o := range w.result {
		for k := range sum {
			sum[k] += o.short[k]
		}
	}
	return sum
}

// compareLoss weighs heads of anchors before those of steady customers before
// those of casual ones; less than half a head is no loss to speak of.
func compareLoss(a, b [3]float64) int {
	for k := range a {
		if d := a[k] - b[k]; d > 0.5 || d < -0.5 {
			return cmp.Compare(a[k], b[k])
		}
	}
	return cmp.Compare(a[0]+a[1]+a[2], b[0]+b[1]+b[2])
}
