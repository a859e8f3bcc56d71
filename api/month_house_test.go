package api_test

import (
	"math/rand/v2"
	"strings"

	"headtally/domain"
)

// house is what truly stands in the beds and lies loose in the cooler.
type house struct {
	rows    []*row
	chance  *rand.Rand
	loose   map[string]domain.Heads // variety
	grown   domain.Heads            // all plants that ever stood on rafts
	lifted  domain.Heads            // good ones
	culled  domain.Heads
	thrown  domain.Heads
	inCases domain.Heads // packed
	gone    domain.Heads // left the cooler otherwise
	began   domain.Heads // lay in the cooler at first
}

// row is one variety in one bed, its half rafts by the stage that the last walk
// found them in: ready now, by the next harvest day, by the one after.
type row struct {
	bed, variety string
	perHalf      int
	stages       [3][]half
	usual        [3]int // half rafts of each stage that the farm grows for a Monday
}

// half is half a raft: what stands on it, and how much of that can be sold.
type half struct{ good, poor domain.Heads }

// newHouse is the house that the demo farm's first walk counted.
func newHouse(f *domain.Facts) *house {
	h := &house{chance: rand.New(rand.NewPCG(11, 47)), loose: map[string]domain.Heads{}}
	perRaft := map[string]domain.Heads{}
	for _, v := range f.Varieties {
		perRaft[v.Code] = f.Farm.HeadsPerRaft
		if v.HeadsPerRaft != nil {
			perRaft[v.Code] = *v.HeadsPerRaft
		}
	}
	for _, b := range f.Counts[0].Beds {
		r := &row{bed: b.Bed, variety: b.Variety, perHalf: int(perRaft[b.Variety]) / 2}
		for stage, rafts := range []domain.HalfRafts{b.RaftsNow, b.RaftsNext, b.RaftsAfter} {
			r.usual[stage] = int(rafts)
			h.set(r, stage, int(rafts))
		}
		r.usual[0] *= 2
		h.rows = append(h.rows, r)
	}
	for _, l := range f.Counts[0].Loose {
		h.loose[l.Variety] += l.Heads
		h.began += l.Heads
	}
	return h
}

// set puts so many half rafts into a stage. About one plant in twenty is not
// fit to sell.
func (h *house) set(r *row, stage, halves int) {
	for range halves {
		var x half
		for range r.perHalf {
			if h.chance.IntN(20) == 0 {
				x.poor++
			} else {
				x.good++
			}
		}
		h.grown += x.good + x.poor
		r.stages[stage] = append(r.stages[stage], x)
	}
}

// grow brings the house to a Monday: what was to come is ready, and new rafts
// have come up behind.
func (h *house) grow() {
	for _, r := range h.rows {
		r.stages = [3][]half{append(append(r.stages[0], r.stages[1]...), r.stages[2]...)}
		for stage := range r.stages {
			h.set(r, stage, max(0, r.usual[stage]-len(r.stages[stage])))
		}
	}
}

// beds is the walk's count of the house.
func (h *house) beds() (list []domain.BedCount) {
	for _, r := range h.rows {
		half := func(stage int) domain.HalfRafts { return domain.HalfRafts(len(r.stages[stage])) }
		list = append(list, domain.BedCount{Bed: r.bed, Variety: r.variety, RaftsNow: half(0), RaftsNext: half(1), RaftsAfter: half(2)})
	}
	return list
}

// find is the row and stage that a lot's code names: bed, variety, and a letter
// for the stage.
func (h *house) find(lot string) (*row, int) {
	parts := strings.Split(lot, "/")
	for _, r := range h.rows {
		if r.bed == parts[0] && r.variety == parts[1] {
			return r, int(lot[len(lot)-1] - 'a')
		}
	}
	panic("no such lot stands in the house: " + lot)
}

// lift takes rafts out of a lot and lays the good heads into the cooler.
func (h *house) lift(lot string, rafts domain.HalfRafts) (good, culls domain.Heads) {
	r, stage := h.find(lot)
	for _, x := range r.stages[stage][:rafts] {
		good, culls = good+x.good, culls+x.poor
	}
	r.stages[stage] = r.stages[stage][rafts:]
	h.loose[r.variety] += good
	h.lifted, h.culled = h.lifted+good, h.culled+culls
	return good, culls
}

// bolt throws a whole lot away.
func (h *house) bolt(lot string) {
	r, stage := h.find(lot)
	for _, x := range r.stages[stage] {
		h.thrown += x.good + x.poor
	}
	r.stages[stage] = nil
}

// standing is all plants on the rafts.
func (h *house) standing() (n domain.Heads) {
	for _, r := range h.rows {
		for _, stage := range r.stages {
			for _, x := range stage {
				n += x.good + x.poor
			}
		}
	}
	return n
}
