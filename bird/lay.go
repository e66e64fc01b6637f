package bird

import "henyear/breed"

// The rate of lay.
//
//	eggs a day = P(age) x Y(year) x L(light) x heat x cold x rate x household
//
// P is the hen-day percent of a hen in full lay: level to the age of the peak,
// then falling by a breed's points a week. From the second laying year on it is
// P at 40 weeks times the breed's factor of the year. L is the dimming of hens
// in lay by short days.

const (
	// householdFactor is the one figure set at the end, so that flocks of mixed
	// ages come out where real ones do (about 107 eggs a hen kept). What it
	// stands for: fed and watered a little late now and then, lice, frights,
	// eggs laid away.
	householdFactor = 0.95

	// laterAgeWeeks is the age at which the pullet curve is read for later years.
	laterAgeWeeks = 40

	// curveFloor keeps the straight decline of a hen left laying for years from
	// reaching nought: a share of her peak.
	curveFloor = 0.25
)

// rampShare is what a hen lays in the first weeks after she begins or resumes,
// as a share of her full rate.
var rampShare = [...]float64{0.40, 0.70, 0.90}

const rampWeeks = len(rampShare)

func (l *Law) layTables() {
	l.firstEggWeeks = l.lay.FirstEggWeeks + l.rates.FirstEggWeeks
	l.curvePct = make([]float64, tableWeeks)
	l.eggKg = make([]float64, tableWeeks)
	for age := range l.curvePct {
		l.curvePct[age] = curvePct(l.lay, float64(age)+0.5)
		l.eggKg[age] = EggG(l.lay, float64(age)+0.5) / 1000
	}
	for year := range l.laterPct {
		l.laterPct[year] = l.lay.YearFactor[year]
	}
	l.beginTables()
	l.moultTables()
	l.broodyTables()
}

// curvePct is P: hen-day percent of a hen in full lay and light in her pullet
// year at ageWeeks.
func curvePct(y breed.Lay, ageWeeks float64) float64 {
	p := y.PeakPct - y.DeclinePerWeek*max(0, ageWeeks-y.PeakWeeks)
	return max(curveFloor*y.PeakPct, p)
}

// LightFactor is the dimming of hens in lay by days shorter than 13 hours
// (sunrise to sunset): 1 - slope x (13 - hours), never below 0.45. The shape
// was fitted to the best tenth of the Storrs pullets, between 9.2 and 15.2
// hours, where the slope is 0.074; poorer and older stock is steeper.
func LightFactor(slope, lightH float64) float64 {
	return max(0.45, 1-slope*max(0, 13-lightH))
}

// layWeek fills what concerns lay.
func (l *Law) layWeek(w *Week, life *Life, age int, s *Surroundings) {
	l.begin(w, life, s)
	l.moult(w, age, s)
	l.broody(w, s)
	w.StaysBroody = broodySecondWeekStays
	level := 0.01 * householdFactor * l.rates.Lay * LightFactor(l.lay.LightSlope, s.LightH) *
		heatLay(s.MeanC) * coldLay(s.MeanC)
	w.EggADay = min(1, l.curvePct[age]*level)
	w.LaterDay = min(1, l.curvePct[laterAgeWeeks]*level)
	w.EggKg = l.eggKg[age] * hotEggFactor(s.MeanC)
}

func heatLay(meanC float64) float64 {
	switch {
	case meanC <= 27:
		return 1
	case meanC <= 31:
		return 1 - 0.025*(meanC-27)
	default:
		return max(0.6, 0.9-0.02*(meanC-31))
	}
}

func coldLay(meanC float64) float64 {
	if meanC >= 13 {
		return 1
	}
	if meanC >= 0 {
		return 0.90 + 0.10*meanC/13
	}
	return max(0.7, 0.90+0.01*meanC)
}

// laterEggFactor: eggs of the second year and after weigh 3 to 6 % more.
const laterEggFactor = 1.04

// EggG is the weight of one egg in grams of a hen of ageWeeks in her pullet
// year: (mature egg / 64.9) x (64.91 - 19.40 e^(-0.1197 (a - 18))), where a is
// her age moved so that her first egg falls in the brown hybrid's twentieth
// week. Fitted to the brown hybrid's table within 0.5 g.
func EggG(y breed.Lay, ageWeeks float64) float64 {
	a := max(18, ageWeeks-y.FirstEggWeeks+20)
	return y.EggG / 64.9 * (64.91 - 19.40*exp(-0.1197*(a-18)))
}

// hotEggFactor: 0.3 % off an egg's weight for each degree above a mean of 25 C.
func hotEggFactor(meanC float64) float64 { return 1 - 0.003*max(0, meanC-25) }
