package housing

import (
	"henyear/climate"
)

// WinterWeek is a week of the year's cold end with every bird shut in.
type WinterWeek struct {
	Slot        int // of the steady year
	LowC, HighC float64
	Vent        VentStep // for the usual night of the week
	Day         Inside   // at the mean of the day, vents as by night
	LitterPct   float64  // moisture of the bed at the end of the week
	Ammonia     Ammonia
}

// ConfinedWinter is the air of the coldest run of weeks (1 to 52) of a place's year
// with all birds inside, day and night, and what becomes of a litter bed that is
// neither changed nor topped up. Vents stand as VentStepAt advises for each night.
func ConfinedWinter(c Coop, birds []Occupant, year climate.Year, weeks int, bed Litter) []WinterWeek {
	weeks = min(len(year), max(1, weeks))
	first := coldest(year, weeks)
	var winter []WinterWeek
	for i := range weeks {
		slot := (first + i) % len(year)
		n := year[slot]
		w := WinterWeek{Slot: slot, LowC: n.MinC, HighC: n.MaxC}
		wind := n.WindMS
		if wind == 0 {
			wind = -1
		}
		w.Vent = VentStepAt(c, birds, n.MinC, VentWeather{WindMS: wind, SunWM2: -1,
			HumidityPct: func(float64) float64 { return n.NightHumidityPct() }})
		w.Day = c.AtOpening(Weather{OutC: n.MeanC, HumidityPct: n.HumidityPct, WindMS: n.WindMS}, birds, w.Vent.OpenM2, 1)
		for range 7 {
			bed.MoisturePct = bed.step(c, birds, w.Day).MoisturePct
		}
		w.LitterPct = bed.MoisturePct
		w.Ammonia = AmmoniaOf(w.Day, bed.MoisturePct)
		winter = append(winter, w)
	}
	return winter
}

// coldest is the first slot of the run of weeks with the lowest mean.
func coldest(year climate.Year, weeks int) int {
	best, bestSum := 0, 0.0
	for first := range year {
		sum := 0.0
		for i := range weeks {
			sum += year[(first+i)%len(year)].MeanC
		}
		if first == 0 || sum < bestSum {
			best, bestSum = first, sum
		}
	}
	return best
}
