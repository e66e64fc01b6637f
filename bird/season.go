package bird

import (
	"math"

	"henyear/climate"
)

// season builds the weeks of a plain place for checks: daylight by latitude
// (south negative), temperature a cosine between the means of January and July,
// optional lights that hold the day at litH. Real places come from the course.
type season struct {
	weeks [52]Surroundings
}

type seasonSpec struct {
	latDeg, janC, julC, litH float64
}

func newSeason(p seasonSpec) *season {
	var y season
	for slot := range y.weeks {
		day := int(float64(slot)*7.024) + 4
		h, before := p.lightH(day), p.lightH(day-28)
		mid := (p.janC + p.julC) / 2
		mean := mid + (p.janC-p.julC)/2*math.Cos(2*math.Pi*float64(day-20)/365)
		y.weeks[slot] = Surroundings{MeanC: mean, NightC: mean - 4, NightSDC: 3, DayMaxC: mean + 5, DaySDC: 3,
			AirMS: 0.15, LightH: h, LightTrendH: h - before, LatitudeDeg: math.Abs(p.latDeg),
			GroundRisk: RiskSecureRun, AirRisk: RiskSecureRun, Brooder: true, OnPasture: true}
	}
	return &y
}

func (p seasonSpec) lightH(day int) float64 {
	return max(p.litH, climate.DayLengthH(p.latDeg, day, -0.833))
}

// from returns the weeks of life of a bird hatched on a day of the year.
func (y *season) from(hatchDay int) func(i int) *Surroundings {
	slot := int(float64(hatchDay-1) / 7.024)
	return func(i int) *Surroundings { return &y.weeks[(slot+i)%52] }
}
