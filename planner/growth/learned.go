package growth

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"headtally/domain"
	"headtally/planner/internal/chance"
)

// learned is what the finished batches of a variety teach of a part that begins
// on a day. What was told is where learning starts and soon counts for little.
//
// Days are normal with a normal-inverse-gamma prior, so that the days of the
// next batch follow Student's t (A. Gelman and others, Bayesian Data Analysis,
// 3rd ed., section 3.3, 2013). Shares vary from batch to batch as a beta, so
// that the heads of the next batch are beta-binomial, its two figures fitted by
// moments (J. C. Kleinman, Proportions with extraneous variance: single and
// independent samples, 1973). Both may hang on the time of the year: see year.
func (x *Figures) learned(variety string, p part, begins domain.Day, finished []*past) Leg {
	return x.keep(variety, p, begins, Learned, len(finished), func() Leg {
		told := x.told(variety, p, begins)
		l := Leg{Method: Learned, Batches: len(finished), sure: x.sure}
		teaches := x.lesson(variety, p, told, finished)
		next := teaches.days.next(dekad(begins))
		l.Days = next.mean
		l.Late = max(l.Expected(), int(math.Ceil(next.mean+chance.T(x.sure, next.freedom)*next.spread-0.5)))

		next = teaches.shares.next(dekad(begins))
		l.Good = min(max(next.mean, 0.01), 0.99)
		between := max(0, next.spread*next.spread-l.Good*(1-l.Good)*teaches.perPlant)
		wide := chance.T(x.sure, next.freedom) / chance.Z(x.sure)
		l.rate = chance.OfRate(l.Good, math.Sqrt(between)*wide)
		l.Worst = float64(l.rate.AtLeast(1000, x.sure)) / 1000
		return l
	})
}

// lesson is what finished batches teach of a part, for the whole year.
type lesson struct {
	days, shares *year
	perPlant     float64 // mean of 1 over the plants seen
}

// lessonKey names a lesson; what was told is where it starts.
type lessonKey struct {
	variety  string
	part     part
	finished int
	told     Leg
}

// lesson is worked out once for each number of finished batches.
func (x *Figures) lesson(variety string, p part, told Leg, finished []*past) *lesson {
	key := lessonKey{variety, p, len(finished), told}
	if known := x.lessons[key]; known != nil {
		return known
	}
	teaches := &lesson{}
	days, shares := make([]sight, len(finished)), make([]sight, len(finished))
	for i, b := range finished {
		at := dekad(b.began(p))
		more, most := b.reach(p)
		days[i] = sight{value: float64(b.days(p)), at: at, weight: 1, more: more, most: most}
		shares[i] = sight{value: b.share(p), at: at, weight: 1}
		teaches.perPlant += 1 / float64(max(b.seenOf(p), 1)) / float64(len(finished))
	}
	z := chance.Z(0.9)
	teaches.days = settle(days, prior{told.Days, max(1, float64(told.Late)-told.Days) / z})
	teaches.shares = settle(shares, prior{told.Good, max(0.01, told.Good-told.Worst) / z})
	x.lessons[key] = teaches
	return teaches
}

// sight is one batch's figure, with the dekad in which it began.
type sight struct {
	value  float64
	at     int
	weight float64 // 1: a whole batch's
	hidden float64
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

// rounds of settle: the mean moves by less than a tenth of a day well before.
const rounds = 6

// settle weighs what was seen against the prior. Where of some figures only
// bounds are known, each stands for the figure and the weight that pull at the
// mean as its bounds do, being normal, and the whole is done again until it
// settles (Newton's method on the likelihood of censored figures: M. Aitkin, A
// note on the regression analysis of censored data, 1981). So a bound that says
// nothing new weighs nothing.
func settle(seen []sight, p prior) *year {
	if !slices.ContainsFunc(seen, sight.vague) {
		return weigh(seen, p, 0)
	}
	stands := slices.Clone(seen)
	guess := weigh(nil, p, 0)
	for range rounds {
		hidden := 0.0
		for i, s := range seen {
			if s.vague() {
				about := guess.next(s.at)
				stands[i] = s.standIn(about.mean, guess.spread())
				hidden += stands[i].hidden
			}
		}
		guess = weigh(stands, p, hidden)
	}
	return guess
}

// standIn is what a figure of which only bounds are known stands for, being
// normal about a mean. What is hidden is by how much the squares about the mean
// are more than they seem.
func (s sight) standIn(mean, spread float64) sight {
	value, left := between(mean, spread, s.more+0.5, s.most+0.5)
	s.weight = min(max(1-left/(spread*spread), 0.001), 1)
	off := value - mean
	s.value = mean + off/s.weight
	s.hidden = left + off*off*(1-1/s.weight)
	return s
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
