package climate

import (
	"math"
	"sync"

	"henyear/measure"
)

// From months to weeks. A monthly normal is a mean over about thirty days, so a
// line through the middles of the months would cut the tops off summer and
// winter. Instead the 52 slots of the steady year take the smoothest closed
// course (least sum of squared second differences) whose mean over every month,
// counting each slot by the days that it shares with the month, is the monthly
// normal exactly. That course is linear in the twelve normals: a table of
// 52 x 12 weights, worked out once.
var slotWeights = sync.OnceValue(func() (w [measure.SlotsPerYear][12]float64) {
	const slots = measure.SlotsPerYear
	const unknowns = slots + 12 // slot values, then one multiplier a month
	share := monthShares()
	// Rows: derivative for each slot, then the twelve conditions; the twelve
	// columns after the unknowns are the unit right-hand sides.
	var a [unknowns][unknowns + 12]float64
	for i := range slots {
		for k, weight := range [5]float64{1, -4, 6, -4, 1} {
			a[i][(i+k-2+slots)%slots] += 2 * weight
		}
		for m := range 12 {
			a[i][slots+m] = share[m][i]
			a[slots+m][i] = share[m][i]
		}
	}
	for m := range 12 {
		a[slots+m][unknowns+m] = 1
	}
	eliminate(a[:])
	for i := range slots {
		copy(w[i][:], a[i][unknowns:])
	}
	return w
})

// eliminate turns the square part of the rows into the identity (Gauss and
// Jordan, with row exchange).
func eliminate(a [][measure.SlotsPerYear + 24]float64) {
	for c := range a {
		best := c
		for r := c + 1; r < len(a); r++ {
			if math.Abs(a[r][c]) > math.Abs(a[best][c]) {
				best = r
			}
		}
		a[c], a[best] = a[best], a[c]
		pivot := a[c][c]
		for k := range a[c] {
			a[c][k] /= pivot
		}
		for r := range a {
			if f := a[r][c]; r != c && f != 0 {
				for k := range a[r] {
					a[r][k] -= f * a[c][k]
				}
			}
		}
	}
}

// Days of a month in the mean calendar year.
var monthDays = [12]float64{31, 28.2425, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// monthShares says which share of each month's days lies in each slot.
func monthShares() (share [12][measure.SlotsPerYear]float64) {
	begin := 0.0
	for m, days := range monthDays {
		for i := range measure.SlotsPerYear {
			from := max(begin, float64(i)*measure.DaysPerSlot)
			to := min(begin+days, float64(i+1)*measure.DaysPerSlot)
			share[m][i] = max(0, to-from) / days
		}
		begin += days
	}
	return share
}

// weekly spreads twelve monthly means over the slots of the steady year.
func weekly(months [12]float64) (slots [measure.SlotsPerYear]float64) {
	w := slotWeights()
	for i := range slots {
		for m, v := range months {
			slots[i] += w[i][m] * v
		}
	}
	return slots
}

// normalBelow is the chance that a normal variable lies below x. Without spread
// it is a step.
func normalBelow(x, mean, sd float64) float64 {
	if sd <= 0 {
		if x > mean {
			return 1
		}
		return 0
	}
	return 0.5 * math.Erfc((mean-x)/(sd*math.Sqrt2))
}
