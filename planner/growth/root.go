package growth

import "math"

// cholesky is the lower root of a symmetric matrix of which the lower half is
// told, and the logarithm of its determinant. The root takes the matrix's place.
func cholesky(a [][]float64) (root [][]float64, logDet float64) {
	root = a
	for j := range a {
		for i := j; i < len(a); i++ {
			sum := a[i][j]
			for k := range j {
				sum -= root[i][k] * root[j][k]
			}
			if i == j {
				root[j][j] = math.Sqrt(sum)
				logDet += math.Log(sum)
			} else {
				root[i][j] = sum / root[j][j]
			}
		}
	}
	return root, logDet
}

// forward and backward solve with a lower root and with it turned over.
func forward(root [][]float64, b []float64) []float64 {
	x := make([]float64, len(b))
	for i := range b {
		x[i] = b[i]
		for k := range i {
			x[i] -= root[i][k] * x[k]
		}
		x[i] /= root[i][i]
	}
	return x
}

func backward(root [][]float64, b []float64) []float64 {
	x := make([]float64, len(b))
	for i := len(b) - 1; i >= 0; i-- {
		x[i] = b[i]
		for k := i + 1; k < len(b); k++ {
			x[i] -= root[k][i] * x[k]
		}
		x[i] /= root[i][i]
	}
	return x
}
