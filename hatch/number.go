package hatch

import "math"

// MaleShare of chicks hatched. Key: hatch-hays.
const MaleShare = 0.5

// AtLeast is the chance of k or more successes in n independent trials of chance
// p: pullets among chicks, chicks among eggs of a setting that is not lost.
func AtLeast(k, n int, p float64) float64 {
	switch {
	case k <= 0:
		return 1
	case k > n || p <= 0:
		return 0
	case p >= 1:
		return 1
	}
	sum := 0.0
	for i := k; i <= n; i++ {
		sum += math.Exp(logChoose(n, i) + float64(i)*math.Log(p) + float64(n-i)*math.Log1p(-p))
	}
	return min(1, sum)
}

func logChoose(n, k int) float64 {
	a, _ := math.Lgamma(float64(n + 1))
	b, _ := math.Lgamma(float64(k + 1))
	c, _ := math.Lgamma(float64(n - k + 1))
	return a - b - c
}

// PulletOdds is the chance of at least k pullets among n chicks.
func PulletOdds(k, n int) float64 { return AtLeast(k, n, 1-MaleShare) }

// ChicksForPullets is the fewest chicks among which k pullets are found with
// chance odds (below 1).
func ChicksForPullets(k int, odds float64) int {
	n := k
	for n < 10*k+50 && PulletOdds(k, n) < odds {
		n++
	}
	return n
}

// PulletPlan is what lies between an egg set and a pullet in lay.
type PulletPlan struct {
	ChicksPerEgg float64 // see Setting.ChicksPerEgg
	AliveAt8     float64 // share of chicks alive at eight weeks
	AliveTo20    float64 // share of those alive at twenty
	Culled       float64 // share of pullets culled before lay
}

// LayersPerEgg is the expectation of pullets in lay for each egg set.
func (p PulletPlan) LayersPerEgg() float64 {
	return p.ChicksPerEgg * (1 - MaleShare) * p.AliveAt8 * p.AliveTo20 * (1 - p.Culled)
}

// EggsToSet is the least number of eggs whose expectation is the pullets wanted.
// An impossible plan (no layer from any egg) gives 0. Keepers say five eggs a
// pullet; keep the larger number where predators are bad.
func (p PulletPlan) EggsToSet(pullets float64) int {
	each := p.LayersPerEgg()
	if each <= 0 {
		return 0
	}
	return int(math.Ceil(pullets/each - 1e-9))
}
