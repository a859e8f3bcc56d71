package sowing

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"headtally/domain"
	"headtally/planner/internal/chance"
)

// walk goes through a variety's pickups in order.
type walk struct {
	house  *House
	crop   *Crop
	z      float64
	add    bool // sow more where a pickup lacks
	lots   []*lot
	sown   map[domain.Day]*lot
	trays  map[domain.Day]int
	first  map[domain.Day]int // sowing day -> the pickup, by index, that it was first added for
	result []outcome
}

// lot is heads of one batch that are not used up yet.
type lot struct {
	batch   Batch
	sowing  *Sowing // nil for what is on the way
	day     domain.Day
	heads   float64 // expected
	margin2 float64 // the square of what is to be held against bad luck
	takes   []take
}

// take is heads of a lot expected to go to a pickup, by its index.
type take struct {
	pickup int
	heads  float64
}

// outcome is how one pickup fares.
type outcome struct {
	usable float64    // expected heads that could go to it
	margin float64    // to be held against bad luck
	lacks  float64    // heads wanting to meet it as surely as asked; 0: it is met
	short  [3]float64 // heads short on average, of anchor, steady and casual customers
	added  bool       // trays were added for it
}

// walk goes through a variety's pickups with so many trays sown on each day, and
// with add sows more where they lack.
func (h *House) walk(c *Crop, trays map[domain.Day]int, add bool) *walk {
	w := &walk{house: h, crop: c, z: chance.Z(h.Sure), add: add, sown: map[domain.Day]*lot{}, trays: map[domain.Day]int{}, first: map[domain.Day]int{}}
	for _, b := range c.OnTheWay {
		margin := float64(b.Expected - b.Cautious)
		w.lots = append(w.lots, &lot{batch: b, heads: float64(b.Expected), margin2: margin * margin})
	}
	for _, d := range slices.Sorted(maps.Keys(trays)) {
		if trays[d] > 0 {
			w.sow(d, trays[d])
		}
	}
	w.sort()
	for i := range c.Pickups {
		w.pickup(i)
	}
	return w
}

// sow brings a sowing day to so many trays in all.
func (w *walk) sow(d domain.Day, trays int) {
	l := w.sown[d]
	if l == nil {
		s := w.crop.Sowing(d)
		l = &lot{batch: Batch{Ready: s.Late, Last: max(s.Last, s.Late)}, sowing: &s, day: d}
		w.sown[d] = l
		w.lots = append(w.lots, l)
	}
	expected, cautious := l.sowing.Heads(trays)
	margin := float64(expected - cautious)
	l.heads += float64(expected - l.batch.Expected)
	was := float64(l.batch.Expected - l.batch.Cautious)
	l.margin2 += margin*margin - was*was
	l.batch.Expected, l.batch.Cautious = expected, cautious
	w.trays[d] = trays
}

// sort puts what must go first in front.
func (w *walk) sort() {
	slices.SortStableFunc(w.lots, func(a, b *lot) int {
		if (a.batch.Pulled == 0) != (b.batch.Pulled == 0) {
			return cmp.Compare(b.batch.Pulled, a.batch.Pulled) // the cooler first
		}
		return cmp.Or(cmp.Compare(a.batch.Pulled, b.batch.Pulled), cmp.Compare(a.batch.Last, b.batch.Last),
			cmp.Compare(a.batch.Ready, b.batch.Ready), cmp.Compare(a.day, b.day))
	})
}

// pickup serves the i-th pickup, sowing for it first what it lacks.
func (w *walk) pickup(i int) {
	p := &w.crop.Pickups[i]
	usable := w.usable(p)
	o := w.judge(p, usable)
	for w.add && o.lacks > 0 {
		d, ok := w.lastSowing(p)
		if !ok {
			break
		}
		if _, known := w.first[d]; !known {
			w.first[d] = i
		}
		w.sow(d, w.trays[d]+1)
		w.sort()
		usable = w.usable(p)
		o = w.judge(p, usable)
		o.added = true
	}
	w.result = append(w.result, o)
	w.use(i, p, usable)
}

// mostTrays bounds what a table asks for on one day, for figures that let next
// to nothing through.
const mostTrays = 2000

func (w *walk) usable(p *Pickup) (list []*lot) {
	for _, l := range w.lots {
		if w.house.has(w.crop, &l.batch, p) && l.heads > -math.Sqrt(l.margin2) {
			list = append(list, l)
		}
	}
	return list
}

// judge holds what could go to a pickup against what is wanted. Who is served
// last goes short first.
func (w *walk) judge(p *Pickup, usable []*lot) (o outcome) {
	margin2 := w.z * p.Spread * w.z * p.Spread
	for _, l := range usable {
		o.usable += l.heads
		margin2 += l.margin2
	}
	o.margin = math.Sqrt(margin2)
	wanted := p.Heads()
	o.lacks = max(0, wanted+o.margin-o.usable-1e-9)
	if wanted == 0 {
		o.lacks = 0
	}
	// Short of heads by more than the casual customers' share, steady ones go
	// short; by more than theirs too, anchors do.
	spread := o.margin / w.z
	beyond := func(heads float64) float64 { return chance.MeanShort(o.usable-heads, spread) }
	all, steady, anchor := beyond(wanted), beyond(p.Listed[0]+p.Listed[1]), beyond(p.Listed[0])
	o.short = [3]float64{min(anchor, p.Listed[0]), max(0, steady-anchor), max(0, all-steady)}
	return o
}

// lastSowing is the last sowing day that surely serves a pickup, or else a day
// of none that still does. Where no day does, since batches of one sowing are
// over before those of the next are surely ready, it is the last sowing day that
// can be expected to.
func (w *walk) lastSowing(p *Pickup) (domain.Day, bool) {
	for _, d := range slices.Backward(w.house.SowDays) {
		if s := w.crop.Sowing(d); w.trays[d] <= mostTrays && w.house.serves(w.crop, s.Late, max(s.Last, s.Late), p) {
			return d, true
		}
	}
	if d := w.house.tooLateAfter(w.crop, p); d != 0 && w.trays[d] <= mostTrays {
		return d, true
	}
	for _, d := range slices.Backward(w.house.SowDays) {
		if s := w.crop.Sowing(d); w.trays[d] <= mostTrays && w.house.serves(w.crop, s.Ready, s.Last, p) {
			w.expect(d, &s)
			return d, true
		}
	}
	return 0, false
}

// expect lets a sowing count from the day on which it is expected to be ready.
func (w *walk) expect(d domain.Day, s *Sowing) {
	if l := w.sown[d]; l != nil {
		l.batch.Ready = s.Ready
		return
	}
	w.sow(d, 0)
	w.sown[d].batch.Ready = s.Ready
}

// use takes a pickup's heads out of the lots that could go to it. The doubt of a
// lot that is used up passes to the one used after it, and the doubt about the
// pickup itself with it.
func (w *walk) use(i int, p *Pickup, usable []*lot) {
	wanted := p.Heads()
	doubt := w.z * p.Spread * w.z * p.Spread
	for _, l := range usable {
		if wanted <= 0 {
			return
		}
		if l.heads > wanted {
			l.takes = append(l.takes, take{i, wanted})
			l.heads -= wanted
			l.margin2 += doubt
			return
		}
		if l.heads > 0 {
			l.takes = append(l.takes, take{i, l.heads})
		}
		wanted -= l.heads
		doubt += l.margin2
		l.heads, l.margin2 = 0, 0
	}
}
