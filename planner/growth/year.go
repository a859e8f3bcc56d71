package growth

import (
	"math"

	"headtally/domain"
)

// dekads are the parts of the year that agrometeorology counts in: three to a
// month, the last of them the longer or shorter. Records are gathered by them.
const dekads = 36

// dekad is that of a day, from 0.
func dekad(d domain.Day) int {
	_, month, day := d.Date()
	return 3*(int(month)-1) + min(2, (day-1)/10)
}

// shape is a way in which figures may hang on the time of the year: their level
// and terms beside it for each dekad, the weight of each term being drawn to
// nothing as far as the records do not ask for it.
type shape struct {
	chance float64           // that this is the way, before anything was seen
	terms  [dekads][]float64 // all of one length, the level first
}

// shapes are the ways that are thought possible, the first as likely as all
// others: the year is alike all over; it swings with the sun, on whichever half
// of the globe the farm lies; its quarters differ (winter being December to
// February).
var shapes = func() (list [3]shape) {
	for i, chance := range []float64{.5, .3, .2} {
		list[i].chance = chance
	}
	for at := range dekads {
		turn := 2 * math.Pi * (float64(at) + .5) / dekads
		list[0].terms[at] = []float64{1}
		list[1].terms[at] = []float64{1, math.Cos(turn), math.Sin(turn)}
		list[2].terms[at] = []float64{1, 0, 0, 0, 0}
		list[2].terms[at][1+(at/3+1)%12/3] = 1
	}
	return list
}()

// swings is how far a term's weight may lie from nothing, in spreads of the
// figures.
const swings = 2.0

// toldCountsFor is how many batches what the farm told counts for when it is
// weighed against those that finished.
const toldCountsFor = 2

// year is what is thought of figures that may hang on the time of the year: a
// linear regression with a conjugate prior for each of the shapes (A. Gelman and
// others, Bayesian Data Analysis, 3rd ed., chapter 14, 2013), each counting as
// far as it has foretold the figures (J. A. Hoeting and others, Bayesian model
// averaging: a tutorial, 1999). So a season is followed where the records show
// one, by its own batches and those of the time about it, and is not read into
// chance.
type year struct {
	from    float64 // figures are taken less this
	fits    [len(shapes)]fit
	freedom float64
}

// fit is one shape laid through the figures.
type fit struct {
	shape   *shape
	counts  float64     // share of all that is thought, of all shapes together 1
	root    [][]float64 // of the precision of the weights, in units of the spread
	weights []float64   // of the level and the terms
	spread2 float64
}

// weigh lays every shape through what was seen, drawn to the prior. hidden is
// variance that the figures do not show.
func weigh(seen []sight, p prior, hidden float64) *year {
	var bins [dekads]bin
	y := &year{from: p.mean, freedom: toldCountsFor}
	for _, s := range seen {
		b, off := &bins[s.at], s.value-p.mean
		b.n += s.weight
		b.sum += s.weight * off
		b.squares += s.weight * off * off
		y.freedom += s.weight
	}
	var logs [len(shapes)]float64
	most := math.Inf(-1)
	for i := range shapes {
		y.fits[i], logs[i] = lay(&shapes[i], &bins, p, y.freedom, float64(toldCountsFor+len(seen)), hidden)
		most = max(most, logs[i])
	}
	all := 0.0
	for i := range logs {
		y.fits[i].counts = math.Exp(logs[i] - most)
		all += y.fits[i].counts
	}
	for i := range logs {
		y.fits[i].counts /= all
	}
	return y
}

// bin is the figures of one dekad.
type bin struct{ n, sum, squares float64 }

// lay fits one shape; how well it foretold the figures is given as a logarithm,
// up to what is the same for all shapes.
func lay(s *shape, bins *[dekads]bin, p prior, freedom, batches, hidden float64) (fit, float64) {
	precision, right, squares := s.through(bins)
	terms := float64(len(right) - 1)
	before := math.Log(toldCountsFor) - 2*terms*math.Log(swings)
	root, after := cholesky(precision)
	half := forward(root, right)
	explained := 0.0
	for _, v := range half {
		explained += v * v
	}
	start := toldCountsFor * p.spread * p.spread
	left := start + max(0, squares-explained)
	f := fit{shape: s, root: root, weights: backward(root, half), spread2: max(left+hidden, start) / batches}
	return f, math.Log(s.chance) + (before-after)/2 + (toldCountsFor*math.Log(start)-freedom*math.Log(left))/2
}

// through is a shape's normal equations, the prior in them, and the squares of
// the figures.
func (s *shape) through(bins *[dekads]bin) (precision [][]float64, right []float64, squares float64) {
	k := len(s.terms[0])
	precision, right = make([][]float64, k), make([]float64, k)
	for i := range precision {
		precision[i] = make([]float64, k)
		precision[i][i] = 1 / (swings * swings)
	}
	precision[0][0] = toldCountsFor
	for at := range bins {
		b := &bins[at]
		squares += b.squares
		for i, u := range s.terms[at] {
			right[i] += u * b.sum
			for j, v := range s.terms[at][:i+1] {
				precision[i][j] += u * v * b.n
			}
		}
	}
	return precision, right, squares
}

// spread is that of batches about their mean.
func (y *year) spread() float64 {
	spread2 := 0.0
	for i := range y.fits {
		spread2 += y.fits[i].counts * y.fits[i].spread2
	}
	return math.Sqrt(spread2)
}

// next is what is thought of a batch that begins in a dekad.
func (y *year) next(at int) prediction {
	p := prediction{freedom: y.freedom}
	var means, spreads2 [len(shapes)]float64
	for i := range y.fits {
		f := &y.fits[i]
		terms := f.shape.terms[at]
		for j, u := range terms {
			means[i] += u * f.weights[j]
		}
		doubt := 0.0
		for _, v := range forward(f.root, terms) {
			doubt += v * v
		}
		spreads2[i] = f.spread2 * (1 + doubt)
		p.mean += f.counts * means[i]
	}
	spread2 := 0.0
	for i := range y.fits {
		off := means[i] - p.mean
		spread2 += y.fits[i].counts * (spreads2[i] + off*off)
	}
	p.mean, p.spread = p.mean+y.from, math.Sqrt(spread2)
	return p
}
