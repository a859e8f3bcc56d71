package chance

import "math"

// Beta is what is thought of a rate: A good ones and B bad ones seen, so to say.
type Beta struct{ A, B float64 }

// OfRate is the Beta of a mean and a spread (standard deviation) of rates. Rates
// lie between 0 and 1, so a spread as wide as that allows is taken at most.
func OfRate(mean, spread float64) Beta {
	mean = min(max(mean, 0.001), 0.999)
	most := mean * (1 - mean)
	variance := min(max(spread*spread, 1e-8), 0.9*most)
	size := most/variance - 1
	return Beta{mean * size, (1 - mean) * size}
}

// Mean is the rate expected.
func (b Beta) Mean() float64 { return b.A / (b.A + b.B) }

// Spread is the standard deviation of the rate.
func (b Beta) Spread() float64 {
	s := b.A + b.B
	return math.Sqrt(b.A * b.B / (s * s * (s + 1)))
}

// After is what is thought of the rate once so many more were seen.
func (b Beta) After(good, bad int) Beta { return Beta{b.A + float64(good), b.B + float64(bad)} }

// Chances are the chances that 0, 1, ... n of n come through, their rate being
// thought of as b: the beta-binomial distribution. Each is made from its
// neighbour, outward from the middle, so that none is lost to rounding.
func (b Beta) Chances(n int) []float64 {
	p := make([]float64, n+1)
	middle := min(n, int(float64(n)*b.Mean()))
	p[middle] = 1
	up := func(k int) float64 { // P(k+1) / P(k)
		return float64(n-k) * (b.A + float64(k)) / (float64(k+1) * (float64(n-k-1) + b.B))
	}
	total := 1.0
	for k := middle; k < n; k++ {
		p[k+1] = p[k] * up(k)
		total += p[k+1]
	}
	for k := middle; k > 0; k-- {
		p[k-1] = p[k] / up(k-1)
		total += p[k-1]
	}
	for k := range p {
		p[k] /= total
	}
	return p
}

// CDF is the chance that at most k of n come through.
func (b Beta) CDF(k, n int) (sum float64) {
	for i, p := range b.Chances(n) {
		if i <= k {
			sum += p
		}
	}
	return min(sum, 1)
}

// AtLeast is the most heads that n plants give with a chance of sure or more.
func (b Beta) AtLeast(n int, sure float64) int {
	sum, p := 0.0, b.Chances(n)
	for k := n; k > 0; k-- {
		if sum += p[k]; sum >= sure {
			return k
		}
	}
	return 0
}
