package growth

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"headtally/domain"
	"headtally/planner/internal/chance"
)

// toldCountsFor is how many batches what the farm told counts for when it is
// weighed against those that finished.
const toldCountsFor = 2

// learned is what the finished batches of a variety teach of a part that begins
// on a day. What was told is where learning starts and soon counts for little.
//
// Days are normal with a normal-inverse-gamma prior, so that the days of the
// next batch follow Student's t (A. Gelman and others, Bayesian Data Analysis,
// 3rd ed., section 3.3, 2013). Shares vary from batch to batch as a beta, so
// that the heads of the next batch are beta-binomial, its two figures fitted by
// moments (J. C. Kleinman, Proportions with extraneous variance: single and
// independent samples, 1973).
func (x *Figures) learned(variety string, p part, begins domain.Day, finished []*past) Leg {
	return x.keep(variety, p, begins, Learned, len(finished), func() Leg {
		told := x.told(variety, p, begins)
		l := Leg{Method: Learned, Batches: len(finished), sure: x.sure}
		days, shares := make([]sight, len(finished)), make([]sight, len(finished))
		perPlant := 0.0 // mean of 1 over the plants seen
		for i, b := range finished {
			s := season(b.began(p))
			days[i] = sight{float64(b.days(p)), s}
			shares[i] = sight{b.share(p), s}
			perPlant += 1 / float64(max(b.seenOf(p), 1)) / float64(len(finished))
		}
		z := chance.Z(0.9)
		next := shrink(days, season(begins), prior{told.Days, max(1, float64(told.Late)-told.Days) / z})
		l.Days = next.mean
		l.Late = max(l.Expected(), int(math.Ceil(next.mean+chance.T(x.sure, next.freedom)*next.spread-0.5)))

		next = shrink(shares, season(begins), prior{told.Good, max(0.01, told.Good-told.Worst) / z})
		l.Good = min(max(next.mean, 0.01), 0.99)
		between := max(0, next.spread*next.spread-l.Good*(1-l.Good)*perPlant)
		wide := chance.T(x.sure, next.freedom) / chance.Z(x.sure)
		l.rate = chance.OfRate(l.Good, math.Sqrt(between)*wide)
		l.Worst = float64(l.rate.AtLeast(1000, x.sure)) / 1000
		return l
	})
}

// season is the quarter of the year, winter being December to February; which
// half of the globe the farm lies on does not matter.
func season(d domain.Day) int {
	_, month, _ := d.Date()
	return int(month) % 12 / 3
}

// sight is one batch's figure, with the season it is of.
type sight struct {
	value  float64
	season int
}

// prior is what is thought before anything was seen: a mean, and how much
// batches spread about it.
type prior struct{ mean, spread float64 }

// prediction is what is thought of the next batch.
type prediction struct {
	mean    float64
	spread  float64 // of the next batch about the mean, the mean's own doubt included
	freedom float64 // degrees of freedom of that spread
}

// shrink weighs what was seen against the prior. Where the seasons plainly
// differ (an F test at one in twenty) the mean is the season's own, drawn
// towards that of the whole year the more, the fewer of its batches were seen
// (B. Efron and C. Morris, Data analysis using Stein's estimator and its
// generalizations, 1975).
func shrink(seen []sight, now int, p prior) prediction {
	all := tally(seen)
	mean, within, counts := all.mean, all.spread2(), float64(all.n)
	freedom := float64(all.n - 1)
	if y := bySeason(seen, now); y.differ {
		mean, within, counts, freedom = y.mean, y.within, y.counts, float64(all.n-y.seasons)
	}
	weight := toldCountsFor + counts
	off := mean - p.mean
	squares := toldCountsFor*p.spread*p.spread + freedom*within + toldCountsFor*counts/weight*off*off
	freedom += toldCountsFor
	spread2 := squares / freedom
	return prediction{(toldCountsFor*p.mean + counts*mean) / weight, math.Sqrt(spread2 * (1 + 1/weight)), freedom}
}

// tallied is a number of figures, their mean, and their squares about it.
type tallied struct {
	n       int
	mean    float64
	squares float64
}

func tally(seen []sight) (t tallied) {
	for _, s := range seen {
		t.n++
		step := s.value - t.mean
		t.mean += step / float64(t.n)
		t.squares += step * (s.value - t.mean)
	}
	return t
}

func (t tallied) spread2() float64 { return t.squares / float64(max(t.n-1, 1)) }

// yearly is the analysis of figures by season.
type yearly struct {
	differ  bool
	seasons int
	mean    float64 // of the season asked for, drawn towards the year's
	within  float64 // variance of batches within a season
	counts  float64 // batches that the season's mean is worth
}

func bySeason(seen []sight, now int) yearly {
	all, per := tally(seen), [4]tallied{}
	for q := range per {
		per[q] = tally(only(seen, q))
	}
	y := yearly{}
	between, within, sumOfSquares := 0.0, 0.0, 0.0
	for _, t := range per {
		if t.n == 0 {
			continue
		}
		y.seasons++
		between += float64(t.n) * (t.mean - all.mean) * (t.mean - all.mean)
		within += t.squares
		sumOfSquares += float64(t.n * t.n)
	}
	rest := float64(all.n - y.seasons)
	if y.seasons < 2 || rest < 4 || within == 0 {
		return y
	}
	apart := float64(y.seasons - 1)
	between, y.within = between/apart, within/rest
	if between/y.within < (distuv.F{D1: apart, D2: rest}).Quantile(0.95) {
		return y
	}
	y.differ = true
	size := (float64(all.n) - sumOfSquares/float64(all.n)) / apart // batches of a season, as a mean
	among := (between - y.within) / size                           // variance of the seasons' true means
	own := per[now]
	if own.n == 0 {
		y.mean, y.counts = all.mean, y.within/(among+y.within/float64(all.n))
		return y
	}
	share := among / (among + y.within/float64(own.n))
	y.mean = all.mean + share*(own.mean-all.mean)
	y.counts = float64(own.n) / share
	return y
}

func only(seen []sight, season int) (list []sight) {
	for _, s := range seen {
		if s.season == season {
			list = append(list, s)
		}
	}
	return list
}
