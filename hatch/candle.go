package hatch

import "math"

// When embryos die. Of the fertile eggs that fail, so many fail at each age when
// nothing is wrong; the two peaks, at the start and before the hatch, are known
// from of old, the figures are a guess. Key: hatch-death-ages.
const (
	deadEarlyShare  = 0.30 // a ring of blood, days 1 to 4
	deadMidShare    = 0.15 // days 5 to 17
	deadLateShare   = 0.37 // full grown, not pipped
	deadPippedShare = 0.18
)

// CandleExpect is what a candling should show.
type CandleExpect struct {
	Clear, ClearLow, ClearHigh int // eggs: usual, and the 5th and 95th of a hundred settings
	Dead, DeadLow, DeadHigh    int
	ClearShare, DeadShare      float64
}

// ExpectAt is what the light should show by a day of incubation in a setting of
// eggs, those that were taken out before included.
func ExpectAt(s Setting, eggs, day int) CandleExpect {
	fertility := min(1, max(0, s.Fertility))
	of := fertility * hatchShare(s)
	x := CandleExpect{ClearShare: 1 - fertility, DeadShare: (fertility - of) * deadBy(day)}
	x.Clear, x.ClearLow, x.ClearHigh = binomialSpan(eggs, x.ClearShare)
	x.Dead, x.DeadLow, x.DeadHigh = binomialSpan(eggs, x.DeadShare)
	return x
}

// hatchShare is the share of fertile eggs that hatch when the setting is not lost.
func hatchShare(s Setting) float64 {
	if s.Fertility <= 0 {
		return 0
	}
	return min(1, s.HatchWhenSpared()/s.Fertility)
}

// deadBy is the share of deaths that have happened by a day: the early ones from
// day 1 to 4, the middle ones evenly to 17, the rest on days 18 to 21.
func deadBy(day int) float64 {
	d := float64(day)
	late := deadLateShare + deadPippedShare
	return deadEarlyShare*min(1, max(0, d/4)) + deadMidShare*min(1, max(0, (d-4)/13)) + late*min(1, max(0, (d-17)/4))
}

// HatchFrom is the chance of an egg that lives on a day of incubation to hatch,
// if the setting is not lost.
func HatchFrom(s Setting, day int) float64 {
	h := hatchShare(s)
	alive := 1 - (1-h)*deadBy(day)
	if alive <= 0 {
		return 0
	}
	return h / alive
}

// LossFrom is the chance that a setting which still lives on a day is lost
// altogether before it ends: what is left of WholeSettingLoss.
func LossFrom(m Method, day int) float64 {
	return WholeSettingLoss(m) * (1 - min(1, max(0, float64(day)/Days)))
}

// binomialSpan is the usual count of n eggs with chance p, and the counts
// between which nine settings of ten lie.
func binomialSpan(n int, p float64) (usual, low, high int) {
	for low = 0; low < n && AtLeast(low+1, n, p) > 0.95; {
		low++
	}
	for high = low; high < n && AtLeast(high+1, n, p) > 0.05; {
		high++
	}
	return int(math.Round(float64(n) * p)), low, high
}

// ShareInterval is the interval of Clopper and Pearson for a share of which k out
// of n were seen: it holds the true share with at least the given confidence
// (0.9: nine times in ten). With few eggs it is wide, and says so.
func ShareInterval(k, n int, confidence float64) (low, high float64) {
	if n <= 0 {
		return 0, 1
	}
	k = min(n, max(0, k))
	tail := (1 - confidence) / 2
	low, high = 0, 1
	if k > 0 {
		low = bisect(func(p float64) bool { return AtLeast(k, n, p) < tail })
	}
	if k < n {
		high = bisect(func(p float64) bool { return 1-AtLeast(k+1, n, p) > tail })
	}
	return low, high
}

// bisect finds where below, true at 0 and false at 1, turns.
func bisect(below func(float64) bool) float64 {
	a, z := 0.0, 1.0
	for range 60 {
		m := (a + z) / 2
		if below(m) {
			a = m
		} else {
			z = m
		}
	}
	return (a + z) / 2
}

// spreadPoints are five of a standard normal with their weights (Gauss and
// Hermite), so that means of smooth functions over it are exact enough.
var spreadPoints = [...][2]float64{{-2.8569700, 0.0112574}, {-1.3556262, 0.2220759}, {0, 0.5333333}, {1.3556262, 0.2220759}, {2.8569700, 0.0112574}}

// EnoughPullets is the chance that alive eggs on a day of incubation give k
// pullets or more that live to lay: reared is the share of pullet chicks alive
// then, spread how settings differ beyond the luck of single eggs (on the scale
// of the random years, p' = p + spread z p(1-p); 0.55 is usual). The luck of each egg, the difference between settings and the loss of
// whole settings are in it.
func EnoughPullets(k, alive, day int, s Setting, reared, spread float64) float64 {
	if k <= 0 {
		return 1
	}
	p, sum := HatchFrom(s, day), 0.0
	for _, z := range spreadPoints {
		q := min(1, max(0, p+spread*z[0]*p*(1-p)))
		sum += z[1] * AtLeast(k, max(0, alive), q*(1-MaleShare)*min(1, max(0, reared)))
	}
	return min(1, sum*(1-LossFrom(s.Method, day)))
}

// ChicksFrom is the usual number of chicks out of alive eggs on a day, and the
// 10th and 90th of a hundred settings that are not lost.
func ChicksFrom(alive, day int, s Setting, spread float64) (usual float64, low, high int) {
	p := HatchFrom(s, day)
	atLeast := func(k int) float64 {
		sum := 0.0
		for _, z := range spreadPoints {
			sum += z[1] * AtLeast(k, alive, min(1, max(0, p+spread*z[0]*p*(1-p))))
		}
		return sum
	}
	for low = 0; low < alive && atLeast(low+1) > 0.90; {
		low++
	}
	for high = low; high < alive && atLeast(high+1) > 0.10; {
		high++
	}
	return float64(alive) * p, low, high
}
