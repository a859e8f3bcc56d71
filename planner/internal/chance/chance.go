// Package chance holds the few distributions that growing needs, over whole
// numbers of plants: the binomial, where every plant fares for itself; the
// beta-binomial, where whole batches fare well or badly together; and what a
// rate is thought to be after some have been seen.
//
//	b := chance.OfRate(0.8, 0.05)        // rates of batches: mean and spread
//	b.AtLeast(162, 0.9)                  // heads of a tray to count on, nine times in ten
//	b.After(120, 30).Mean()              // the rate of a batch of which 150 were seen
//
// Beta-binomial: J. G. Skellam, A probability distribution derived from the
// binomial distribution by regarding the probability of success as variable
// between the sets of trials (1948). Shrinkage of a rate towards its prior:
// D. Robinson, Understanding empirical Bayes estimation (2015).
package chance

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// BinomialCDF is the chance that at most k of n plants come through, each with
// chance p.
func BinomialCDF(k, n int, p float64) float64 {
	switch {
	case k < 0:
		return 0
	case k >= n:
		return 1
	}
	return mathext.RegIncBeta(float64(n-k), float64(k+1), 1-p)
}

// BinomialQuantile is the smallest k for which at most k of n come through with
// a chance of q or more.
func BinomialQuantile(q float64, n int, p float64) int {
	low, high := 0, n
	for low < high {
		if k := (low + high) / 2; BinomialCDF(k, n, p) >= q {
			high = k
		} else {
			low = k + 1
		}
	}
	return low
}

// FewestSown is the smallest n of which at least m come through with a chance of
// sure or more, each with chance p. It panics where p is no chance above 0.
func FewestSown(m int, p, sure float64) int {
	if p <= 0 || p > 1 || sure >= 1 {
		panic("chance: FewestSown needs 0 < p <= 1 and sure < 1")
	}
	enough := func(n int) bool { return 1-BinomialCDF(m-1, n, p) >= sure }
	high := max(m, 1)
	for !enough(high) {
		high *= 2
	}
	low := m
	for low < high {
		if n := (low + high) / 2; enough(n) {
			high = n
		} else {
			low = n + 1
		}
	}
	return low
}

// Z is the standard normal quantile of a chance: 1.28 for nine in ten.
func Z(q float64) float64 { return distuv.UnitNormal.Quantile(q) }

// T is the quantile of Student's t with so many degrees of freedom.
func T(q, freedom float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile(q)
}

// MeanShort is how much a normal quantity of that spread falls below 0 on
// average, its mean being gap: the normal loss function.
func MeanShort(gap, spread float64) float64 {
	if spread <= 0 {
		return math.Max(0, -gap)
	}
	u := gap / spread
	return spread*distuv.UnitNormal.Prob(u) - gap*distuv.UnitNormal.CDF(-u)
}
