package bird

import "henyear/breed"

// Growth: live and dressed weight. Curves and dressing shares are the
// catalogue's; weather and pasture slow the pace (key bird-growth-weather).

const growthDays = 7 * 104

// grownWeeks: from this age on the dressed share stays.
const grownWeeks = 60

// warmWeeks: chicks are kept warm to this age; pastureWeeks: and go out from
// this one on.
const (
	warmWeeks    = 6
	pastureWeeks = 3
)

// pasturePaceShare turns the lower weight of birds reared on pasture into a slower
// pace of growth from three weeks on: 0.95 of the weight at 16 weeks is 0.93 of the
// pace. They come to the same grown weight, later.
const pasturePaceShare = 1.3

func (l *Law) growthTables(g breed.Growth, b *breed.Breed) {
	l.fast = b.GrowthClass == "fast meat"
	l.slowMeat = b.GrowthClass == "slow meat"
	l.matureKg = g.MatureG / 1000 * l.rates.Growth
	l.pasturePace = 1 - pasturePaceShare*(1-g.PastureFactor)
	l.weightKg = make([]float64, growthDays+1)
	for day := range l.weightKg {
		l.weightKg[day] = g.WeightG(float64(day)) / 1000
		if day > 0 {
			l.weightKg[day] *= l.rates.Growth
		}
	}
	l.dressing = make([]float64, tableWeeks)
	for age := range l.dressing {
		if age > grownWeeks {
			l.dressing[age] = l.dressing[grownWeeks]
			continue
		}
		l.dressing[age] = b.DressingPctAt(l.sex == Cock, float64(age+1)) / 100
	}
}

// weightAt reads the curve at a number of growth days.
func (l *Law) weightAt(days float64) float64 {
	if days >= growthDays {
		return l.weightKg[growthDays]
	}
	d := int(days)
	f := days - float64(d)
	return l.weightKg[d] + f*(l.weightKg[d+1]-l.weightKg[d])
}

// growthPace is how much of a day's growth a day brings: heat and cold slow it.
func (l *Law) growthPace(age int, s *Surroundings) float64 {
	pace := 1.0
	switch {
	case age < warmWeeks && s.UnderHen:
		pace = 0.97
	case age >= warmWeeks || !s.Brooder:
		pace -= 0.02*max(0, s.MeanC-24) + 0.008*max(0, 5-s.MeanC)
	}
	if s.OnPasture && age >= pastureWeeks {
		pace *= l.pasturePace
	}
	return max(0.6, pace)
}

// grow sets weights and feed of the week and moves the growth on.
func (l *Law) grow(w *Week, life *Life, age int, s *Surroundings) {
	before := l.weightAt(life.GrowthDays)
	life.GrowthDays += 7 * l.growthPace(age, s)
	after := l.weightAt(life.GrowthDays)
	w.LiveKg = after
	w.DressedKg = after * l.dressing[age]
	l.feed(w, age, s, (before+after)/2, (after-before)*1000/7)
}
