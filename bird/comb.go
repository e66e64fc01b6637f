package bird

import (
	"math"
	"strings"
	"sync"
	"sync/atomic"
)

// The comb in frost.
//
// A comb is a thin blade of flesh with air on both faces. In the cold its blood
// flow shuts down to a trickle, and what keeps it from freezing is that trickle
// and the warmth that creeps up from the head. Steady balance along the height x
// of a blade of thickness d (Pennes' equation for a fin, both faces exposed):
//
//	k d d2T/dx2 = 2 h (T - Tair) - G (Tblood - T)      G = (rho c)blood w d
//	Tfar = (2 h Tair + G Tblood)/(2 h + G)         m = sqrt((2 h + G)/(k d))
//	tip = Tfar + (Thead - Tfar)/cosh(m L)
//
// h is convection (plate laws for free and forced air) plus radiation. The comb's
// size and above all the trickle w are estimates: w from 1e-4 to 1.5e-3 a second
// moves the temperature of likely freezing from -7 to -38 C. It was set so that
// tips of large single combs suffer at -10 to -20 C in still air and at milder
// frost in wind, as vets and keepers report; no experiment is known. Read the
// result as a ranking of combs and places with a plausible level.
const (
	tissueWmK        = 0.40        // conductivity of skin, 0.3-0.5 (memory)
	bloodJm3K        = 1060 * 3770 // heat capacity of blood (memory)
	bloodC           = 35          // blood as it enters the comb (guess; the body has 41)
	headC            = 30          // base of the comb (guess)
	emissivity       = 0.97        // of skin (memory)
	stefanBoltzmann  = 5.670374e-8
	outdoorTurbulent = 1.5 // outdoor air over smooth-plate forced convection

	// ConstrictedPerfusion is the blood flow of a comb in frost, 1/s: 3 ml a
	// minute for 100 ml of flesh.
	ConstrictedPerfusion = 5e-4
	// CombOnsetC is the tip temperature at which flesh and blood begin to be
	// able to freeze.
	CombOnsetC = -0.6
	// CombFreezeC is the tip temperature at which freezing is likely, when
	// flesh no longer stays liquid below its freezing point (borrowed from
	// human cheeks).
	CombFreezeC = -4.8
	// WetCombK is how much colder the air counts for a wet comb: 3 to 5 K by
	// the heat of evaporation.
	WetCombK = 4
	// huddledMS is the air about a bird on the perch of a still house; no
	// house is calmer.
	huddledMS = 0.1
)

// Comb is the free blade of a comb or wattle, in millimetres.
type Comb struct{ HeightMM, ThicknessMM float64 }

// CombOf is the comb of a grown bird by type (single, rose, pea, walnut, cushion,
// strawberry, buttercup, v, carnation), size of the breed's cock (1 small, 2
// medium, 3 large) and sex. An unknown type counts as single, the most at risk.
// Sizes are estimates; no table of measured combs was found.
func CombOf(comb string, size int, sex Sex) Comb {
	size = min(3, max(1, size))
	at := func(small, medium, large, thick float64) Comb {
		return Comb{[...]float64{small, medium, large}[size-1], thick}
	}
	var c Comb
	switch strings.ToLower(comb) {
	case "rose":
		c = at(12, 15, 18, 8)
	case "pea":
		c = at(8, 9, 10, 8)
	case "walnut", "cushion", "strawberry":
		c = at(10, 12, 14, 12)
	case "buttercup", "v", "v-shaped":
		c = at(20, 25, 30, 4)
	case "carnation":
		c = at(25, 35, 45, 4.5)
	default:
		if sex == Hen {
			return at(20, 30, 38, 4)
		}
		return Comb{[...]float64{30, 45, 60}[size-1], [...]float64{4, 4.5, 4}[size-1]}
	}
	if sex == Hen {
		// A hen's comb is smaller all over; the low kinds keep their thickness.
		c.HeightMM *= 0.7
	}
	return c
}

// WattleOf is the wattle of a grown bird by size (1-3) and sex. Wattles also
// freeze when they are dipped in water while drinking.
func WattleOf(size int, sex Sex) Comb {
	size = min(3, max(1, size))
	if sex == Hen {
		return Comb{[...]float64{15, 20, 25}[size-1], 3.5}
	}
	return Comb{[...]float64{25, 38, 50}[size-1], 4}
}

