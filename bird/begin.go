package bird

import "math"

// The beginning of lay.
//
// Spring-hatched pullets begin about the breed's age at first egg, with a
// logistic spread. Pullets that grow up on lengthening days begin earlier, at
// most five weeks. A pullet that is ready while days are short and falling
// mostly waits for the light of February; how strictly, depends on the breed
// (hybrids hardly heed it) and the latitude.

const (
	// rearedFromWeek: from this age on a change of light moves the first egg.
	rearedFromWeek = 8

	// earlierPerHour: weeks that each hour of light gained since then brings
	// the first egg forward, up to earliestWeeks.
	earlierPerHour = 0.8
	earliestWeeks  = 5.0

	// The light gate is logistic in the hours of light plus their change in
	// four weeks: half open at gateHours.
	gateHours = 11.3
	gateWidth = 0.8
)

func exp(x float64) float64 { return math.Exp(x) }

func (l *Law) beginTables() {
	l.beginScale = max(0.6, 0.55*l.lay.FirstEggSDWeeks)
	l.beginStepE = math.Exp(1 / l.beginScale)
	heed := lightHeed(l.lay.LightSlope)
	l.beginGate = heed
	l.resumeGate = 0.3 + 0.7*heed
}

// lightHeed is how strictly hens wait for the light, 0 (hybrids) to 1 (old
// breeds), read from the slope at which short days dim them.
func lightHeed(slope float64) float64 { return ramp(slope, 0.056, 0.095) }

// seasonStrength is 0 towards the equator, where no hen waits, and 1 from 38
// degrees on.
func seasonStrength(latitudeDeg float64) float64 { return ramp(latitudeDeg, 20, 38) }

// lightGate is the share of its full strength that remains of a chance which
// waits for light; strict is the exponent.
func lightGate(s *Surroundings, strict float64) float64 {
	e := strict * seasonStrength(s.LatitudeDeg)
	if e == 0 {
		return 1
	}
	x := (gateHours - s.LightH - s.LightTrendH) / gateWidth
	if x < -5 {
		return 1
	}
	return math.Exp(-e * math.Log1p(math.Exp(x)))
}

// begin sets the weekly chance that a growing pullet lays her first egg.
func (l *Law) begin(w *Week, life *Life, s *Surroundings) {
	w.Begin = 0
	x := float64(life.AgeWeeks) - l.firstEggWeeks
	if x < -4*l.lay.FirstEggSDWeeks-earliestWeeks {
		return
	}
	x += min(earliestWeeks, max(0, earlierPerHour*(s.LightH-life.RearedFromH)))
	if x > 40 {
		x = 40
	}
	z := math.Exp(x / l.beginScale)
	w.Begin = (1 - (1+z)/(1+z*l.beginStepE)) * lightGate(s, l.beginGate)
}
