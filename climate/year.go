package climate

import (
	"math"

	"henyear/measure"
)

const (
	daysOfWeek = 7
	// DefaultWindMS stands in where a place gives no wind: near the mean of the
	// catalogue (guess).
	DefaultWindMS = 3.5
	hotDayC       = 32 // a high above which a day counts as hot
	keeperHotC    = 38 // the high of which keepers in hot places count days
)

// Year works out the steady year of the place: weekly means from the monthly
// normals, day lengths from the latitude, and the spread of days about the mean
// with the frost nights and hot days that follow from it. Where Stray tells a
// spread for all twelve months, it stands in for the rule, and for what the
// keeper's coldest night and hot days would make of the rule. It needs MaxC and
// MinC; humidity is estimated from the night's low where none is given, wind is
// DefaultWindMS where none is given.
func (p Place) Year() Year {
	var y Year
	high, low := weekly(p.MaxC), weekly(p.MinC)
	humidity, rain, wind := weekly(p.Humidity()), weeklyRain(p.RainMM), weekly(p.wind())
	spread := p.daySpread(high, low)
	var told Stray
	if p.Stray != nil {
		told = *p.Stray
	}
	days := orTold(told.DayC, spread)
	highs, lows, weeks := orTold(told.HighC, days), orTold(told.LowC, days), orTold(told.WeekC, [measure.SlotsPerYear]float64{})
	for i := range y {
		day := measure.SlotMiddle(i)
		w := WeekNormal{
			MeanC: (high[i] + low[i]) / 2, MaxC: high[i], MinC: low[i],
			SDDayC:      days[i],
			SDHighC:     highs[i],
			SDLowC:      lows[i],
			SDWeekC:     weeks[i],
			HumidityPct: min(100, max(1, humidity[i])),
			RainMM:      rain[i],
			WindMS:      max(0, wind[i]),
			SunH:        DayLengthH(p.LatitudeDeg, day, SunUpDeg),
			CivilH:      DayLengthH(p.LatitudeDeg, day, CivilDeg),
			WindowH:     DayLengthH(p.LatitudeDeg, day, WindowDeg),
		}
		w.FrostNights = daysOfWeek * normalBelow(0, w.MinC, w.SDLowC)
		w.HotDays = daysOfWeek * (1 - normalBelow(hotDayC, w.MaxC, w.SDHighC))
		y[i] = w
	}
	return y
}

// Humidity is the monthly relative humidity in percent over water: as given, or
// estimated month by month by taking the night's low for the dew point (FAO
// Irrigation and Drainage Paper 56, equation 48). Against the catalogue the
// estimate is right on average, with a scatter of 10 points: 10 too high in
// deserts, 5 too low in snowy winters.
func (p Place) Humidity() [12]float64 {
	h := p.HumidityPct
	for m := range h {
		if h[m] == 0 {
			high, low := vapourKPa(p.MaxC[m]), vapourKPa(p.MinC[m])
			h[m] = min(100, 100*low/((high+low)/2))
		}
	}
	return h
}

// vapourKPa is the saturation vapour pressure over water (FAO-56, equation 11).
func vapourKPa(tempC float64) float64 { return 0.6108 * math.Exp(17.27*tempC/(tempC+237.3)) }

func (p Place) wind() [12]float64 {
	w := p.WindMS
	for m := range w {
		if w[m] == 0 {
			w[m] = DefaultWindMS
		}
	}
	return w
}

// NightHumidityPct is the relative humidity over water at the night's low, when the
// air still holds the water of the day's mean: 100 at most (guess; dew takes some
// water out on clear nights).
func (w WeekNormal) NightHumidityPct() float64 {
	return min(100, w.HumidityPct*vapourKPa(w.MeanC)/vapourKPa(w.MinC))
}

// weeklyRain turns monthly totals into weekly ones. The smooth course may dip
// below zero beside a dry season; that is cut off, and the rest scaled so that
// the year's total stays.
func weeklyRain(months [12]float64) (slots [measure.SlotsPerYear]float64) {
	total, sum := 0.0, 0.0
	perDay := months
	for m := range perDay {
		total += months[m]
		perDay[m] /= monthDays[m]
	}
	slots = weekly(perDay)
	for i := range slots {
		slots[i] = max(0, slots[i]) * measure.DaysPerSlot
		sum += slots[i]
	}
	if sum > 0 {
		for i := range slots {
			slots[i] *= total / sum
		}
	}
	return slots
}

