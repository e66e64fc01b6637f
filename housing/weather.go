package housing

import (
	"henyear/climate"
	"henyear/measure"
)

// UsualDay is a day of the mean weather of a slot of the steady year (0 to 51) at a
// place, with half of a clear sky's sunshine on the roof.
func UsualDay(p climate.Place, slot int) DayWeather {
	year := p.Year()
	return dayOf(p, year, slot, 0, 0.5)
}

// ColdestDay is the day after the coldest night of a usual year, HottestDay the
// hottest day of one: both clear, in the week whose mean is lowest or highest. The
// night is that of Place.ExtremeMin; the afternoon lies as far above the week's mean
// high as the hottest of a season's days does (guess: twice the spread of days, which is 3 C too
// low on mild coasts).
func ColdestDay(p climate.Place) DayWeather {
	year := p.Year()
	slot := extremeSlot(year, func(a, b float64) bool { return a < b })
	return dayOf(p, year, slot, min(0, p.ExtremeMin()-year[slot].MinC), 1)
}

// HottestDay: see ColdestDay.
func HottestDay(p climate.Place) DayWeather {
	year := p.Year()
	slot := extremeSlot(year, func(a, b float64) bool { return a > b })
	return dayOf(p, year, slot, hottestSpreads*year[slot].SDHighC, 1)
}

const hottestSpreads = 2.0

func extremeSlot(year climate.Year, beyond func(a, b float64) bool) int {
	at := 0
	for slot, w := range year {
		if beyond(w.MeanC, year[at].MeanC) {
			at = slot
		}
	}
	return at
}

// dayOf shifts a week's mean day by so many degrees. The air of a hot day is drier
// and that of a cold one no damper: humidity of the whole day stays that of the week
// in cold, and its water that of the week in heat.
func dayOf(p climate.Place, year climate.Year, slot int, shiftC, clear float64) DayWeather {
	slot = (slot%measure.SlotsPerYear + measure.SlotsPerYear) % measure.SlotsPerYear
	w := year[slot]
	humidity := w.HumidityPct
	if shiftC > 0 {
		humidity *= WaterPa(w.MeanC) / WaterPa(w.MeanC+shiftC)
	}
	return DayWeather{
		LowC: w.MinC + shiftC, HighC: w.MaxC + shiftC, HumidityPct: humidity, WindMS: w.WindMS, LightH: w.SunH,
		SunWM2: clear * climate.ClearSkyWM2(climate.NoonSunDeg(p.LatitudeDeg, measure.SlotMiddle(slot))),
	}
}
