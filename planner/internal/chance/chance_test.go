package chance

import (
	"math"
	"math/big"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// certain is a rate without spread, for which the beta-binomial is the binomial.
func certain(p float64) Beta { return Beta{p * 1e10, (1 - p) * 1e10} }

// quantile is the smallest k for which at most k of n come through with a chance
// of q or more.
func quantile(b Beta, q float64, n int) (k int) {
	for b.CDF(k, n) < q {
		k++
	}
	return k
}

// Printed tables of the binomial distribution, rounded to five places
// (statskey.com, table 7.3, and others; the last value by own arithmetic).
func TestBinomialPrintedTable(t *testing.T) {
	for _, row := range []struct {
		n     int
		p     float64
		first int
		want  []float64
	}{
		{5, .05, 0, []float64{.77378, .97741, .99884, .99997}},
		{5, .10, 0, []float64{.59049, .91854, .99144, .99954}},
		{10, .5, 3, []float64{.17188}},
		{10, .4, 0, []float64{.00605, .04636, .16729, .38228, .63310, .83376}},
	} {
		for i, want := range row.want {
			if got := certain(row.p).CDF(row.first+i, row.n); math.Abs(got-want) > 5.1e-6 {
				t.Errorf("P(X <= %d), n %d, p %g = %.6f, printed %.5f", row.first+i, row.n, row.p, got, want)
			}
		}
	}
}

// The definition of the quantile, by exact arithmetic made apart from this code.
// So many come through with a chance of 1-q or more: AtLeast says the same.
func TestBinomialQuantile(t *testing.T) {
	for _, c := range []struct {
		q    float64
		n    int
		p    float64
		want int
	}{{.05, 24, .9, 19}, {.05, 100, .9, 85}, {.10, 200, .85, 163}, {.05, 10, .5, 2}, {.95, 10, .5, 8}} {
		if got := quantile(certain(c.p), c.q, c.n); got != c.want {
			t.Errorf("quantile %g of n %d, p %g = %d, want %d", c.q, c.n, c.p, got, c.want)
		}
		if got := certain(c.p).AtLeast(c.n, 1-c.q); got != c.want {
			t.Errorf("at least %d of %d, want %d", got, c.n, c.want)
		}
	}
}

// How many to sow so that m come through, by exact rational arithmetic made
// apart (own figures, published by nobody).
func TestFewestSown(t *testing.T) {
	for _, c := range []struct {
		m             int
		p, sure       float64
		want          int
		with, oneLess float64
	}{{24, .9, .95, 30, .97417, .93628}, {100, .85, .95, 125, .95009, .92711}, {240, .8, .90, 311, .90473, .88516}} {
		got := c.m
		for certain(c.p).AtLeast(got, c.sure) < c.m {
			got++
		}
		if got != c.want {
			t.Errorf("fewest for %d at %g, sure %g = %d, want %d", c.m, c.p, c.sure, got, c.want)
		}
		for n, want := range map[int]float64{c.want: c.with, c.want - 1: c.oneLess} {
			if got := 1 - certain(c.p).CDF(c.m-1, n); math.Abs(got-want) > 5.1e-6 {
				t.Errorf("P(X >= %d), n %d, p %g = %.6f, want %.5f", c.m, n, c.p, got, want)
			}
		}
	}
}

func TestBinomialAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 400).Draw(t, "n")
		p := rapid.Float64Range(0.01, 0.99).Draw(t, "p")
		k := rapid.IntRange(0, n).Draw(t, "k")
		theirs := distuv.Binomial{N: float64(n), P: p}
		if got, want := certain(p).CDF(k, n), theirs.CDF(float64(k)); math.Abs(got-want) > 1e-6 {
			t.Fatalf("P(X <= %d) = %.12f, gonum's %.12f", k, got, want)
		}
		q := rapid.Float64Range(0.001, 0.999).Draw(t, "q")
		at := quantile(certain(p), q, n)
		if theirs.CDF(float64(at)) < q-1e-6 || at > 0 && theirs.CDF(float64(at-1)) >= q+1e-6 {
			t.Fatalf("quantile %g of n %d, p %g = %d: gonum's CDF there %.12f, one less %.12f", q, n, p, at, theirs.CDF(float64(at)), theirs.CDF(float64(at-1)))
		}
	})
}

// The shrinkage of D. Robinson, Understanding empirical Bayes estimation (2015).
// The method and the two records (300 of 1,000 and 4 of 10) were read; the
// prior's two figures and the results are values from memory, recomputed.
func TestShrinkagePublished(t *testing.T) {
	prior := Beta{101.4, 287.3}
	for _, c := range []struct {
		good, of int
		want     float64
	}{{300, 1000, .289}, {4, 10, .264}, {0, 0, .261}} {
		if got := prior.After(c.good, c.of-c.good).Mean(); math.Abs(got-c.want) > 5e-4 {
			t.Errorf("%d of %d shrinks to %.4f, want %.3f", c.good, c.of, got, c.want)
		}
	}
}

