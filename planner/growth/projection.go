package growth

import (
	"slices"
	"time"

	"headtally/domain"
)

// Projection is what is expected of one batch that has not finished.
type Projection struct {
	Batch   *domain.Batch
	Chosen  Estimate  // by the method that lots are made with
	Plain   Estimate  // by what was told or the last batches
	Learned *Estimate // by all finished batches; nil until there are LearnFrom
	Overdue bool      // its last good day is over and nobody said what became of it
}

// Estimate is one method's view of a batch.
type Estimate struct {
	Method   Method
	Batches  int          // finished ones it rests on
	Set      domain.Day   // when it was set into rafts, or is to be
	Ready    domain.Day   // expected
	Late     domain.Day   // by then it is ready, as sure as was asked
	Last     domain.Day   // the last good day, from Ready
	Plants   int          // standing, in trays or on rafts
	Heads    domain.Heads // of them, expected good
	Cautious domain.Heads // to count on
}

// Project is what is expected of every batch that was sown by a day and has not
// finished, in the order of sowing.
func Project(f *domain.Facts, asOf domain.Day) []Projection { return Read(f, asOf).Project() }

// Project is Project of what was read.
func (x *Figures) Project() []Projection {
	var list []Projection
	for _, b := range x.batches {
		if x.over(b, x.asOf) {
			continue
		}
		p := Projection{Batch: b, Plain: x.estimate(b, x.asOf, x.plain)}
		p.Chosen = p.Plain
		if len(x.past[b.Variety]) >= LearnFrom {
			learned := x.estimate(b, x.asOf, x.learned)
			p.Learned = &learned
			if x.Trusts(b.Variety) {
				p.Chosen = learned
			}
		}
		p.Overdue = p.Chosen.Last < x.asOf
		list = append(list, p)
	}
	return list
}

// over says whether nothing of a batch stands any more, as far as is known. A
// batch that should have been set long ago and never was is over too.
func (x *Figures) over(b *domain.Batch, asOf domain.Day) bool {
	if b.Ended != 0 {
		return true
	}
	if len(b.Sets) == 0 {
		return asOf > b.Sown.Add(x.told(b.Variety, nursery, b.Sown).Late+forgottenAfter)
	}
	if asOf > x.forgotten(b) {
		return true
	}
	set, lifted := b.Rafts()
	return set > 0 && lifted >= set || x.left(b) <= 0
}

// left is the plants of a batch that still stand: in trays before it is set, on
// rafts after.
func (x *Figures) left(b *domain.Batch) int {
	cells := x.cells(b)
	if len(b.Sets) == 0 {
		return b.Trays*cells - int(b.LostBeforeSet(cells))
	}
	plants := -int(b.LostAfterSet(cells))
	for _, s := range b.Sets {
		plants += x.plants(s)
	}
	for _, l := range b.Lifts {
		plants -= x.tookOut(l)
	}
	return plants
}

// tookOut is the plants that one lifting took out of the bed.
func (x *Figures) tookOut(l *domain.BatchEvent) int {
	return max(int(l.Heads+l.Culls), int(l.Rafts)*int(x.growing.RaftSites)/2)
}

// by is a way to work out a leg.
type by func(variety string, p part, begins domain.Day, finished []*past) Leg

// estimate is one method's view of a batch as of a day.
func (x *Figures) estimate(b *domain.Batch, asOf domain.Day, method by) Estimate {
	e := x.dates(b, asOf, func(p part, begins domain.Day) Leg { return method(b.Variety, p, begins, x.past[b.Variety]) })
	e.Last = e.Ready.Add(x.readyDays(b.Variety, e.Ready) - 1)
	return e
}

