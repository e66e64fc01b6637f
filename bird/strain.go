package bird

import "henyear/breed"

// combGrownWeeks is the age from which a comb is large enough to freeze.
const combGrownWeeks = 16

// hardlyEverSD: a night or a day this many standard deviations off the usual does
// not come in a lifetime of weeks (one in four thousand); such weeks are passed
// over without reckoning.
const hardlyEverSD = 3.5

func (l *Law) bodyTables(b *breed.Breed) {
	l.comb = CombOf(b.Comb, b.CombSize, l.sex)
	l.heat = HeatTolerance{Kg: l.matureKg, Plumage: b.Plumage, FeatheredShanks: b.FeatheredShanks,
		NakedNeck: b.NakedNeck, CombSize: b.CombSize}
	l.combSafeC = l.comb.freezeAirQuick(FreezeTipC(l.sex), windKnotsMS[len(windKnotsMS)-1]) + WetCombK
	l.heatSafeC = HeatStrainC(l.heat)
}

// weatherStrain is the nights that threaten the comb and the days of heat strain
// in the week.
func (l *Law) weatherStrain(age int, s *Surroundings) (combNights, heatDays float64) {
	if age >= combGrownWeeks && s.NightC-hardlyEverSD*s.NightSDC < l.combSafeC {
		combNights = CombNights(l.comb, l.sex, *s)
	}
	if s.DayMaxC+hardlyEverSD*s.DaySDC > l.heatSafeC {
		heatDays = HeatDays(l.heat, *s)
	}
	return combNights, heatDays
}