// daySpread is the standard deviation of one day's mean temperature in each
// slot. Real series of days are not part of the catalogue, so it is a rule:
//
//	coldest week  1.3 + 0.155 R, at most 8.5 C
//	warmest week  1.3 + 0.07 R + 0.1 max(0, D-8)
//
// where R is the yearly range of weekly means and D the warmest week's daily
// range (dry air swings further); weeks between lie on a line by their mean.
// It was set by eye to remembered figures (Minnesota 6.5 in January and 3.5 in
// July, London 3.5 and 2.2, Singapore about 1): a guess, good to a third.
//
// Two facts that a keeper may know correct it: the mean coldest night of the
// year (about 2.3 standard deviations below the coldest week's low, as the
// lowest of a winter's nights that hang together), and the yearly count of days
// above 38 C. The remembered extremes of the catalogue are of later, milder
// decades than its normals and are not used for this.
func (p Place) daySpread(high, low [measure.SlotsPerYear]float64) (sd [measure.SlotsPerYear]float64) {
	var mean [measure.SlotsPerYear]float64
	cold, warm := 0, 0
	for i := range mean {
		mean[i] = (high[i] + low[i]) / 2
		if mean[i] < mean[cold] {
			cold = i
		}
		if mean[i] > mean[warm] {
			warm = i
		}
	}
	rangeC := mean[warm] - mean[cold]
	coldSD := min(8.5, 1.3+0.155*rangeC)
	warmSD := 1.3 + 0.07*rangeC + 0.1*max(0, high[warm]-low[warm]-8)
	if p.keeperKnowsExtreme() {
		known := (low[cold] - p.ExtremeMinC) / nightsBelowMean
		coldSD = min(1.4*coldSD, max(0.6*coldSD, known))
	}
	spread := func(warmSD float64) [measure.SlotsPerYear]float64 {
		var sd [measure.SlotsPerYear]float64
		for i := range sd {
			u := 0.5
			if rangeC > 0 {
				u = (mean[i] - mean[cold]) / rangeC
			}
			sd[i] = coldSD + (warmSD-coldSD)*u
		}
		return sd
	}
	if p.DaysAbove38 > 0 {
		warmSD = hotTail(p.DaysAbove38, high, spread)
	}
	return spread(warmSD)
}

// The mean lowest night of a year lies this many standard deviations below the
// mean night of the coldest week: a winter holds some 40 independent nights
// (guess).
const nightsBelowMean = 2.3

// keeperKnowsExtreme reports whether the coldest night is the keeper's own figure,
// also when the rest of the place was taken from the catalogue.
func (p Place) keeperKnowsExtreme() bool {
	if p.ExtremeMinC == 0 {
		return false
	}
	if p.ExtremeSourceKey != rememberedExtreme {
		return true
	}
	places, _ := loadPlaces() // its error is Places' to report
	for _, listed := range places {
		if listed.Name == p.Name && listed.Country == p.Country {
			return listed.ExtremeMinC != p.ExtremeMinC
		}
	}
	return true
}

// rememberedExtreme is the source of the extremes in the catalogue.
const rememberedExtreme = "climate_extreme_memory"

// hotTail finds the spread of the warmest week, 0.5 to 9 C, with which the year
// has the stated number of days above 38 C. Where no spread does, the nearest
// end is returned: such a count contradicts the monthly highs.
func hotTail(days float64, high [measure.SlotsPerYear]float64,
	spread func(float64) [measure.SlotsPerYear]float64) float64 {
	count := func(warmSD float64) float64 {
		sum := 0.0
		for i, sd := range spread(warmSD) {
			sum += measure.DaysPerSlot * (1 - normalBelow(keeperHotC, high[i], sd))
		}
		return sum
	}
	least, most := 0.5, 9.0
	rising := count(most) >= count(least) // falls with the spread where the mean high is above 38
	for range 50 {
		middle := (least + most) / 2
		if (count(middle) < days) == rising {
			least = middle
		} else {
			most = middle
		}
	}
	return (least + most) / 2
}

// Season is a run of weeks of the steady year; it may pass New Year.
type Season struct {
	FirstSlot int // 0 to 51
	Weeks     int // 0 none, 52 all year
}

// longestRun finds the longest run of slots that fit, round the year's end.
func (y Year) longestRun(fits func(WeekNormal) bool) Season {
	best := Season{}
	for first := range y {
		if fits(y[(first+len(y)-1)%len(y)]) {
			continue // not the beginning of a run
		}
		n := 0
		for n < len(y) && fits(y[(first+n)%len(y)]) {
			n++
		}
		if n > best.Weeks {
			best = Season{first, n}
		}
	}
	if best.Weeks == 0 && fits(y[0]) {
		return Season{0, len(y)}
	}
	return best
}

// GrassGrows is the longest run of weeks with a daily mean of at least 5 C,
// below which grass stands still (common practice).
func (y Year) GrassGrows() Season {
	return y.longestRun(func(w WeekNormal) bool { return w.MeanC >= 5 })
}

// FrostFree is the longest run of weeks that see a night below 0 C in fewer
// than one year in two.
func (y Year) FrostFree() Season {
	return y.longestRun(func(w WeekNormal) bool { return w.FrostNights < 0.5 })
}
