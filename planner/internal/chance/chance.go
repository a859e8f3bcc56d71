// Package chance holds the few distributions that growing needs: the
// beta-binomial over whole numbers of plants, where whole batches fare well or
// badly together (without any spread it is the binomial, where every plant fares
// for itself); what a rate is thought to be after some plants have been seen; and
// a few figures of the normal and Student's t.
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

	"gonum.org/v1/gonum/stat/distuv"
)

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
