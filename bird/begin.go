package bird

import "math"

// The beginning of lay.
//
// Spring-hatched pullets begin about the breed's age at first egg, with a
// logistic spread. Pullets that grow up on lengthening days begin earlier, at
// most five weeks. A pullet that is ready while days are short and falling
// mostly waits for the light of February; how strictly, depends on the breed
// (hybrids hardly heed it) and the latitude. Keys: bird-rising-light,
// bird-light-gate, bird-lewis-1996.

const (
	// rearedFromWeek: from this age on a change of light moves the first egg.
	rearedFromWeek = 8

	// earlierPerHour: weeks that each hour of light gained since then brings
	// the first egg forward, up to earliestWeeks.
	earlierPerHour = 0.8
	earliestWeeks  = 5.0

	// Table of the chance to begin, by weeks from the age at first egg.
	beginLeast, beginMost = -16, 30
	beginSteps            = 4

	// The light gate is logistic in the hours of light plus their change in
	// four weeks: half open at these.
	beginGateHours, beginGateWidth   = 10.2, 0.55
	resumeGateHours, resumeGateWidth = 10.3, 0.80

	// gateFloor: some hens begin in any light.
	gateFloor    = 0.02
	gateFloorLog = 3.912 // less its logarithm

	// trendHours is the weight of that change.
	trendHours = 0.3
)

func (l *Law) beginTables() {
	scale := max(0.6, 0.55*l.lay.FirstEggSDWeeks)
	l.beginChance = make([]float64, beginSteps*(beginMost-beginLeast)+2)
	for i := range l.beginChance {
		x := beginLeast + float64(i)/beginSteps
		l.beginChance[i] = 1 - (1+math.Exp(x/scale))/(1+math.Exp((x+1)/scale))
	}
	heed := lightHeed(l.lay.LightSlope)
	l.beginGate = heed
	l.resumeGate = 0.3 + 0.7*heed
}

// lightHeed is how strictly hens wait for the light, 0 (hybrids) to 1 (old
// breeds), read from the slope at which short days dim them.
func lightHeed(slope float64) float64 { return ramp(slope, 0.055, 0.091) }

// seasonStrength is 0 towards the equator, where no hen waits, and 1 from 38
// degrees on.
func seasonStrength(latitudeDeg float64) float64 { return ramp(latitudeDeg, 20, 38) }

// lightGate is the share of its full strength that remains of a chance which
// waits for light; strict is the exponent.
func lightGate(s *Surroundings, hours, width, strict float64) float64 {
	e := strict * seasonStrength(s.LatitudeDeg)
	if e == 0 {
		return 1
	}
	x := (hours - s.LightH - trendHours*s.LightTrendH) / width
	shut := e * softplus(x)
	switch {
	case shut == 0:
		return 1
	case shut > gateFloorLog:
		return gateFloor
	}
	return math.Exp(-shut)
}

// softplus is ln(1 + e^x): less the logarithm of the S-curve that falls with x.
// It is read from a table, for it is wanted twice in every week of every bird.
func softplus(x float64) float64 {
	switch {
	case x <= softLeast:
		return 0
	case x >= softMost:
		return x
	}
	at := softSteps * (x - softLeast)
	i := int(at)
	return softTable[i] + (at-float64(i))*(softTable[i+1]-softTable[i])
}

const (
	softLeast, softMost = -7, 7
	softSteps           = 32
)

var softTable = func() (t [softSteps*(softMost-softLeast) + 2]float64) {
	for i := range t {
		t[i] = math.Log1p(math.Exp(softLeast + float64(i)/softSteps))
	}
	return t
}()

// begin sets the weekly chance that a growing pullet lays her first egg: the
// hazard of the logistic spread at her age, moved by the light she grew up in,
// times the gate.
func (l *Law) begin(w *Week, life *Life, s *Surroundings) {
	x := float64(life.AgeWeeks) - l.firstEggWeeks +
		min(earliestWeeks, max(0, earlierPerHour*(s.LightH-life.RearedFromH)))
	if x < beginLeast {
		w.Begin = 0
		return
	}
	at := beginSteps * (min(beginMost, x) - beginLeast)
	i := int(at)
	chance := l.beginChance[i] + (at-float64(i))*(l.beginChance[i+1]-l.beginChance[i])
	w.Begin = chance * lightGate(s, beginGateHours, beginGateWidth, l.beginGate)
}
