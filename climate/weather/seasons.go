package weather

import (
	"math"
	"slices"
	"time"

	"henyear/measure"
)

// Frost is when nights fall below 0 C. Dates are days of the growing year, which
// begins on 1 January in the north and on 1 July in the south, told as a date of a
// common year.
type Frost struct {
	NightsAYear Figure `json:"nights_a_year"`  // low below 0 C
	HardAYear   Figure `json:"hard_a_year"`    // low below -10 C
	Years       int    `json:"years"`          // growing years whole enough to count
	FreeYears   int    `json:"frost_free"`     // of them without any frost
	Last        *Dates `json:"last,omitempty"` // last frost before midsummer
	First       *Dates `json:"first,omitempty"`
	// SeasonDays is the run of days between them.
	SeasonDays Figure `json:"season_days"`
	// GrowingDays is the growing season by warmth: from the first run of six days with
	// a mean above 5 C to the first run of six days below it in the second half of the
	// growing year.
	GrowingDays Figure `json:"growing_days"`
}

// Dates is a date that moves from year to year. In one year of ten it is Early or
// earlier, in one of ten Late or later.
type Dates struct {
	Early  string `json:"early"` // month and day, 05-12
	Median string `json:"median"`
	Late   string `json:"late"`
	Years  int    `json:"years"`
}

const (
	hardFrostC    = -10
	growingC      = 5
	growingRun    = 6
	heatWaveHighC = 32
	heatWaveDays  = 3
)

// Heat is how hot days come together. A heat wave is a run of three days or more
// with highs above 32 C, the high at which this program begins to count heat for
// hens; a missing day ends a run.
type Heat struct {
	HotDaysAYear  Figure       `json:"hot_days_a_year"` // high above 32 C
	Above38AYear  Figure       `json:"above_38_a_year"`
	WavesAYear    Figure       `json:"waves_a_year"`
	WaveDaysAYear Figure       `json:"wave_days_a_year"`
	LongestDays   int          `json:"longest_days"`
	LongestFrom   measure.Date `json:"longest_from,omitzero"`
}

// growingYears cuts a series into growing years that have nine days in ten. Each is
// 365 days: 31 December, or 30 June, of a leap year is left off.
func growingYears(s series, values []float64, southern bool) (years [][]float64, starts []measure.Date) {
	if len(values) == 0 {
		return nil, nil
	}
	begins := 1
	if southern {
		begins = 7
	}
	last := s.first.AddDays(len(values) - 1)
	for year := s.first.Year - 1; year <= last.Year; year++ {
		if s.typical && year != typicalYear {
			continue
		}
		from := monthStart(year, begins)
		span := s.span(values, from, from.AddDays(364))
		if seenShare(span) >= wholeYear {
			years, starts = append(years, span), append(starts, from)
		}
	}
	return years, starts
}

func monthStart(year, month int) measure.Date {
	return measure.Date{Year: year, Month: time.Month(month), Day: 1}
}

func seenShare(values []float64) float64 {
	seen := 0.0
	for _, v := range values {
		if given(v) {
			seen++
		}
	}
	return seen / float64(len(values))
}

// countDays counts the days of a year that fit, scaled from those known to all.
func countDays(year []float64, fits func(float64) bool) float64 {
	n := 0.0
	for _, v := range year {
		if given(v) && fits(v) {
			n++
		}
	}
	return n / seenShare(year)
}

// midsummer is the day of the growing year that parts its two halves: the middle
// of July, and of January in the south.
const midsummer = 196

func frostOf(s series, southern bool) *Frost {
	years, _ := growingYears(s, s.low, southern)
	if len(years) == 0 {
		return nil
	}
	f := &Frost{Years: len(years)}
	var nights, hard, season, firsts, lasts []float64
	for _, y := range years {
		nights = append(nights, countDays(y, func(v float64) bool { return v < 0 }))
		hard = append(hard, countDays(y, func(v float64) bool { return v < hardFrostC }))
		last, first := -1, len(y)
		for i, v := range y {
			if v < 0 && i < midsummer {
				last = i
			}
			if v < 0 && i >= midsummer {
				first = i
				break
			}
		}
		if last >= 0 {
			lasts = append(lasts, float64(last))
		}
		if first < len(y) {
			firsts = append(firsts, float64(first))
		}
		if last < 0 && first == len(y) {
			f.FreeYears++
		}
		season = append(season, float64(first-last-1))
	}
	f.NightsAYear, f.HardAYear, f.SeasonDays = figureOf(nights), figureOf(hard), figureOf(season)
	f.Last, f.First = datesOf(lasts, southern), datesOf(firsts, southern)
	means, _ := growingYears(s, s.mean, southern)
	var growing []float64
	for _, y := range means {
		growing = append(growing, growingSeason(y))
	}
	f.GrowingDays = figureOf(growing)
	return f
}

// growingSeason is the number of days from the first run of six days above 5 C to
// the first run of six days below 5 C after the middle of the year (key
// weather_growing_season). A missing day ends a run.
func growingSeason(year []float64) float64 {
	start, run := -1, 0
	for i, v := range year {
		if run++; !(v > growingC) {
			run = 0
		}
		if run == growingRun {
			start = i - growingRun + 1
			break
		}
	}
	if start < 0 {
		return 0
	}
	const half = 181 // the second half of the year begins
	run = 0
	for i := half; i < len(year); i++ {
		if run++; !(year[i] < growingC) {
			run = 0
		}
		if run == growingRun {
			return float64(max(0, i-growingRun+1-start))
		}
	}
	return float64(len(year) - start)
}

// datesOf sums up days of the growing year; nil without any.
func datesOf(days []float64, southern bool) *Dates {
	if len(days) == 0 {
		return nil
	}
	slices.Sort(days)
	at := func(share float64) string {
		day := int(math.Round(quantile(days, share)))
		if southern {
			day = (day + 181) % 365 // from 1 July
		}
		return onYearDay(typicalYear, day).String()[5:]
	}
	return &Dates{at(0.1), at(0.5), at(0.9), len(days)}
}

// quantile of sorted values, on a line between them; 0 without any.
func quantile(sorted []float64, share float64) float64 {
	if len(sorted) == 0 {
		return 0
	}
	at := share * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}

func heatOf(s series, southern bool) *Heat {
	years, starts := growingYears(s, s.high, southern)
	if len(years) == 0 {
		return nil
	}
	h := &Heat{}
	var hot, above38, waves, waveDays []float64
	for k, y := range years {
		hot = append(hot, countDays(y, func(v float64) bool { return v > heatWaveHighC }))
		above38 = append(above38, countDays(y, func(v float64) bool { return v > 38 }))
		n, inWaves := 0.0, 0.0
		run := 0
		end := func(i int) {
			if run >= heatWaveDays {
				n++
				inWaves += float64(run)
				if run > h.LongestDays {
					h.LongestDays, h.LongestFrom = run, starts[k].AddDays(i-run)
				}
			}
			run = 0
		}
		for i, v := range y {
			if v > heatWaveHighC {
				run++
			} else {
				end(i)
			}
		}
		end(len(y))
		waves, waveDays = append(waves, n), append(waveDays, inWaves)
	}
	h.HotDaysAYear, h.Above38AYear = figureOf(hot), figureOf(above38)
	h.WavesAYear, h.WaveDaysAYear = figureOf(waves), figureOf(waveDays)
	return h
}
