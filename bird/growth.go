package bird

import "henyear/breed"

// Growth: live and dressed weight.

const growthDays = 7 * 104

// linearDays: to this age weight runs straight from the chick to the curve,
// which is too heavy at hatch.
const linearDays = 14

func (l *Law) growthTables(g growthCurve, b *breed.Breed) {
	l.fast = b.GrowthClass == "fast meat"
	l.matureKg = g.matureKg * l.rates.Growth
	l.weightKg = make([]float64, growthDays+1)
	at14 := g.kg(linearDays)
	for day := range l.weightKg {
		kg := g.kg(float64(day))
		if day < linearDays {
			kg = g.chickKg + (at14-g.chickKg)*float64(day)/linearDays
		}
		if day > 0 {
			kg *= l.rates.Growth
		}
		l.weightKg[day] = kg
	}
	l.dressing = make([]float64, tableWeeks)
	for age := range l.dressing {
		l.dressing[age] = dressingShare(b, l.sex, float64(age+1))
	}
}

// dressingShare is dressed weight (plucked, drawn, no giblets) over live
// weight. A bird younger than its butchering age has less flesh on the frame;
// an old hen that of her class: light 63 %, heavy 67 %.
func dressingShare(b *breed.Breed, sex Sex, ageWeeks float64) float64 {
	full := b.DressingPct / 100
	if full == 0 {
		full = 0.65
	}
	if sex == Hen && ageWeeks > 40 && b.Purpose != breed.Meat {
		if b.HenKg < 2.3 {
			return 0.63
		}
		return 0.67
	}
	young := 0.90 + 0.10*min(1, ageWeeks/max(4, b.ButcherWeeksLow))
	return full * young
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
func growthPace(age int, s *Surroundings) float64 {
	if age < 6 && (s.Brooder || s.UnderHen) {
		if s.UnderHen {
			return 0.97
		}
		return 1
	}
	pace := 1 - 0.02*max(0, s.MeanC-24) - 0.008*max(0, 5-s.MeanC)
	return max(0.6, pace)
}

// grow sets weights and feed of the week and moves the growth on.
func (l *Law) grow(w *Week, life *Life, age int, s *Surroundings) {
	before := l.weightAt(life.GrowthDays)
	life.GrowthDays += 7 * growthPace(age, s)
	after := l.weightAt(life.GrowthDays)
	w.LiveKg = after
	w.DressedKg = after * l.dressing[age]
	l.feed(w, age, s, (before+after)/2, (after-before)*1000/7)
}
