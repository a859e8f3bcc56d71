package growth

import (
	"math"
	"slices"

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
			more, most := b.reach(p)
			days[i] = sight{value: float64(b.days(p)), season: s, more: more, most: most}
			shares[i] = sight{value: b.share(p), season: s}
			perPlant += 1 / float64(max(b.seenOf(p), 1)) / float64(len(finished))
		}
		z := chance.Z(0.9)
		next := settle(days, season(begins), prior{told.Days, max(1, float64(told.Late)-told.Days) / z})
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
	// Days may be known only to be more than one figure and at most another.
	more, most float64
}

// vague says that only bounds of the figure are known.
func (s sight) vague() bool { return s.most-s.more > 1 }

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
	year := parted(seen)
	return year.next(now, p)
}

// next weighs what the year says of a season against the prior.
func (y *seasons) next(now int, p prior) prediction {
	mean, within, counts, freedom := y.at(now)
	weight := toldCountsFor + counts
	off := mean - p.mean
	squares := toldCountsFor*p.spread*p.spread + freedom*within + toldCountsFor*counts/weight*off*off
	freedom += toldCountsFor
	spread2 := squares / freedom
	return prediction{(toldCountsFor*p.mean + counts*mean) / weight, math.Sqrt(spread2 * (1 + 1/weight)), freedom}
}

// rounds of settle: the mean moves by less than a tenth of a day well before.
const rounds = 12

// settle is shrink where of some figures only bounds are known: each is taken
// for what it would be on average, being normal about the mean and within its
// bounds, and the whole is done again until it settles (A. P. Dempster, N. M.
// Laird and D. B. Rubin, Maximum likelihood from incomplete data via the EM
// algorithm, 1977). The spread that such a figure hides is put back.
func settle(seen []sight, now int, p prior) prediction {
	if !slices.ContainsFunc(seen, sight.vague) {
		return shrink(seen, now, p)
	}
	filled := slices.Clone(seen)
	var guess [4]prediction // by season
	for g := range guess {
		guess[g] = prediction{mean: p.mean, spread: p.spread}
	}
	for range rounds {
		hidden := 0.0
		for i, s := range seen {
			if s.vague() {
				var spread2 float64
				filled[i].value, spread2 = between(guess[s.season].mean, guess[s.season].spread, s.more+0.5, s.most+0.5)
				hidden += spread2
			}
		}
		year := parted(filled)
		for g := range guess {
			guess[g] = year.next(g, p)
			guess[g].spread = math.Sqrt(guess[g].spread*guess[g].spread + hidden/guess[g].freedom)
		}
	}
	return guess[now]
}

// between is the mean and variance of a normal figure that is known to be more
// than one figure and at most another.
func between(mean, spread, more, most float64) (float64, float64) {
	low, high := (more-mean)/spread, (most-mean)/spread
	share := distuv.UnitNormal.CDF(high) - distuv.UnitNormal.CDF(low)
	if share < 1e-9 {
		return min(max(mean, more), most), 0
	}
	atLow, atHigh := distuv.UnitNormal.Prob(low), distuv.UnitNormal.Prob(high)
	tail := atLow*max(low, -40) - atHigh*high
	shift := (atLow - atHigh) / share
	return mean + spread*shift, spread * spread * max(0, 1+tail/share-shift*shift)
}

// seasons is the analysis of figures by season (a one-way analysis of variance
// with random groups).
type seasons struct {
	differ bool // plainly
	all    tallied
	each   [4]tallied
	within float64 // variance of figures within a season
	among  float64 // variance of the seasons' true means
	free   float64 // degrees of freedom within
}

// tallied is a number of figures, their mean, and their squares about it.
type tallied struct {
	n             int
	mean, squares float64
}

func (t *tallied) add(value float64) {
	t.n++
	step := value - t.mean
	t.mean += step / float64(t.n)
	t.squares += step * (value - t.mean)
}

func parted(seen []sight) (y seasons) {
	for _, s := range seen {
		y.all.add(s.value)
		y.each[s.season].add(s.value)
	}
	among, within, squaredSizes, n := 0.0, 0.0, 0.0, 0
	for _, t := range y.each {
		if t.n > 0 {
			n++
			among += float64(t.n) * (t.mean - y.all.mean) * (t.mean - y.all.mean)
			within += t.squares
			squaredSizes += float64(t.n * t.n)
		}
	}
	apart := float64(n - 1)
	y.free = float64(y.all.n - n)
	if n < 2 || y.free < 4 || within == 0 {
		return y
	}
	among, y.within = among/apart, within/y.free
	if y.differ = (distuv.F{D1: apart, D2: y.free}).CDF(among/y.within) >= 0.95; y.differ {
		size := (float64(y.all.n) - squaredSizes/float64(y.all.n)) / apart // figures of a season, as a mean
		y.among = (among - y.within) / size
	}
	return y
}

// at is what the year says of the next figure of a season: its mean, the variance
// about it, how many figures the mean is worth, and the degrees of freedom. Where
// the seasons do not plainly differ that is what all figures say.
func (y *seasons) at(season int) (mean, within, counts, freedom float64) {
	n := float64(y.all.n)
	if !y.differ {
		return y.all.mean, y.all.squares / max(n-1, 1), n, n - 1
	}
	own := y.each[season]
	if own.n == 0 {
		return y.all.mean, y.within, y.within / (y.among + y.within/n), y.free
	}
	share := y.among / (y.among + y.within/float64(own.n))
	return y.all.mean + share*(own.mean-y.all.mean), y.within, float64(own.n) / share, y.free
}
