package weather

import (
	"math"

	"henyear/measure"
)

// A mean of a month needs this many of its days (practice of the weather services,
// key weather_completeness).
const daysForMonth = 20

// hotDayC is the high above which a day counts as hot, as in the steady year of a
// place.
const hotDayC = 32

// monthTally gathers one month of one year.
type monthTally struct {
	sums, counts [quantities]float64
	frost, hot   float64
}

func (t *monthTally) add(d Day) {
	for q, v := range [quantities]float64{high: d.HighC, low: d.LowC, mean: d.MeanC, dew: nan, humidity: d.HumidityPct, rain: d.RainMM, wind: d.WindMS} {
		if given(v) {
			t.sums[q] += v
			t.counts[q]++
		}
	}
	if d.LowC < 0 {
		t.frost++
	}
	if d.HighC > hotDayC {
		t.hot++
	}
}

// perMonth lists the values of one month in all years that have enough days.
type perMonth struct {
	high, low, rain, humidity, wind, frost, hot []float64
}

// monthsOf makes the twelve months of the usual year from days. A month of a year
// counts with twenty days; its rain and its counts of days are scaled from the days
// there are to all of them.
func monthsOf(days []Day) (months [12]Month) {
	var lists [12]perMonth
	var t monthTally
	flush := func(year, month int) {
		l, all := &lists[month-1], float64(daysOfMonth(year, month))
		mean := func(q quantity, into *[]float64) {
			if t.counts[q] >= daysForMonth {
				*into = append(*into, t.sums[q]/t.counts[q])
			}
		}
		mean(high, &l.high)
		mean(low, &l.low)
		mean(humidity, &l.humidity)
		mean(wind, &l.wind)
		if t.counts[rain] >= daysForMonth {
			l.rain = append(l.rain, t.sums[rain]*all/t.counts[rain])
		}
		if t.counts[low] >= daysForMonth {
			l.frost = append(l.frost, t.frost*all/t.counts[low])
		}
		if t.counts[high] >= daysForMonth {
			l.hot = append(l.hot, t.hot*all/t.counts[high])
		}
		t = monthTally{}
	}
	for i, d := range days {
		if i > 0 && (d.Date.Year != days[i-1].Date.Year || d.Date.Month != days[i-1].Date.Month) {
			flush(days[i-1].Date.Year, int(days[i-1].Date.Month))
		}
		t.add(d)
	}
	if len(days) > 0 {
		last := days[len(days)-1].Date
		flush(last.Year, int(last.Month))
	}
	for m := range months {
		l := &lists[m]
		months[m] = Month{HighC: figureOf(l.high), LowC: figureOf(l.low), RainMM: figureOf(l.rain), HumidityPct: figureOf(l.humidity),
			WindMS: figureOf(l.wind), FrostNights: figureOf(l.frost), HotDays: figureOf(l.hot)}
	}
	return months
}

// months makes the usual year from a table of months: means over the last thirty
// years, or, in a table of normals, the latest.
func (c *collector) months(normals bool) (months [12]Month) {
	last := 0
	c.each(func(year, _ int, _ *cell) { last = max(last, year) })
	first := last - NormalYears + 1
	if normals {
		first = last
	}
	var lists [12][quantities][]float64
	c.each(func(year, yearDay int, at *cell) {
		if year < first {
			return
		}
		m := int(onYearDay(year, yearDay).Month) - 1
		if at.has[high] && at.has[low] && at.values[high] < at.values[low] {
			at.has[high], at.has[low] = false, false
			c.dropped.Crossed++
		}
		for q := range quantities {
			if at.has[q] {
				lists[m][q] = append(lists[m][q], at.values[q])
			}
		}
	})
	for m := range months {
		l := &lists[m]
		figure := func(q quantity) Figure {
			f := figureOf(l[q])
			if normals && f.Known() {
				f.Years = NormalYears
			}
			return f
		}
		months[m] = Month{HighC: figure(high), LowC: figure(low), RainMM: figure(rain), HumidityPct: figure(humidity), WindMS: figure(wind)}
	}
	return months
}

// Months are the twelve months of the usual year over the period in use, January
// first.
func (r *Record) Months() [12]Month {
	if r.Normals != nil {
		return *r.Normals
	}
	return monthsOf(r.used())
}

// series are the daily values of the period in use, one a day from First, NaN where
// missing.
type series struct {
	first     measure.Date
	high, low []float64
	mean      []float64
	typical   bool
}

func seriesOf(days []Day, typical bool) series {
	s := series{typical: typical}
	if len(days) == 0 {
		return s
	}
	s.first = days[0].Date
	n := days[len(days)-1].Date.DaysSince(s.first) + 1
	if typical {
		s.first = measure.Date{Year: typicalYear, Month: 1, Day: 1}
		n = 365
	}
	s.high, s.low, s.mean = missingDays(n), missingDays(n), missingDays(n)
	for _, d := range days {
		i := d.Date.DaysSince(s.first)
		s.high[i], s.low[i], s.mean[i] = d.HighC, d.LowC, d.MeanC
	}
	return s
}

func missingDays(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = math.NaN()
	}
	return v
}

// span cuts out the days from one date to another, both included; days outside the
// series are missing. A typical year repeats for ever.
func (s series) span(values []float64, from, to measure.Date) []float64 {
	out := missingDays(to.DaysSince(from) + 1)
	at := from.DaysSince(s.first)
	for i := range out {
		k := at + i
		if s.typical {
			k = ((k % 365) + 365) % 365
		}
		if k >= 0 && k < len(values) {
			out[i] = values[k]
		}
	}
	return out
}
