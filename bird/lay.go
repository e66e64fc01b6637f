package bird

import (
	"math"

	"henyear/breed"
)

// The rate of lay.
//
//	eggs a day = P(age) x Y(year) x L(light) x heat x cold x rate x household
//
// P is the hen-day percent of a hen in full lay: level to the age of the peak,
// then falling by a breed's points a week, of which weeks of short days count
// only in part (key bird-spared). From the second laying year on it is P at 40
// weeks; Y is yearRate. L is the dimming of hens in lay by short days. Heat and
// cold are in heat.go.

const (
	// householdFactor is the one figure set at the end, so that flocks of mixed
	// ages come out where real ones do (about 107 eggs a hen kept; key
	// bird-household-factor). The class curves are of hens as households keep
	// them, and it came out as one: a keeper's own level belongs in Rates.Lay.
	householdFactor = 1.00

	// laterAgeWeeks is the age at which the pullet curve is read for later years.
	laterAgeWeeks = 40

	// curveFloor keeps the straight decline of a hen left laying for years from
	// reaching nought: a share of her peak.
	curveFloor = 0.25
)

// rampShare is what a hen lays in the first weeks after she begins or resumes,
// as a share of her full rate (key bird-first-weeks).
var rampShare = [...]float64{0.40, 0.70, 0.90}

const rampWeeks = len(rampShare)

// A hen in full lay passes through three stages of about twelve weeks. From her
// second year on they carry the decline within a laying year, by the breed's own
// points a week: rested hens lay best in spring. In the first year the curve by
// age does that, and the stages make no difference.
const (
	layStages     = 3
	layStepChance = 1.0 / 12
	afterBroody   = 1    // the stage in which a hen lays again after a broody spell
	cycleMiddle   = 17.0 // weeks of lay at which a later year's hen is at her mean rate
)

var stageWeeks = [layStages]float64{6, 18, 32}

func (l *Law) layTables() {
	l.firstEggWeeks = l.lay.FirstEggWeeks + l.rates.FirstEggWeeks
	l.peakWeeks = l.lay.PeakWeeks + l.rates.FirstEggWeeks
	l.eggKg = make([]float64, tableWeeks)
	for age := range l.eggKg {
		l.eggKg[age] = EggG(l.lay, float64(age)+0.5) / 1000
	}
	for year, factor := range l.lay.YearFactor {
		l.yearRate[year] = yearRate(factor)
	}
	l.laterPct = l.curvePct(laterAgeWeeks + l.rates.FirstEggWeeks)
	for k, weeks := range stageWeeks {
		l.cycle[0][k] = 1
		l.cycle[1][k] = 1 + l.lay.DeclinePerWeek/l.laterPct*(cycleMiddle-weeks)
	}
	l.beginTables()
	l.moultTables()
	l.broodyTables()
}

// curvePct is P: hen-day percent of a hen in full lay and light in her pullet
// year at an age in weeks, less the weeks that short days spared her.
func (l *Law) curvePct(ageWeeks float64) float64 {
	p := l.lay.PeakPct - l.lay.DeclinePerWeek*max(0, ageWeeks-l.peakWeeks)
	return max(curveFloor*l.lay.PeakPct, p)
}

// moultShare is the part of a year's eggs that an unlit hen from her second year
// on gives although the moult and the wait for light keep her out of lay for a
// third of the year: what the law itself yields for old breeds at 52 N, before
// her rate falls.
const moultShare = 0.76

// yearRate turns a breed's factor of a laying year, which is of the year's eggs,
// into a factor of the rate while in lay. In the first years most of the loss is
// the moult itself and the rate falls only by the root: 0.89 in the second year
// and 0.79 in the third, as hybrids do that lay 95-80, 85-70 and 80-55 % in
// three cycles (key bird-rose-cycles). Later the rate makes up what the moult leaves.
func yearRate(yearFactor float64) float64 {
	if yearFactor >= 1 {
		return yearFactor
	}
	return min(math.Sqrt(yearFactor), yearFactor/moultShare)
}

// LightFactor is the dimming of hens in lay by days shorter than 13 hours
// (sunrise to sunset): 1 - slope x (13 - hours), never below 0.45. The shape
// was fitted to the best tenth of the Storrs pullets, between 9.2 and 15.2
// hours, where the slope is 0.074 (key bird-storrs); poorer and older stock is steeper.
func LightFactor(slope, lightH float64) float64 {
	return max(0.45, 1-slope*max(0, 13-lightH))
}

// layWeek fills what concerns lay.
func (l *Law) layWeek(w *Week, life *Life, age int, s *Surroundings) {
	l.begin(w, life, s)
	l.moult(w, age, s)
	l.broody(w, s)
	w.StaysBroody = broodySecondWeekStays
	light := LightFactor(l.lay.LightSlope, s.LightH)
	if float64(age) >= l.firstEggWeeks {
		life.SparedWeeks += 1 - light
	}
	level := 0.01 * householdFactor * l.rates.Lay * light * HeatLayFactor(s.MeanC) * ColdLayFactor(s.MeanC)
	w.EggADay = min(1, l.curvePct(float64(age)+0.5-life.SparedWeeks)*level)
	w.LaterDay = min(0.9, l.laterPct*level)
	w.EggKg = l.eggKg[age] * hotEggFactor(s.MeanC)
}

// laterEggFactor: eggs of the second year and after weigh 3 to 6 % more (practice).
const laterEggFactor = 1.04

// EggG is the weight of one egg in grams of a hen of ageWeeks in her pullet
// year: (mature egg / 64.9) x (64.91 - 19.40 e^(-0.1197 (a - 18))), where a is
// her age moved so that her first egg falls in the brown hybrid's twentieth
// week. Fitted to the brown hybrid's table within 0.5 g (key bird-hybrid-table).
// A pullet that begins later begins with larger eggs (key bird-lewis-1997).
func EggG(y breed.Lay, ageWeeks float64) float64 {
	a := max(18, ageWeeks-y.FirstEggWeeks+20)
	return y.EggG / 64.9 * (64.91 - 19.40*math.Exp(-0.1197*(a-18)))
}

// hotEggFactor: 0.3 % off an egg's weight for each degree above a mean of 25 C.
func hotEggFactor(meanC float64) float64 { return 1 - 0.003*max(0, meanC-25) }
