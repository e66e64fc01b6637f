package weather

import "slices"

// lMoments are the first three L-moments of a sample, which it sorts: the mean, half
// the mean difference of two values, and a measure of skew. They come from weighted
// means of the ordered values (key weather_l_moments):
//
//	b0 = mean x_i,  b1 = mean (i-1)/(n-1) x_i,  b2 = mean (i-1)(i-2)/((n-1)(n-2)) x_i
//	l1 = b0,  l2 = 2 b1 - b0,  l3 = 6 b2 - 6 b1 + b0
//
// It needs three values; with fewer the higher ones are 0.
func lMoments(values []float64) (l1, l2, l3 float64) {
	slices.Sort(values)
	n := float64(len(values))
	var b0, b1, b2 float64
	for i, v := range values {
		k := float64(i)
		b0 += v / n
		if n > 1 {
			b1 += v * k / (n - 1) / n
		}
		if n > 2 {
			b2 += v * k * (k - 1) / ((n - 1) * (n - 2)) / n
		}
	}
	if n < 2 {
		return b0, 0, 0
	}
	if n < 3 {
		return b0, 2*b1 - b0, 0
	}
	return b0, 2*b1 - b0, 6*b2 - 6*b1 + b0
}
