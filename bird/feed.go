package bird

import "math"

// Feed eaten, from energy. Waste comes on top, elsewhere.
//
// Growing birds (Sakomura and others 2003, second model):
//
//	ME = (174 - 1.88 T) W^0.75 + c G
//
// meat crosses (Sakomura and others 2005, with a cost of gain fitted to breeders' tables):
//
//	ME = (307.87 - 15.63 T + 0.3105 T^2) W^0.75 + (2.25 + 0.56 W) G
//
// hens and cocks (NRC 1994):
//
//	ME = W^0.75 (173 - 1.95 T) + 5.5 dW + 2.07 E
//
// Keys: bird-sakomura-2003, bird-sakomura-2005, bird-fast-gain, bird-nrc-hen.
//
// kcal a day; W kg, T degC at the bird, G and dW g/day, E egg mass g/day.

// Metabolisable energy of the household's feeds, kcal/kg as fed (key
// bird-feed-energy).
const (
	LayerFeedKcalPerKg  = 2700.0
	GrowerFeedKcalPerKg = 2800.0
	MeatFeedKcalPerKg   = 3000.0
)

// threeQuarters is W^0.75.
func threeQuarters(kg float64) float64 {
	r := math.Sqrt(kg)
	return r * math.Sqrt(r)
}

// brooderC is the air a chick lives in, by completed weeks.
var brooderC = [...]float64{31, 28, 26, 24, 22, 21}

func airC(age int, s *Surroundings) float64 {
	if age < len(brooderC) && (s.Brooder || s.UnderHen) {
		return max(brooderC[age], s.MeanC)
	}
	return s.MeanC
}

// activity multiplies maintenance: floor and small run 1.05, pasture 1.10 (keys
// bird-grimbergen-1970, bird-activity).
func activity(s *Surroundings) float64 {
	if s.OnPasture {
		return 1.10
	}
	return 1.05
}

func (l *Law) feed(w *Week, age int, s *Surroundings, kg, gainG float64) {
	tempC := airC(age, s)
	active := activity(s)
	found := l.rates.Feed * (1 - s.ForageShare)
	var kcal, perKg float64
	switch {
	case l.fast:
		kcal, perKg = meatKcal(kg, gainG, tempC, active), MeatFeedKcalPerKg
	case l.slowMeat:
		kcal, perKg = meatKcal(kg, gainG, tempC, active), GrowerFeedKcalPerKg
	default:
		kcal, perKg = growingKcal(age, kg, gainG, tempC, active), GrowerFeedKcalPerKg
	}
	w.GrowingKg = 7 * kcal / perKg * found
	if l.sex == Cock && age >= 26 {
		w.GrowingKg = 7 * HenKcal(kg, tempC, gainG, 0, active) / LayerFeedKcalPerKg * found
	}
	appetite := HeatAppetite(s.MeanC)
	w.HenFeedKg = 7 * HenKcal(kg, tempC, gainG, 0, active) / LayerFeedKcalPerKg * found * appetite
	w.EggFeed = 2.07 * 1000 / LayerFeedKcalPerKg * found * appetite
}

func growingKcal(age int, kg, gainG, tempC, active float64) float64 {
	c := 3.24
	switch {
	case age < 8:
		c = 2.83
	case age < 14:
		c = 2.50
	}
	early := 1.0
	if age < 3 {
		early = 1.10
		active = 1
	}
	return early * ((174-1.88*max(-15, tempC))*threeQuarters(kg)*active + c*gainG)
}

func meatKcal(kg, gainG, tempC, active float64) float64 {
	t := min(32, max(13, tempC))
	return (307.87-15.63*t+0.3105*t*t)*threeQuarters(kg)*active + (2.25+0.56*kg)*gainG
}

// HenKcal is the NRC need of a grown bird in kcal a day: live weight kg, mean
// air tempC (held at -15), weight change gainG a day, egg mass eggG a day, and
// activity as a multiple of maintenance. Cold adds at most 40 % to
// maintenance at 20 C, for a crop holds no more.
func HenKcal(kg, tempC, gainG, eggG, active float64) float64 {
	perKg := min(173-1.95*max(-15, tempC), 1.4*(173-1.95*20))
	return threeQuarters(kg)*perKg*active + 5.5*gainG + 2.07*eggG
}
