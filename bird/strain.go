package bird

import "henyear/breed"

// combGrownWeeks is the age from which a comb is large enough to freeze.
const combGrownWeeks = 16

// calmMS is the most wind of a still house.
const calmMS = 0.3

// hardlyEverSD: a night or a day this many standard deviations off the usual does
// not come in a lifetime of weeks (one in four thousand); such weeks are passed
// over without reckoning.
const hardlyEverSD = 3.5

func (l *Law) bodyTables(b *breed.Breed) {
	l.comb = CombOf(b.Comb, b.CombSize, l.sex)
	l.heat = ToleranceOf(b, l.matureKg)
	tipC := FreezeTipC(l.sex)
	l.combSafeC = l.comb.freezeAirQuick(tipC, windKnotsMS[len(windKnotsMS)-1]) + WetCombK
	l.combCalmC = l.comb.freezeAirQuick(tipC, calmMS)
	l.heatSafeC = HeatStrainC(l.heat)
}

// weatherStrain is the nights that threaten the comb and the days of heat strain
// in the week.
func (l *Law) weatherStrain(age int, s *Surroundings) (combNights, heatDays float64) {
	safeC := l.combSafeC
	if s.AirMS <= calmMS && !s.DampPerch {
		safeC = l.combCalmC
	}
	if age >= combGrownWeeks && s.NightC-hardlyEverSD*s.NightSDC < safeC {
		combNights = CombNights(l.comb, l.sex, *s)
	}
	if s.DayMaxC+hardlyEverSD*s.DaySDC > l.heatSafeC {
		heatDays = HeatDays(l.heat, *s)
	}
	return combNights, heatDays
}
