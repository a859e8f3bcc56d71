// Package growth says what stands in the house and what will: it turns walk
// counts and batches into lots, heads of one variety with the days on which they
// may be lifted, an expected and a cautious count, and the days about which
// anything is known.
//
// A walk count alone is enough. What it calls ready now may be lifted from the
// day of the walk; what it calls ready by the next harvest day, from then; a bed
// stands ready so many days. Where the farm has not told a figure its default
// is taken and named among the assumptions.
//
// A batch is sown, set into rafts and lifted. Until it is lifted its day and
// heads are projected, in one of two ways that are shown side by side:
//
//   - as a grower would on a scrap of wood: days and losses as told for the
//     variety and season, and once four batches have finished the mean of the
//     last eight, the worst of them being the cautious figure;
//   - learned from all finished batches of two years, those told being where
//     learning starts (learned.go names the methods and their sources).
//
// A walk count overrides the projection of the beds it walked from its day on,
// and the difference is kept.
package growth

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
)

// Stock is what can be given to orders.
type Stock struct {
	Lots    []planning.Lot
	Packed  []planning.Packed
	Known   map[string][]Span // variety -> every span of harvest days of which something is known
	Assumed []domain.Assumption
	From    map[string]Source // lot -> where its figures come from
	Differs []Difference      // what counts found other than projected, the latest walk of each bed

	// Since is when each lot's figures were told: what was lifted later is yet to
	// be taken off. CoolerSince is the same of everything that lay in the cooler.
	Since       map[string]time.Time
	CoolerSince time.Time
}

// Span is the days from First to Last.
type Span struct{ First, Last domain.Day }

// Source says where a lot's figures come from: a walk count, or a batch with the
// method of its projection and the number of finished batches that rests on. A
// lot of both is rafts of a batch that a count found not ready yet.
type Source struct {
	Count    string
	Batch    string
	Method   Method
	Batches  int
	Late     domain.Day // by then it is ready, as sure as the farm wants; a batch's only
	Told     domain.Day // the day of the count, or on which the batch was last set or sown
	NotReady bool       // the count found it not ready
}

// Difference is what a walk found other than projected, for one bed (or for the
// whole house where all of it was walked) and variety.
type Difference struct {
	Count     string
	Day       domain.Day
	Bed       string // "": the whole house
	Variety   string
	Until     domain.Day // the last harvest day the count spoke of
	Projected domain.Heads
	Counted   domain.Heads
}

// Of is what stands in the house as of a day, by the counts and batches told up
// to and on it.
func Of(f *domain.Facts, cal *domain.Calendar, asOf domain.Day) Stock {
	return Read(f, asOf).Stock(cal)
}

// Stock is Of what was read.
func (x *Figures) Stock(cal *domain.Calendar) Stock {
	f, asOf := x.facts, x.asOf
	h := &house{cal: cal, farm: f.Farm, varieties: map[string]*domain.Variety{}, products: map[string]*domain.Product{},
		assumed: map[domain.Assumption]bool{}, asOf: asOf, stock: Stock{Known: map[string][]Span{},
			From: map[string]Source{}, Since: map[string]time.Time{}}}
	for i := range f.Varieties {
		h.varieties[f.Varieties[i].Code] = &f.Varieties[i]
	}
	for i := range f.Products {
		h.products[f.Products[i].Code] = &f.Products[i]
	}
	for i := range f.Counts {
		if f.Counts[i].Day <= asOf {
			h.take(f.Counts[i])
			h.walks = append(h.walks, &f.Counts[i])
		}
	}
	for _, bed := range slices.Sorted(maps.Keys(h.beds)) {
		for i, row := range h.beds[bed] {
			h.bedLots(row, i)
		}
	}
	h.bringCounted(x)
	h.batches(x)
	if h.cooler != nil {
		h.chilled(h.cooler)
	}
	return h.done()
}

// house is what the counts read so far say, the later overriding the earlier.
type house struct {
	cal       *domain.Calendar
	farm      domain.Farm
	varieties map[string]*domain.Variety
	products  map[string]*domain.Product
	asOf      domain.Day
	walks     []*domain.Count  // the counts read, in order
	beds      map[string][]row // bed -> what was counted in it
	cooler    *domain.Count
	assumed   map[domain.Assumption]bool
	stock     Stock
}

func (h *house) done() Stock {
	for a := range h.assumed {
		h.stock.Assumed = append(h.stock.Assumed, a)
	}
	slices.SortFunc(h.stock.Assumed, func(a, b domain.Assumption) int {
		return cmp.Or(cmp.Compare(a.Code, b.Code), cmp.Compare(a.What, b.What), cmp.Compare(a.Value, b.Value))
	})
	for variety, spans := range h.stock.Known {
		h.stock.Known[variety] = joined(spans)
	}
	return h.stock
}

// joined puts spans in order and joins those that touch.
func joined(spans []Span) (list []Span) {
	slices.SortFunc(spans, func(a, b Span) int { return cmp.Or(cmp.Compare(a.First, b.First), cmp.Compare(a.Last, b.Last)) })
	for _, s := range spans {
		if n := len(list); n > 0 && s.First <= list[n-1].Last.Add(1) {
			list[n-1].Last = max(list[n-1].Last, s.Last)
		} else {
			list = append(list, s)
		}
	}
	return list
}

// Knows says whether anything is known of a variety's heads on a day.
func (s *Stock) Knows(variety string, d domain.Day) bool {
	return slices.ContainsFunc(s.Known[variety], func(k Span) bool { return k.First <= d && d <= k.Last })
}