// Against the closed form C(n,k) B(k+a, n-k+b) / B(a,b) in exact fractions, for
// whole a and b.
func TestBetaBinomialExact(t *testing.T) {
	factorial := func(n int) *big.Int { return new(big.Int).MulRange(1, int64(n)) }
	beta := func(a, b int) *big.Rat {
		top := new(big.Int).Mul(factorial(a-1), factorial(b-1))
		return new(big.Rat).SetFrac(top, factorial(a+b-1))
	}
	for _, c := range []struct{ a, b, n int }{{1, 1, 10}, {2, 3, 17}, {40, 10, 162}, {3, 1, 60}, {200, 17, 90}} {
		sum := new(big.Rat)
		for k := range c.n + 1 {
			p := new(big.Rat).SetInt(new(big.Int).Binomial(int64(c.n), int64(k)))
			p.Mul(p, beta(k+c.a, c.n-k+c.b))
			p.Quo(p, beta(c.a, c.b))
			sum.Add(sum, p)
			want, _ := sum.Float64()
			if got := (Beta{float64(c.a), float64(c.b)}).CDF(k, c.n); math.Abs(got-want) > 1e-12 {
				t.Fatalf("Beta(%d,%d), n %d: P(X <= %d) = %.15f, exactly %.15f", c.a, c.b, c.n, k, got, want)
			}
		}
	}
}

// A rate with no spread is the binomial; gonum's Beta gives mean and spread.
func TestBetaBinomialAgainstGonum(t *testing.T) {
	for _, p := range []float64{.5, .8, .95} {
		b := OfRate(p, 0.0001)
		theirs := distuv.Binomial{N: 162, P: p}
		for k := range 163 {
			if got, want := b.CDF(k, 162), theirs.CDF(float64(k)); math.Abs(got-want) > 2e-3 {
				t.Errorf("p %g: P(X <= %d) = %.5f, binomial %.5f", p, k, got, want)
			}
		}
	}
	b := Beta{40, 10}
	theirs := distuv.Beta{Alpha: 40, Beta: 10}
	if math.Abs(b.Mean()-theirs.Mean()) > 1e-12 || math.Abs(b.Spread()-theirs.StdDev()) > 1e-12 {
		t.Errorf("Beta(40,10): mean %g spread %g, gonum %g %g", b.Mean(), b.Spread(), theirs.Mean(), theirs.StdDev())
	}
	if again := OfRate(b.Mean(), b.Spread()); math.Abs(again.A-40) > 1e-6 || math.Abs(again.B-10) > 1e-6 {
		t.Errorf("OfRate gives back Beta(%g,%g), want (40,10)", again.A, again.B)
	}
}

// AtLeast keeps what it says, whatever the shape (also where whole
// batches live or die: A or B below 1).
func TestAtLeastKeepsItsWord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Beta{rapid.Float64Range(0.2, 300).Draw(t, "a"), rapid.Float64Range(0.2, 300).Draw(t, "b")}
		n := rapid.IntRange(1, 700).Draw(t, "n")
		sure := rapid.Float64Range(0.5, 0.99).Draw(t, "sure")
		m := b.AtLeast(n, sure)
		if m > 0 && 1-b.CDF(m-1, n) < sure-1e-9 {
			t.Fatalf("at least %d has chance %.9f, want %g", m, 1-b.CDF(m-1, n), sure)
		}
		if m < n && 1-b.CDF(m, n) >= sure+1e-9 {
			t.Fatalf("at least %d has chance %.9f too, so %d is too few", m+1, 1-b.CDF(m, n), m)
		}
	})
}

// Printed values: z of nine in ten and of nineteen in twenty; t of nine in ten
// with 10 degrees of freedom (any table of Student's t).
func TestPrintedQuantiles(t *testing.T) {
	for _, c := range []struct{ got, want float64 }{{Z(.9), 1.2816}, {Z(.95), 1.6449}, {T(.9, 10), 1.3722}, {T(.95, 5), 2.0150}} {
		if math.Abs(c.got-c.want) > 5e-5 {
			t.Errorf("got %.5f, printed %.4f", c.got, c.want)
		}
	}
}

// The standard normal loss: 0.39894 at 0 and 0.08332 at 1 (printed tables of
// the unit normal loss integral; value from memory, recomputed by integration).
func TestMeanShort(t *testing.T) {
	integral := func(gap float64) (sum float64) {
		const step = 1e-4
		for x := -8.0; x < -gap; x += step {
			sum += (-gap - x) * distuv.UnitNormal.Prob(x) * step
		}
		return sum
	}
	for _, c := range []struct{ gap, want float64 }{{0, .39894}, {1, .08332}, {-1, 1.08332}} {
		if got := MeanShort(c.gap, 1); math.Abs(got-c.want) > 5.1e-6 || math.Abs(got-integral(c.gap)) > 1e-3 {
			t.Errorf("loss at %g = %.5f, printed %.5f, by integration %.4f", c.gap, got, c.want, integral(c.gap))
		}
	}
	if MeanShort(-7, 0) != 7 || MeanShort(7, 0) != 0 {
		t.Error("without a spread the loss is what lacks")
	}
}
