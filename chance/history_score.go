package chance

import "math"

// A Tally counts how many counted rates lie in the ranges.
type Tally struct {
	N, In50, In90 int
	Flocks        int // histories they come from
	FlockYears    int // histories times calendar years, the number that is nearly independent
}

// Share50 and Share90 are percent of N.
func (t Tally) Share50() float64 { return 100 * float64(t.In50) / float64(t.N) }
func (t Tally) Share90() float64 { return 100 * float64(t.In90) / float64(t.N) }

// TallyOf counts the casts of one span in the histories that keep accepts.
func TallyOf(casts []HistoryCast, span Span, keep func(*History) bool) Tally {
	var t Tally
	for _, h := range casts {
		if !keep(h.History) {
			continue
		}
		years := map[int]bool{}
		for _, c := range h.Casts {
			if c.Count.Span != span {
				continue
			}
			t.N++
			if c.In50() {
				t.In50++
			}
			if c.In90() {
				t.In90++
			}
			years[c.Count.From.Year] = true
		}
		t.FlockYears += len(years)
		if len(years) > 0 {
			t.Flocks++
		}
	}
	return t
}

// leastMedianPct: rows whose simulated median is lower tell nothing by a ratio.
const leastMedianPct = 10

// ratio is ln(counted rate / simulated median); ok is false where a ratio tells
// nothing.
func (c Cast) ratio() (r float64, ok bool) {
	counted := c.Count.HenDayPct()
	return math.Log(counted / c.Pct.P50), counted > 0 && c.Pct.P50 >= leastMedianPct
}

// ownRatio is the same of one replicate in place of the counted rate. A
// replicate without hens or eggs counts as half a percent.
func (c Cast) ownRatio(replicate int) float64 {
	rate := c.rates[replicate]
	if !(rate > 0.5) {
		rate = 0.5
	}
	return math.Log(rate / c.Pct.P50)
}

// Moments are variances of ln(counted / simulated) and what of them the
// simulation without shared luck has of its own; docs/models/chance.md explains
// the rule.
type Moments struct {
	Year, OwnYear           float64 // between the years of one keeper
	Month, OwnMonth         float64 // between the months of one year of a flock
	Household, OwnHousehold float64 // between the means of flocks
	Level                   float64 // mean over flocks of ln(counted / simulated)
	YearDF, MonthDF, Flocks int
}

// MomentsOf reckons them from casts made without shared luck.
func MomentsOf(casts []HistoryCast, keep func(*History) bool) Moments {
	var m Moments
	var years, months []cluster
	var flocks []flockMean
	for _, h := range casts {
		if !keep(h.History) {
			continue
		}
		y := clusterOf(h.Casts, WholeYear, func(Count) int { return 0 })
		if len(y) > 0 && len(y[0]) >= 3 {
			years = append(years, y...)
		}
		mo := clusterOf(h.Casts, OneMonth, func(c Count) int { return c.From.Year })
		months = append(months, mo...)
		flocks = append(flocks, meanOf(y, mo)...)
	}
	m.Year, m.OwnYear, m.YearDF = pooled(years)
	m.Month, m.OwnMonth, m.MonthDF = pooled(months)
	m.household(flocks)
	return m
}

// Spread turns the moments into coefficients of variation, rounded to 0.05: the
// household's, the year's and that of spells, which keep so much of their
// deviation from one to the next.
func (m Moments) Spread(spellMemory float64) (householdCV, yearCV, spellCV float64) {
	spells := m.Month - m.OwnMonth
	year := m.Year - m.OwnYear - max(0, spells)*meanOfSpells(52/spellWeeks, spellMemory)
	return cvOf(m.Household - m.OwnHousehold), cvOf(year), cvOf(spells)
}

// meanOfSpells is the variance of the mean of n spells, each of variance 1.
func meanOfSpells(n int, memory float64) float64 {
	sum := float64(n)
	for k := 1; k < n; k++ {
		sum += 2 * float64(n-k) * math.Pow(memory, float64(k))
	}
	return sum / float64(n*n)
}

// leastCV stands where no variance is left.
const leastCV = 0.10

func cvOf(variance float64) float64 {
	if variance <= 0 {
		return leastCV
	}
	return max(0.05, math.Round(math.Sqrt(math.Expm1(variance))/0.05)*0.05)
}

// cluster is rows that share a mean.
type cluster []Cast

func clusterOf(casts []Cast, span Span, by func(Count) int) []cluster {
	var list []cluster
	at := map[int]int{}
	for _, c := range casts {
		if _, ok := c.ratio(); !ok || c.Count.Span != span {
			continue
		}
		k := by(c.Count)
		i, seen := at[k]
		if !seen {
			i = len(list)
			at[k] = i
			list = append(list, nil)
		}
		list[i] = append(list[i], c)
	}
	return list
}

// pooled is the variance within clusters, counted and the simulation's own,
// pooled by degrees of freedom.
func pooled(list []cluster) (counted, own float64, df int) {
	for _, k := range list {
		if len(k) < 2 {
			continue
		}
		df += len(k) - 1
		counted += squaresAbout(k, func(c Cast) float64 { r, _ := c.ratio(); return r })
		replicates := len(k[0].rates)
		for i := range replicates {
			own += squaresAbout(k, func(c Cast) float64 { return c.ownRatio(i) }) / float64(replicates)
		}
	}
	if df == 0 {
		return 0, 0, 0
	}
	return counted / float64(df), own / float64(df), df
}

func squaresAbout(k cluster, of func(Cast) float64) float64 {
	mean, sum := meanIn(k, of), 0.0
	for _, c := range k {
		sum += (of(c) - mean) * (of(c) - mean)
	}
	return sum
}

func meanIn(k cluster, of func(Cast) float64) float64 {
	sum := 0.0
	for _, c := range k {
		sum += of(c)
	}
	return sum / float64(len(k))
}

// flockMean is the mean ratio of a flock, the variance that the simulation
// gives such a mean, and in how many years and months it is spread.
type flockMean struct {
	r, own        float64
	years, months int // months 0: the mean is over whole years
}

func meanOf(years, months []cluster) []flockMean {
	f := flockMean{years: len(months)}
	var rows cluster
	if len(years) > 0 {
		rows, f.years = years[0], len(years[0])
	} else {
		for _, k := range months {
			rows = append(rows, k...)
			f.months += len(k)
		}
	}
	if len(rows) == 0 {
		return nil
	}
	f.r = meanIn(rows, func(c Cast) float64 { r, _ := c.ratio(); return r })
	replicates := len(rows[0].rates)
	mean, square := 0.0, 0.0
	for i := range replicates {
		v := meanIn(rows, func(c Cast) float64 { return c.ownRatio(i) })
		mean += v / float64(replicates)
		square += v * v / float64(replicates)
	}
	f.own = square - mean*mean
	return []flockMean{f}
}

// household is the variance between flock means, and what years, months and the
// simulation's own luck leave in such a mean.
func (m *Moments) household(flocks []flockMean) {
	n := float64(len(flocks))
	m.Flocks = len(flocks)
	if n < 2 {
		return
	}
	for _, f := range flocks {
		m.Level += f.r / n
	}
	year, month := max(0, m.Year-m.OwnYear), max(0, m.Month-m.OwnMonth)
	for _, f := range flocks {
		m.Household += (f.r - m.Level) * (f.r - m.Level) / (n - 1)
		own := f.own + year/float64(f.years)
		if f.months > 0 {
			own += month / float64(f.months)
		}
		m.OwnHousehold += own / n
	}
}
