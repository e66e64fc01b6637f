package climate

import (
	"math"

	"henyear/measure"
	"henyear/source"
)

// How the figures of a place are reckoned, for a reader who opens one; a test
// reckons each again from the inputs shown.

// ExtremeWorking is the coldest night of a usual year: as told, or reckoned from
// the coldest month.
func (p Place) ExtremeWorking() source.Working {
	const code = "coldest-night"
	if p.ExtremeMinC != 0 {
		key := p.ExtremeSourceKey
		if key == "" {
			key = "practice"
		}
		return source.NewWorking(code, "as told: the mean of the coldest night of each year", "about 2 C either way", nil, source.Given("coldest night", p.ExtremeMinC, "C", key))
	}
	low := p.MinC[0]
	for _, c := range p.MinC {
		low = min(low, c)
	}
	return source.NewWorking(code, "coldest night = -8.1 + 1.22 x lowest mean low of a month", "2.7 C either way", []string{"climate_extreme_fit"},
		source.Given("lowest mean low", low, "C", p.SourceKey))
}

// ZoneWorking is the hardiness zone.
func (p Place) ZoneWorking() source.Working {
	return source.NewWorking("hardiness-zone", "zone 1 begins at -60 F, each zone is 10 F, halves a and b 5 F each; by the coldest night of a usual year", "", []string{"usda_zones"},
		source.Given("coldest night", p.ExtremeMin(), "C"), source.Given("coldest night", measure.CtoF(p.ExtremeMin()), "F"))
}

// ClassWorking is the climate class.
func (p Place) ClassWorking() source.Working {
	year, rain, cold, hot := 0.0, 0.0, 99.0, -99.0
	for m := range 12 {
		mean := (p.MaxC[m] + p.MinC[m]) / 2
		year += mean / 12
		rain += p.RainMM[m]
		cold, hot = min(cold, mean), max(hot, mean)
	}
	return source.NewWorking("climate-class", "Koppen-Geiger class from the means of the months (high plus low over two) and rain, by the table of Peel and others", "", []string{"peel_2007"},
		source.Given("mean of the year", year, "C"), source.Given("coldest month", cold, "C"), source.Given("warmest month", hot, "C"), source.Given("rain of the year", rain, "mm"))
}

// FrostWorking is the nights of frost of a week, HotWorking the hot days.
func (w WeekNormal) FrostWorking() source.Working {
	return source.NewWorking("frost-nights", "nights of frost in a week = 7 x the chance that a low, normal about the usual low, is below 0 C; the year is the sum of 52 weeks", "good to a third", []string{"climate_spread"},
		source.Given("usual low of the week", w.MinC, "C"), source.Given("spread of nights", w.lowSpread(), "K"))
}

// HotWorking: see FrostWorking.
func (w WeekNormal) HotWorking() source.Working {
	return source.NewWorking("hot-days", "hot days in a week = 7 x the chance that a high, normal about the usual high, is above 32 C; the year is the sum of 52 weeks", "good to a third", []string{"climate_spread"},
		source.Given("usual high of the week", w.MaxC, "C"), source.Given("spread of days", w.highSpread(), "K"))
}

// The spreads of a week; a week made without them has one for all.
func (w WeekNormal) lowSpread() float64  { return orElse(w.SDLowC, w.SDDayC) }
func (w WeekNormal) highSpread() float64 { return orElse(w.SDHighC, w.SDDayC) }

// DayLengthWorking is how long the sun stands above an altitude in a slot.
func DayLengthWorking(latitudeDeg float64, slot int, sunDeg float64) source.Working {
	keys := []string{"noaa_solar"}
	if sunDeg != SunUpDeg && sunDeg != CivilDeg {
		keys = append(keys, "hen_day_light")
	}
	day := measure.SlotMiddle(slot)
	return source.NewWorking("day-length", "day = 2/15 x arccos((sin altitude - sin latitude x sin declination) / (cos latitude x cos declination)), degrees; 0 or 24 hours where there is no such angle",
		"within two minutes up to 65 degrees", keys,
		source.Given("latitude", latitudeDeg, "degrees"), source.Given("day of the year", float64(day), ""), source.Given("altitude of the sun", sunDeg, "degrees"),
		source.Given("declination of the sun", declinationDeg(day), "degrees"))
}

// declinationDeg is how far the sun stands north of the equator on a day of a usual
// year.
func declinationDeg(day int) float64 {
	return math.Asin(commonYear[(day-1)%365].sinDecl) * 180 / math.Pi
}

// LampsWorking is the power that a year of lamps takes.
func (l Lamps) LampsWorking() source.Working {
	y := l.Year()
	return source.NewWorking("lamp-power", "lamp = day held - day of the sun, each day of the year; kWh = watts / 1000 x lamp hours", "", []string{"lamps_cornell", "lamps_practice", "lamps_organic", "noaa_solar"},
		source.Given("day held", l.dayH(), "h"), source.Given("lamp hours", y.HoursOn, "h a year"), source.Given("watts", l.watts(), "W", "lamps_practice"), source.Given("floor", l.FloorM2, "m2"))
}