// CombTipC is the steady temperature of the comb's tip in air of airC and
// windMS, with the given blood flow in 1/s (ConstrictedPerfusion in frost, about
// 5e-3 in warmth). Air from -50 to 25 C, wind from 0.05 to 10 m/s.
func CombTipC(c Comb, airC, windMS float64, perfusion float64) float64 {
	return c.balance(airC, windMS, perfusion).tipC
}

// blade is the steady state of a comb.
type blade struct {
	tipC, meanC float64
	farC        float64 // what a blade without end would come to
	ml          float64 // m L
	lossWm2K    float64 // h of one face
	bloodWm2K   float64 // G
}

func (c Comb) balance(airC, windMS, perfusion float64) (b blade) {
	height, thickness := max(1, c.HeightMM)/1000, max(1, c.ThicknessMM)/1000
	blood := bloodJm3K * max(0, perfusion) * thickness
	b = blade{tipC: airC, meanC: airC, farC: airC, bloodWm2K: blood}
	for range 12 {
		h := combLossWm2K(height, airC, b.meanC, max(0.05, windMS))
		far := (2*h*airC + blood*bloodC) / (2*h + blood)
		ml := height * math.Sqrt((2*h+blood)/(tissueWmK*thickness))
		b.tipC = far + (headC-far)/math.Cosh(ml)
		b.farC, b.ml, b.lossWm2K = far, ml, h
		next := far + (headC-far)*math.Tanh(ml)/ml
		if math.Abs(next-b.meanC) < 1e-6 {
			break
		}
		b.meanC = next
	}
	return b
}

// combLossWm2K is convection plus radiation of one face, W/(m2 K), with the
// properties of air at the film's temperature.
func combLossWm2K(heightM, airC, combC, windMS float64) float64 {
	film := (airC+combC)/2 + 273.15
	conductivity := 0.0241 * math.Pow(film/273.15, 0.81)
	viscosity := 1.33e-5 * math.Pow(film/273.15, 1.76) // kinematic, m2/s
	const prandtl = 0.71
	grashof := 9.81 / film * math.Abs(combC-airC) * heightM * heightM * heightM / (viscosity * viscosity)
	free := 0.59 * math.Pow(grashof*prandtl, 0.25)
	forced := outdoorTurbulent * 0.664 * math.Sqrt(windMS*heightM/viscosity) * math.Cbrt(prandtl)
	nusselt := math.Cbrt(free*free*free + forced*forced*forced)
	return nusselt*conductivity/heightM + 4*emissivity*stefanBoltzmann*film*film*film
}

// FreezeTipC is the steady tip temperature at which a night counts as one that
// threatens the comb. A cock's comb stands free: CombFreezeC. A hen tucks her
// head under the wing, so that only half of the fall below the freezing point
// of flesh reaches her comb (estimate): -9 C.
func FreezeTipC(sex Sex) float64 {
	if sex == Hen {
		return CombOnsetC - 2*(CombOnsetC-CombFreezeC)
	}
	return CombFreezeC
}

// FreezeAirC is the air temperature, -60 to 20 C, at which the tip of a dry comb
// falls to tipC in a wind.
func (c Comb) FreezeAirC(tipC, windMS float64) float64 {
	return c.freezeAirAtFlow(tipC, windMS, ConstrictedPerfusion)
}

// freezeAirAtFlow halves the span step by step for the flow that the law uses,
// and takes the quicker way of chords, right to 1e-4 C, for the others.
func (c Comb) freezeAirAtFlow(tipC, windMS, perfusion float64) float64 {
	least, most := -60.0, 20.0
	if perfusion != ConstrictedPerfusion {
		return chord(least, most, func(air float64) float64 { return CombTipC(c, air, windMS, perfusion) - tipC })
	}
	for range 24 {
		middle := (least + most) / 2
		if CombTipC(c, middle, windMS, perfusion) < tipC {
			least = middle
		} else {
			most = middle
		}
	}
	return (least + most) / 2
}

// chord finds where a rising f is zero between two ends, or the end next to it
// (regula falsi; the end that stays is given half its weight, after Illinois).
func chord(least, most float64, f func(float64) float64) float64 {
	low, high := f(least), f(most)
	if low >= 0 {
		return least
	}
	if high <= 0 {
		return most
	}
	x, side := least, 0
	for range 60 {
		next := (least*high - most*low) / (high - low)
		if math.Abs(next-x) < 1e-5 {
			return next
		}
		x = next
		switch y := f(x); {
		case y == 0:
			return x
		case y < 0:
			least, low = x, y
			if side < 0 {
				high /= 2
			}
			side = -1
		default:
			most, high = x, y
			if side > 0 {
				low /= 2
			}
			side = 1
		}
	}
	return x
}

