package bird

import "henyear/breed"

// Years is how many laying years the law tells apart; a hen older than that
// stays in the last.
const Years = 6

// tableWeeks bounds the tables by age; an older bird is read from the last row.
const tableWeeks = 10 * 52

// Law is what one kind of bird of one sex does, week by week. It is built once
// (NewLaw) and never changes, so that many trajectories may read it at once.
//
// A hen is in one of these states, and each week passes on with the chances
// that Week holds:
//
//	growing --begin--> ramping -> laying --go broody--> broody -> laying
//	                                 |
//	                                 +--moult--> moulting -> ... -> waiting
//	                                                                   |
//	                    ramping (next laying year) <--resume-----------+
//
// Growing is a pullet that has not laid; ramping the few weeks in which a hen
// comes into full lay; moulting has six steps, so that its length has spread;
// waiting is a hen in new feather that lays again only as days lengthen. Loss
// strikes every state alike. A cock has the one state growing.
type Law struct {
	sex   Sex
	rates Rates
	lay   breed.Lay

	// Growth and body.
	weightKg       []float64 // by day of growth, 0 to growthDays
	matureKg       float64
	pasturePace    float64   // pace of growth on pasture
	dressing       []float64 // dressed share of live weight, by week of age
	fast, slowMeat bool      // meat crosses
	comb           Comb
	heat           HeatTolerance
	combSafeC      float64 // no comb is hurt in warmer nights, whatever the wind and damp
	combCalmC      float64 // the same in still dry air
	heatSafeC      float64 // no strain on cooler days

	// Chances of loss in a week, by week of age.
	lossWarm  []float64 // chicks in a brooder, and all older birds
	lossHen   []float64 // chicks under a hen
	lossCold  []float64 // chicks with neither
	groundWt  []float64 // ground predators at risk 1
	airWt     []float64 // hawks at risk 1
	heatStart float64   // daily high above which heat kills, C

	// Lay.
	firstEggWeeks, peakWeeks float64
	eggKg                    []float64             // by week of age
	beginChance              []float64             // by quarter weeks from beginLeast about the first egg
	laterPct                 float64               // hen-day percent of later years, before yearRate
	yearRate                 [Years]float64        // rate while in lay by laying year
	cycle                    [2][layStages]float64 // rate by stage of lay, in the first and in later years
	beginGate, resumeGate    float64               // exponents of the light gate
	moultFree                float64               // weekly chance of a moult under steady light
	moultWorn                float64               // the same, of a hen long in her first laying year
	broodyPeak               float64               // weekly chance to go broody of an older hen in full season
}

// NewLaw builds the law of breed b in strain s for one sex under the rates r.
// Every figure it uses is documented, with its source, beside the function that
// uses it (lay.go, begin.go, moult.go, broody.go, growth.go, feed.go, loss.go).
func NewLaw(b *breed.Breed, s breed.Strain, sex Sex, r Rates) *Law {
	return newLaw(b, b.LayFor(s), b.GrowthFor(s, sex == Cock), sex, r)
}

func newLaw(b *breed.Breed, lay breed.Lay, growth breed.Growth, sex Sex, r Rates) *Law {
	l := &Law{sex: sex, rates: r, lay: lay}
	l.growthTables(growth, b)
	l.lossTables(b)
	l.bodyTables(b)
	if sex == Hen {
		l.layTables()
	}
	return l
}

// Sex of the bird that the law describes.
func (l *Law) Sex() Sex { return l.sex }

// Life is the past that all members of a batch share and on which their
// chances depend. The zero value is a chick at hatch.
type Life struct {
	AgeWeeks    int     // completed weeks at the start of the week to come
	GrowthDays  float64 // days of growth in good conditions to which the bird's weight corresponds
	RearedFromH float64 // hours of light when the pullet was eight weeks old
	SparedWeeks float64 // weeks of lay that short days spared her
}

// Week holds the chances and yields of one week of a batch. Chances are those
// of a bird that is alive when the week begins; yields are of a living bird.
// Expect uses exactly these, and so may a simulator that draws single birds
// with Next.
type Week struct {
	AgeWeeks int // completed weeks at the start of the week

	LossOther float64 // chance to die of anything but raids
	LossRaid  float64 // chance of a survivor of that to be taken by predators
	HawkPart  float64 // share of LossRaid that is hawks, which take one bird at a time

	Begin       float64 // a growing pullet begins to lay
	MoultPullet float64 // a hen in lay begins to moult, in her first laying year
	MoultHen    float64 // the same in later years
	MoultFrom   int     // the step at which a moult begun now starts
	MoultStep   float64 // a moulting hen passes to the next step
	Resume      float64 // a waiting hen comes into lay
	GoBroody    float64 // a hen in full lay goes broody, from her second laying year
	StaysBroody float64 // a broody stays broody for a second week

	EggADay  float64 // chance of an egg a day of a hen in full lay, first laying year
	LaterDay float64 // the same of later years, before the year's factor
	EggKg    float64 // one egg, first laying year

	LiveKg    float64 // at the end of the week
	DressedKg float64
	GrowingKg float64 // feed in the week of a bird that has not begun to lay
	HenFeedKg float64 // feed in the week of a hen that has, without her eggs
	EggFeed   float64 // feed for a kilogram of eggs, kg

	CombNights float64
	HeatDays   float64
}

// Step fills w with the chances and yields of the week that begins at life's
// age, in surroundings s, and moves life to the next week.
func (l *Law) Step(life *Life, s *Surroundings, w *Week) {
	age := min(life.AgeWeeks, tableWeeks-1)
	w.AgeWeeks = life.AgeWeeks
	l.losses(w, age, s)
	l.grow(w, life, age, s)
	if l.sex == Hen {
		if life.AgeWeeks <= rearedFromWeek {
			life.RearedFromH = s.LightH
		}
		l.layWeek(w, life, age, s)
	}
	w.CombNights, w.HeatDays = l.weatherStrain(age, s)
	life.AgeWeeks++
}

// ramp rises from 0 at lo to 1 at hi (or falls, when hi < lo).
func ramp(x, lo, hi float64) float64 { return min(1, max(0, (x-lo)/(hi-lo))) }
