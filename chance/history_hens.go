package chance

import (
	"context"
	"math"

	"henyear/measure"
)

// Single hens, to see how far the hens of one flock lie apart: a flock of one hen,
// lived many times without shared luck, is as many hens.

// singleHens lives one hen of each group so many times for each of its hens, and
// returns the eggs that each lays between two days, both included. Hens that
// are gone before the last week are left out, as in records that count hens by name.
func (h *History) singleHens(from, to measure.Date, times int) ([]float64, error) {
	first, last := measure.WeekOf(from), measure.WeekOf(to)
	days := Count{From: from, To: to}
	flock := h.bare(first, last)
	var eggs []float64
	for i, g := range flock.Groups {
		one := *flock
		one.Groups = []BareGroup{g}
		one.Groups[0].Number = 1
		if g.To == last {
			one.Groups[0].To++ // she is counted to the end of the record
		}
		res, err := one.Run(context.Background(), Options{Replicates: times * g.Number, Seed: historySeed + uint64(i)})
		if err != nil {
			return nil, err
		}
		for r, hens := range res.Hens[len(res.Hens)-1] {
			if hens == 1 {
				eggs = append(eggs, eggsIn(res, first, days, r))
			}
		}
	}
	return eggs, nil
}

// eggsIn is the eggs of a replicate in the days of a count; from is the week of
// the first row.
func eggsIn(res *BareResult, from measure.Week, c Count, replicate int) float64 {
	eggs := 0.0
	for w := measure.WeekOf(c.From); w <= measure.WeekOf(c.To); w++ {
		eggs += float64(res.Eggs[w-from][replicate]) * daysIn(w, c) / 7
	}
	return eggs
}

// cvPct is the standard deviation, percent of the mean.
func cvPct(x []float64) float64 {
	mean, sum := 0.0, 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sum += (v - mean) * (v - mean)
	}
	return 100 * math.Sqrt(sum/float64(len(x)-1)) / mean
}