// Winds at which thresholds are worked out once for each comb, when first asked for: 0.1 m/s and each
// a fifth more than the last, to 11 m/s. Between them the threshold is taken on a
// line, which is right to 0.1 C for standing combs.
const (
	windKnots = 27
	windStep  = 1.2
)

var windKnotsMS = func() (knots [windKnots]float64) {
	knots[0] = huddledMS
	for i := 1; i < windKnots; i++ {
		knots[i] = windStep * knots[i-1]
	}
	return knots
}()

type thresholdKey struct {
	comb      Comb
	tipC      float64
	perfusion float64
}

// thresholds holds, for each comb, what has been worked out at each wind: a memo of
// a pure function. Zero bits are not yet known.
var thresholds sync.Map // thresholdKey -> *[windKnots]atomic.Uint64

func (k thresholdKey) airAt(known *[windKnots]atomic.Uint64, knot int) float64 {
	if bits := known[knot].Load(); bits != 0 {
		return math.Float64frombits(bits)
	}
	air := k.comb.freezeAirAtFlow(k.tipC, windKnotsMS[knot], k.perfusion)
	known[knot].Store(math.Float64bits(air))
	return air
}

func (c Comb) freezeAirQuick(tipC, windMS float64) float64 {
	return c.freezeAirQuickAtFlow(tipC, windMS, ConstrictedPerfusion)
}

func (c Comb) freezeAirQuickAtFlow(tipC, windMS, perfusion float64) float64 {
	key := thresholdKey{c, tipC, perfusion}
	stored, ok := thresholds.Load(key)
	if !ok {
		stored, _ = thresholds.LoadOrStore(key, new([windKnots]atomic.Uint64))
	}
	known := stored.(*[windKnots]atomic.Uint64)
	if !(windMS > huddledMS) {
		return key.airAt(known, 0)
	}
	i := 1
	for i < windKnots && windMS > windKnotsMS[i] {
		i++
	}
	if i == windKnots {
		return key.airAt(known, windKnots-1)
	}
	u := (windMS - windKnotsMS[i-1]) / (windKnotsMS[i] - windKnotsMS[i-1])
	low, high := key.airAt(known, i-1), key.airAt(known, i)
	return low + u*(high-low)
}

// CombNights is the expected number of nights of the week, 0 to 7, whose coldest
// hour at the perch brings the comb's tip to where freezing is likely
// (FreezeTipC). Nights are normal about NightC with NightSDC; damp at the perch
// wets combs and counts as air WetCombK colder.
func CombNights(c Comb, sex Sex, s Surroundings) float64 {
	return combNightsAtFlow(c, sex, s, ConstrictedPerfusion)
}

func combNightsAtFlow(c Comb, sex Sex, s Surroundings, perfusion float64) float64 {
	airC := c.freezeAirQuickAtFlow(FreezeTipC(sex), s.AirMS, perfusion)
	if s.DampPerch {
		airC += WetCombK
	}
	return 7 * shareBelow(airC, s.NightC, s.NightSDC)
}

// shareBelow is the share of a normal variable below x; a step without spread.
func shareBelow(x, mean, sd float64) float64 {
	if !(sd > 0) {
		if x > mean {
			return 1
		}
		return 0
	}
	return 0.5 * math.Erfc((mean-x)/(sd*math.Sqrt2))
}

// CombRuledOut reports whether a comb does not belong in a place at all: large
// single combs where the mean coldest night of the year is -35 C or below
// (common practice).
func CombRuledOut(comb string, size int, extremeMinC float64) bool {
	return strings.EqualFold(comb, "single") && size >= 3 && extremeMinC <= -35
}

// CombCaution reports whether a week calls for care of combs: cocks whose comb
// stands up, from a usual night of -7 C in damp or wind (common practice), and
// any bird with more than half a threatening night.
func CombCaution(comb string, size int, sex Sex, s Surroundings) bool {
	if sex == Cock && s.NightC <= -7 && (s.DampPerch || s.AirMS > 0.3) && !lowComb(comb) {
		return true
	}
	return CombNights(CombOf(comb, size, sex), sex, s) > 0.5
}

func lowComb(comb string) bool {
	switch strings.ToLower(comb) {
	case "rose", "pea", "walnut", "cushion", "strawberry":
		return true
	}
	return false
}
