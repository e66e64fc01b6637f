package weather

import (
	"math"

	"henyear/climate"
	"henyear/measure"
)

const (
	// wholeYear is the share of days that a year needs, over all and in its coldest
	// (or warmest) three months, before its extreme counts; yearsForExtreme is how
	// many such years a mean extreme and return levels need (weather_completeness).
	wholeYear       = 0.9
	yearsForExtreme = 15
)

// Extremes are the coldest nights, or the hottest days, of the years of a record.
// Coldest nights are taken from winter to winter: 1 July to 30 June in the north,
// calendar years in the south; hottest days the other way round, so that no summer
// is cut in two.
type Extremes struct {
	Years  int          `json:"years"` // that are whole enough to count
	MeanC  float64      `json:"mean_c"`
	SDC    float64      `json:"sd_c"`
	WorstC float64      `json:"worst_c"`
	On     measure.Date `json:"on"` // of the worst
	// Levels are what is passed once in so many years on average; empty with fewer
	// than fifteen years.
	Levels []Level `json:"levels,omitempty"`
	// LSkew is the L-skewness of the yearly extremes (outward positive). The Gumbel
	// law behind Levels has 0.170; Fits tells whether the difference can be chance.
	LSkew float64 `json:"l_skew"`
	Fits  bool    `json:"fits"`
}

// A Level is the temperature that the yearly extreme passes once in Years years on
// average, with the range that holds it nine times in ten if the law holds.
type Level struct {
	Years  int     `json:"years"`
	TempC  float64 `json:"temp_c"`
	FromC  float64 `json:"from_c"`
	ToC    float64 `json:"to_c"`
	Beyond bool    `json:"beyond"` // more years than the record has: an extrapolation
}

// returnYears are the return periods reported.
var returnYears = []int{2, 5, 10, 20, 50}

// gumbel is the law of the largest of many: P(x) = exp(-exp(-(x - at)/scale)).
type gumbel struct{ at, scale float64 }

const euler = 0.5772156649015329

// gumbelOf fits the law to yearly maxima by L-moments (key weather_l_moments):
// scale = l2/ln 2, at = l1 - 0.5772 scale. It also returns the L-skewness l3/l2.
// values are sorted in place.
func gumbelOf(values []float64) (g gumbel, skew float64) {
	l1, l2, l3 := lMoments(values)
	g.scale = l2 / math.Ln2
	g.at = l1 - euler*g.scale
	if l2 > 0 {
		skew = l3 / l2
	}
	return g, skew
}

// level is what is passed once in t years (above 1).
func (g gumbel) level(t float64) float64 { return g.at + g.scale*reduced(t) }

// reduced is the standardised level -ln(-ln(1 - 1/t)).
func reduced(t float64) float64 { return -math.Log(-math.Log(1 - 1/t)) }

// levelSE is the standard error of a level fitted to n values by L-moments:
// scale sqrt((1.1128 + 0.4574 y + 0.8046 y^2)/n), y the reduced level
// (key weather_gumbel_error; a test holds it against made samples).
func (g gumbel) levelSE(t float64, n int) float64 {
	y := reduced(t)
	return g.scale * math.Sqrt((1.1128+0.4574*y+0.8046*y*y)/float64(n))
}

// Bounds of a range that holds nine in ten of normal values.
const nineInTen = 1.6449

// Standard deviation of the L-skewness of Gumbel samples, times the root of their
// number (own trial with made samples of 15 to 60, key weather_gumbel_error).
const lSkewScatter = 0.52

// yearExtremes lists the highest of values in each whole year, with its day. values
// are signed so that the highest is wanted; begins is the month with which a year
// begins, peak the middle day of the decisive quarter, in days after that.
func yearExtremes(s series, values []float64, sign float64, begins, peak int) (list []float64, days []measure.Date) {
	if len(values) == 0 {
		return nil, nil
	}
	last := s.first.AddDays(len(values) - 1)
	for year := s.first.Year - 1; year <= last.Year; year++ {
		from := monthStart(year, begins)
		to := monthStart(year+1, begins).AddDays(-1)
		if s.typical && year != typicalYear {
			continue
		}
		span := s.span(values, from, to)
		seen, seenPeak := 0, 0
		best, at := math.Inf(-1), 0
		for i, v := range span {
			if !given(v) {
				continue
			}
			seen++
			if i >= peak-45 && i < peak+45 {
				seenPeak++
			}
			if sign*v > best {
				best, at = sign*v, i
			}
		}
		if float64(seen) >= wholeYear*float64(len(span)) && float64(seenPeak) >= wholeYear*90 {
			list, days = append(list, best), append(days, from.AddDays(at))
		}
	}
	return list, days
}

// extremesOf reports on signed yearly extremes.
func extremesOf(list []float64, days []measure.Date, sign float64) *Extremes {
	if len(list) == 0 {
		return nil
	}
	mean, sd := meanSD(list)
	worst := 0
	for i, v := range list {
		if v > list[worst] {
			worst = i
		}
	}
	e := &Extremes{Years: len(list), MeanC: sign * mean, SDC: sd, WorstC: sign * list[worst], On: days[worst]}
	if len(list) < yearsForExtreme {
		return e
	}
	g, skew := gumbelOf(list)
	e.LSkew = skew
	e.Fits = math.Abs(skew-0.1699) < 2*lSkewScatter/math.Sqrt(float64(len(list)))
	for _, t := range returnYears {
		at, se := g.level(float64(t)), nineInTen*g.levelSE(float64(t), len(list))
		l := Level{Years: t, TempC: sign * at, FromC: sign * (at - se), ToC: sign * (at + se), Beyond: t > len(list)}
		if l.FromC > l.ToC {
			l.FromC, l.ToC = l.ToC, l.FromC
		}
		e.Levels = append(e.Levels, l)
	}
	return e
}

// Zone is the plant hardiness zone with the zones between which chance leaves it
// open, nine times in ten.
type Zone struct {
	Zone    string `json:"zone"`
	Coldest string `json:"coldest"`
	Warmest string `json:"warmest"`
}

// zoneOf needs fifteen winters.
func zoneOf(coldest *Extremes) *Zone {
	if coldest == nil || coldest.Years < yearsForExtreme {
		return nil
	}
	margin := nineInTen * coldest.SDC / math.Sqrt(float64(coldest.Years))
	return &Zone{climate.HardinessZone(coldest.MeanC), climate.HardinessZone(coldest.MeanC - margin), climate.HardinessZone(coldest.MeanC + margin)}
}
