package weather

import (
	"math"

	"henyear/climate"
	"henyear/measure"
)

// A Summary is what a keeper wants to know of a weather file, in metric units.
type Summary struct {
	Format   int          `json:"format"`
	Kind     Kind         `json:"kind"`
	Name     string       `json:"name"`
	Station  string       `json:"station"`
	At       *Location    `json:"at,omitempty"`
	Typical  bool         `json:"typical"`
	From     measure.Date `json:"from,omitzero"` // of the period in use
	To       measure.Date `json:"to,omitzero"`
	FileFrom measure.Date `json:"file_from,omitzero"` // first and last day of the file
	FileTo   measure.Date `json:"file_to,omitzero"`
	Southern bool         `json:"southern"`

	Coverage []Coverage `json:"coverage,omitempty"`
	Gap      *Gap       `json:"longest_gap,omitempty"`
	Dropped  Dropped    `json:"dropped"`

	Months  [12]Month `json:"months"`
	Weeks   []Week    `json:"weeks,omitempty"` // 52, or none
	Spread  *Spread   `json:"spread,omitempty"`
	Coldest *Extremes `json:"coldest,omitempty"`
	Hottest *Extremes `json:"hottest,omitempty"`
	Zone    *Zone     `json:"zone,omitempty"`
	Class   string    `json:"class,omitempty"` // needs twelve months of high, low and rain
	Frost   *Frost    `json:"frost,omitempty"`
	Heat    *Heat     `json:"heat,omitempty"`
	Trend   *Trend    `json:"trend,omitempty"`
	Notes   []Note    `json:"notes"`
}

// Coverage is how complete a year of the file is.
type Coverage struct {
	Year int  `json:"year"`
	Days int  `json:"days"` // with both high and low
	Of   int  `json:"of"`
	Rain int  `json:"rain"` // with rain
	Used bool `json:"used"` // lies in the period in use
}

// Gap is the longest run of days without high and low inside the period in use.
type Gap struct {
	From measure.Date `json:"from"`
	Days int          `json:"days"`
}

// Week is one slot of the steady year as measured: means over all its days in the
// period in use.
type Week struct {
	Days        int     `json:"days"` // with high and low
	HighC       float64 `json:"high_c"`
	LowC        float64 `json:"low_c"`
	MeanC       float64 `json:"mean_c"`
	CourseC     float64 `json:"course_c"` // the smooth course of the mean through the months
	FrostNights float64 `json:"frost_nights"`
	HotDays     float64 `json:"hot_days"`
}

// Trend is the warming of the record: a straight line through yearly means, with the
// standard error of its slope. It needs fifteen years of 330 days.
type Trend struct {
	CADecade float64 `json:"c_a_decade"`
	SE       float64 `json:"se"`
	Years    int     `json:"years"`
}

// southern tells the hemisphere by the latitude, or by the warmer half of the year.
func (r *Record) southern(months [12]Month) bool {
	if r.At != nil {
		return r.At.LatitudeDeg < 0
	}
	sum := 0.0
	for m, month := range months {
		if month.HighC.Known() {
			sum += month.HighC.Value * math.Cos(2*math.Pi*(float64(m)+0.5-0.7)/12)
		}
	}
	return sum > 0
}

// Summary sums up the period in use. What the file cannot tell is left out, and
// Notes says so.
func (r *Record) Summary() *Summary {
	months := r.Months()
	s := &Summary{Format: 1, Kind: r.Kind, Name: r.Name, Station: r.Station, At: r.At, Typical: r.Typical, From: r.From, To: r.To,
		Southern: r.southern(months), Dropped: r.Dropped, Months: months}
	s.Notes = append(s.Notes, r.Notes...)
	if class, ok := classOf(months); ok {
		s.Class = class
	}
	days := r.used()
	if len(r.Days) > 0 {
		s.FileFrom, s.FileTo = r.Days[0].Date, r.Days[len(r.Days)-1].Date
		s.Coverage = r.coverage()
	}
	if len(days) == 0 {
		s.sayWhatLacks(r)
		return s
	}
	values := seriesOf(days, r.Typical)
	s.Weeks = weeksOf(days, months)
	s.Gap = longestGap(values)
	winter, summer := 7, 1
	if s.Southern {
		winter, summer = summer, winter
	}
	list, on := yearExtremes(values, values.low, -1, winter, peakAfter(winter))
	s.Coldest = extremesOf(list, on, -1)
	list, on = yearExtremes(values, values.high, 1, summer, peakAfter(summer))
	s.Hottest = extremesOf(list, on, 1)
	if !r.Typical {
		s.Zone = zoneOf(s.Coldest)
		s.Trend = trendOf(days)
	}
	s.Frost, s.Heat = frostOf(values, s.Southern), heatOf(values, s.Southern)
	var err error
	if s.Spread, err = r.Spread(); err != nil {
		s.Notes = append(s.Notes, err.(*Refusal).Note)
	}
	s.sayWhatLacks(r)
	return s
}

