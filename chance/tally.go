package chance

import (
	"math"
	"slices"
)

// counts is a histogram of whole numbers; sums of counts do not depend on the
// order in which replicates were lived.
type counts []uint32

func (c *counts) add(n int) {
	n = max(0, n)
	for n >= len(*c) {
		*c = append(*c, make([]uint32, max(16, n+1-len(*c)))...)
	}
	(*c)[n]++
}

func (c *counts) merge(other counts) {
	for n, k := range other {
		if k == 0 {
			continue
		}
		for n >= len(*c) {
			*c = append(*c, 0)
		}
		(*c)[n] += k
	}
}

// spread reads percentiles and mean: the percentile p is the least number that at
// least the share p of the replicates does not exceed.
func (c counts) spread() Range {
	total, sum := 0.0, 0.0
	for n, k := range c {
		total += float64(k)
		sum += float64(n) * float64(k)
	}
	if total == 0 {
		return Range{}
	}
	at := func(p float64) float64 {
		seen := 0.0
		for n, k := range c {
			seen += float64(k)
			if seen >= p*total-1e-9 {
				return float64(n)
			}
		}
		return float64(len(c) - 1)
	}
	return Range{at(0.05), at(0.25), at(0.5), at(0.75), at(0.95), sum / total}
}

// spreadOf reads percentiles and mean of values, which it sorts.
func spreadOf(values []float64) Range {
	if len(values) == 0 {
		return Range{}
	}
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	slices.Sort(values)
	at := func(p float64) float64 {
		i := int(math.Ceil(p*float64(len(values))-1e-9)) - 1
		return values[max(0, min(len(values)-1, i))]
	}
	return Range{at(0.05), at(0.25), at(0.5), at(0.75), at(0.95), sum / float64(len(values))}
}

// shareError is the standard error of a share of n.
func shareError(share float64, n int) float64 {
	if n <= 0 {
		return 0
	}
	return math.Sqrt(share * (1 - share) / float64(n))
}

// weekTally gathers the weeks of many replicates.
type weekTally struct {
	eggs, hens []counts
	short      []int
	month      []counts
	monthShort []int
}

func (w *World) newWeekTally() *weekTally {
	return &weekTally{eggs: make([]counts, w.weeks), hens: make([]counts, w.weeks), short: make([]int, w.weeks),
		month: make([]counts, len(w.month)), monthShort: make([]int, len(w.month))}
}

func (k *weekTally) add(r *runner) {
	for t := range k.eggs {
		k.eggs[t].add(r.eggs[t])
		k.hens[t].add(r.layers[t])
		if r.short[t] {
			k.short[t]++
		}
	}
	for m := range k.month {
		k.month[m].add(r.monthly[m].laid)
		if r.monthly[m].lack > 0 {
			k.monthShort[m]++
		}
	}
}

func (k *weekTally) merge(o *weekTally) {
	for t := range k.eggs {
		k.eggs[t].merge(o.eggs[t])
		k.hens[t].merge(o.hens[t])
		k.short[t] += o.short[t]
	}
	for m := range k.month {
		k.month[m].merge(o.month[m])
		k.monthShort[m] += o.monthShort[m]
	}
}