// dates fills an estimate's days and heads. A batch not set by the day it should
// have been is behind by that; a count of the batch itself overrides both.
func (x *Figures) dates(b *domain.Batch, asOf domain.Day, leg func(part, domain.Day) Leg) Estimate {
	e := Estimate{Plants: max(0, x.left(b))}
	good, culls := b.LiftedHeads()
	lost := int(b.LostAfterSet(x.cells(b)))
	var l Leg
	if first := b.FirstSet(); first != 0 {
		l = leg(onRafts, first).seen(int(good), int(culls)+lost)
		e.Set, e.Ready, e.Late = first, first.Add(l.Expected()), first.Add(l.Late)
	} else {
		in := leg(nursery, b.Sown)
		l = leg(whole, b.Sown)
		e.Set = max(b.Sown.Add(in.Expected()), asOf)
		behind := e.Set.Sub(b.Sown.Add(in.Expected()))
		e.Ready, e.Late = b.Sown.Add(l.Expected()+behind), b.Sown.Add(l.Late+behind)
	}
	e.Method, e.Batches = l.Method, l.Batches
	heads, cautious := l.Heads(e.Plants)
	e.Heads, e.Cautious = domain.Heads(heads), domain.Heads(cautious)
	x.counted(b, &e)
	for _, m := range b.Brought {
		if b.Counted == nil || b.Counted.Ready == 0 || m.Day >= b.Counted.Day {
			e.Ready, e.Late = max(e.Ready.Add(m.Days), m.Day), max(e.Late.Add(m.Days), m.Day)
		}
	}
	return e
}

// counted lays a count of the batch itself over what was expected.
func (x *Figures) counted(b *domain.Batch, e *Estimate) {
	c := b.Counted
	if c == nil {
		return
	}
	if c.Ready != 0 {
		e.Ready, e.Late = c.Ready, c.Ready
	}
	if c.Heads != 0 {
		heads := c.Heads
		for _, l := range b.Lifts {
			if l.Day > c.Day {
				heads -= l.Heads
			}
		}
		e.Heads = max(0, heads)
		e.Cautious = e.Heads * domain.Heads(x.goodInTen(b.Variety)) / 10
	}
}

// piece is the part of a batch that stands in one bed, or in trays.
type piece struct {
	*Projection
	bed      string // "": in trays
	set      domain.Day
	rafts    domain.HalfRafts
	ready    domain.Day
	heads    int
	cautious int
	since    time.Time // what was lifted later is yet to be taken off
}

// pieces parts a projection by bed. What was lifted has left the bed it was
// lifted from, or where no bed was told the one set first.
func (x *Figures) pieces(p *Projection) []piece {
	e := &p.Chosen
	if len(p.Batch.Sets) == 0 {
		return []piece{{Projection: p, set: e.Set, ready: e.Ready, heads: int(e.Heads), cautious: int(e.Cautious)}}
	}
	var list []piece
	since := lastLift(p.Batch)
	for _, s := range p.Batch.Sets {
		bed := x.bed(s.Bed)
		i := slices.IndexFunc(list, func(o piece) bool { return o.bed == bed })
		if i < 0 {
			list = append(list, piece{Projection: p, bed: bed, set: s.Day, ready: e.Ready.Add(s.Day.Sub(p.Batch.FirstSet())), since: since})
			i = len(list) - 1
		}
		list[i].rafts += s.Rafts
	}
	for _, l := range p.Batch.Lifts {
		takeRafts(list, x.bed(l.Bed), l.Rafts)
	}
	return shareOut(list, e)
}

func takeRafts(list []piece, bed string, rafts domain.HalfRafts) {
	for _, named := range []bool{true, false} {
		for i := range list {
			if named && list[i].bed != bed {
				continue
			}
			n := min(rafts, list[i].rafts)
			list[i].rafts -= n
			rafts -= n
		}
	}
}

// shareOut gives each piece its heads by its rafts; what rounding leaves goes to
// the last.
func shareOut(list []piece, e *Estimate) []piece {
	all := domain.HalfRafts(0)
	for _, p := range list {
		all += p.rafts
	}
	if all == 0 {
		return nil
	}
	before := domain.HalfRafts(0)
	for i := range list {
		p := &list[i]
		part := func(n domain.Heads) int {
			return int(n)*int(before+p.rafts)/int(all) - int(n)*int(before)/int(all)
		}
		p.heads, p.cautious = part(e.Heads), part(e.Cautious)
		before += p.rafts
	}
	return list
}