// peakAfter is the middle of July or January in days after the month with which a
// year begins.
func peakAfter(begins int) int {
	if begins == 7 {
		return 198
	}
	return 195
}

// classOf is the climate class of twelve months; it needs high, low and rain of all.
func classOf(months [12]Month) (string, bool) {
	p, ok := placeOf(months)
	for _, m := range months {
		ok = ok && m.RainMM.Known()
	}
	if !ok {
		return "", false
	}
	return climate.Koppen(p), true
}

func (r *Record) coverage() []Coverage {
	var list []Coverage
	for _, d := range r.Days {
		if len(list) == 0 || list[len(list)-1].Year != d.Date.Year {
			list = append(list, Coverage{Year: d.Date.Year, Of: daysOfYear(d.Date.Year), Used: d.Date.Year >= r.From.Year && d.Date.Year <= r.To.Year})
		}
		at := &list[len(list)-1]
		if given(d.HighC) && given(d.LowC) {
			at.Days++
		}
		if given(d.RainMM) {
			at.Rain++
		}
	}
	return list
}

func longestGap(s series) *Gap {
	var worst Gap
	run := 0
	for i := range s.high {
		if given(s.high[i]) && given(s.low[i]) {
			run = 0
			continue
		}
		if run++; run > worst.Days {
			worst = Gap{s.first.AddDays(i - run + 1), run}
		}
	}
	if worst.Days == 0 {
		return nil
	}
	return &worst
}

func weeksOf(days []Day, months [12]Month) []Week {
	type tally struct{ high, low, n, highs, lows, frost, hot float64 }
	var sums [slots]tally
	for _, d := range days {
		t := &sums[slotOf(d.Date.YearDay()-1)]
		if given(d.HighC) && given(d.LowC) {
			t.high += d.HighC
			t.low += d.LowC
			t.n++
		}
		if given(d.LowC) {
			t.lows++
			if d.LowC < 0 {
				t.frost++
			}
		}
		if given(d.HighC) {
			t.highs++
			if d.HighC > hotDayC {
				t.hot++
			}
		}
	}
	mean, _, _, ok := coursesOf(months)
	if !ok {
		return nil
	}
	weeks := make([]Week, slots)
	for i, t := range sums {
		if t.n == 0 {
			return nil
		}
		weeks[i] = Week{Days: int(t.n), HighC: t.high / t.n, LowC: t.low / t.n, MeanC: (t.high + t.low) / t.n / 2, CourseC: mean[i],
			FrostNights: t.frost / t.lows * measure.DaysPerSlot, HotDays: t.hot / t.highs * measure.DaysPerSlot}
	}
	return weeks
}

func trendOf(days []Day) *Trend {
	var years, means []float64
	sum, n := 0.0, 0
	for i, d := range days {
		if given(d.MeanC) {
			sum += d.MeanC
			n++
		}
		if i == len(days)-1 || days[i+1].Date.Year != d.Date.Year {
			if n >= 330 {
				years, means = append(years, float64(d.Date.Year)), append(means, sum/float64(n))
			}
			sum, n = 0, 0
		}
	}
	if len(years) < yearsForTrust {
		return nil
	}
	slope, se := line(years, means)
	return &Trend{10 * slope, 10 * se, len(years)}
}

// line is the slope of the least squares line, and its standard error.
func line(x, y []float64) (slope, se float64) {
	mx, _ := meanSD(x)
	my, _ := meanSD(y)
	var xx, xy, rest float64
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx)
		xy += (x[i] - mx) * (y[i] - my)
	}
	slope = xy / xx
	for i := range x {
		off := y[i] - my - slope*(x[i]-mx)
		rest += off * off
	}
	return slope, math.Sqrt(rest / float64(len(x)-2) / xx)
}
