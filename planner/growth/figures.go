package growth

import (
	"math"
	"slices"

	"headtally/domain"
	"headtally/planner/internal/chance"
)

// Method is how a figure was come by.
type Method string

// A figure is what the farm was told or told us; the mean and worst of a
// variety's last finished batches; or what is learned from all of them.
const (
	Told        Method = "told"
	LastBatches Method = "last_batches"
	Learned     Method = "learned"
)

// LearnFrom is how many batches of a variety must be finished before its
// learned figures are used.
const LearnFrom = 10

// lastBatches is how many finished batches the plain figures look at, and
// fewestBatches how few of them are enough to leave what was told.
const (
	lastBatches   = 8
	fewestBatches = 4
)

// Leg is what is expected of one piece of a batch's way. Days are from its
// first day to its last: sown on the 1st and set on the 12th are 11 days.
type Leg struct {
	Method  Method
	Batches int     // finished ones it rests on
	Days    float64 // expected
	Late    int     // days by which it is there, as sure as was asked
	Good    float64 // share that comes through, expected
	Worst   float64 // share to count on

	rate chance.Beta // learned only: what is thought of the share
	sure float64
}

// Expected is the days expected, as whole days.
func (l Leg) Expected() int { return int(math.Round(l.Days)) }

// Heads is how many of n plants are expected to come through, and how many can
// be counted on.
func (l Leg) Heads(n int) (expected, cautious int) {
	expected = int(math.Round(float64(n) * l.Good))
	if l.Method != Learned {
		return expected, min(expected, int(float64(n)*l.Worst+1e-9))
	}
	return expected, min(expected, l.rate.AtLeast(n, l.sure))
}

// seen is Heads of the plants left of a batch of which some were lifted
// already: the learned share moves towards the batch's own.
func (l Leg) seen(good, bad int) Leg {
	if l.Method == Learned && good+bad > 0 {
		l.rate = l.rate.After(good, bad)
		l.Good = l.rate.Mean()
	}
	return l
}

// part names a piece of a batch's way.
type part int

const (
	nursery part = iota // from sown to set into rafts
	onRafts             // from set to ready
	whole               // from sown to ready
)

// Figures gives the legs of every variety from what the farm told and from its
// finished batches. It keeps what it worked out, and is for one goroutine.
type Figures struct {
	farm      domain.Farm
	growing   domain.Growing
	profiles  []domain.Profile // the widest first
	varieties map[string]*domain.Variety
	beds      map[string]string  // name -> code
	past      map[string][]*past // variety -> finished batches, by the day they were
	sure      float64
	kept      map[legKey]Leg
	lessons   map[lessonKey]*lesson
	facts     *domain.Facts
	asOf      domain.Day
	holding   []*domain.BatchEvent
	batches   []*domain.Batch // sown by asOf
}

type legKey struct {
	variety string
	part    part
	dekad   int
	method  Method
	batches int
}

// Read reads what was told and what has finished by a day, the cautious figures
// to hold as often as the farm wishes.
func Read(f *domain.Facts, asOf domain.Day) *Figures {
	return NewFigures(f, asOf, float64(settings(f).Assurance)/100)
}

// NewFigures is Read where the cautious figures are to hold for another share of
// batches, such as 0.9.
func NewFigures(f *domain.Facts, asOf domain.Day, sure float64) *Figures {
	x := &Figures{farm: f.Farm, growing: settings(f), profiles: slices.Clone(f.Profiles), varieties: map[string]*domain.Variety{}, beds: map[string]string{},
		past: map[string][]*past{}, sure: sure, kept: map[legKey]Leg{}, lessons: map[lessonKey]*lesson{}, facts: f, asOf: asOf, holding: domain.Holding(f.BatchEvents)}
	x.batches = domain.Batches(x.holding, asOf)
	slices.SortStableFunc(x.profiles, func(a, b domain.Profile) int { return breadth(a) - breadth(b) })
	for i := range f.Varieties {
		x.varieties[f.Varieties[i].Code] = &f.Varieties[i]
	}
	for _, b := range x.batches {
		if p := x.finished(b, asOf); p != nil {
			x.past[b.Variety] = append(x.past[b.Variety], p)
		}
	}
	for _, b := range f.Beds {
		x.beds[b.Name] = b.Code
	}
	liftDays := daysLifted(x.batches)
	for _, list := range x.past {
		slices.SortStableFunc(list, func(a, b *past) int { return a.done.Sub(b.done) })
		bound(list, liftDays)
	}
	return x
}

// settings is how the farm grows, or what is taken where it has told nothing.
func settings(f *domain.Facts) domain.Growing {
	if f.Growing.CellsPerTray == 0 {
		return domain.NewGrowing()
	}
	return f.Growing
}

// breadth orders profiles: the farm's own for the whole year first, those of a
// season over it, then a variety's, then a variety's of a season.
func breadth(p domain.Profile) (n int) {
	if p.Variety != "" {
		n += 2
	}
	if p.FromMonth != 0 {
		n++
	}
	return n
}

// Trusts says whether the farm has said yes to the learned figures of a
// variety, and there are enough batches for them.
func (x *Figures) Trusts(variety string) bool {
	return slices.Contains(x.growing.Learned, variety) && len(x.past[variety]) >= LearnFrom
}

// leg is the figures of a part that begins on a day, by the method the farm
// trusts.
func (x *Figures) leg(variety string, p part, begins domain.Day) Leg {
	if x.Trusts(variety) {
		return x.learned(variety, p, begins, x.past[variety])
	}
	return x.plain(variety, p, begins, x.past[variety])
}

// keep works a leg out once for each dekad and set of finished batches.
func (x *Figures) keep(variety string, p part, begins domain.Day, method Method, batches int, work func() Leg) Leg {
	key := legKey{variety, p, dekad(begins), method, batches}
	leg, there := x.kept[key]
	if !there {
		leg = work()
		x.kept[key] = leg
	}
	return leg
}

// cells is the cells of one of a batch's trays.
func (x *Figures) cells(b *domain.Batch) int {
	if b.Cells > 0 {
		return b.Cells
	}
	return x.growing.CellsPerTray
}

// plants is the plants that one setting into rafts set.
func (x *Figures) plants(set *domain.BatchEvent) int {
	if set.Heads > 0 {
		return int(set.Heads)
	}
	return int(set.Rafts) * int(x.growing.RaftSites) / 2
}

// bed is the code of a bed that is named by its code or its name.
func (x *Figures) bed(named string) string {
	if code, known := x.beds[named]; known {
		return code
	}
	return named
}

// plain is the mean and worst of the last finished batches, or what was told
// where too few have finished. A batch that waited for its turn counts with the
// days told, if it was lifted no sooner.
func (x *Figures) plain(variety string, p part, begins domain.Day, finished []*past) Leg {
	if len(finished) < fewestBatches {
		return x.told(variety, p, begins)
	}
	return x.keep(variety, p, begins, LastBatches, len(finished), func() Leg {
		last := finished[max(0, len(finished)-lastBatches):]
		l := Leg{Method: LastBatches, Batches: len(last), Worst: 1, sure: x.sure}
		told := x.told(variety, p, begins).Expected()
		for _, b := range last {
			days, good := b.days(p), b.share(p)
			if b.waited && p != nursery {
				days = min(days, told)
			}
			l.Days += float64(days) / float64(len(last))
			l.Good += good / float64(len(last))
			l.Late, l.Worst = max(l.Late, days), min(l.Worst, good)
		}
		return l
	})
}
