package bird

import "math"

// The moult.
//
// A hen moults when days fall, the sooner the shorter they are, and the longer
// she has laid. Her first full moult comes in her second autumn at 14 to 18
// months; pullets moult in their first only if hatched before about late
// February (north). Time out of lay: five to six steps of about two and a half
// weeks, fewer for those that begin late; then she waits for the light. Where
// light is steady, near the equator or under lamps, hens moult at any time of
// year, and a hen long in her first laying year soon does.
// Keys: bird-moult-season, bird-winter-rule, bird-cornell-258, bird-msu-moult.

const (
	moultSteps = 6

	// moultStepChance: weekly chance to pass a step.
	moultStepChance = 0.40

	// moultPeak is the weekly chance at its height in autumn.
	moultPeak = 0.33

	// resumePeak is the weekly chance of a hen in new feather and good light.
	resumePeak = 0.45
)

func (l *Law) moultTables() {
	heed := lightHeed(l.lay.LightSlope)
	l.moultFree = 0.006 + 0.020*heed
	l.moultWorn = 0.010 + 0.035*heed
}

// moultReady is how ripe a hen in her first laying year is for the moult at an
// age in weeks.
func moultReady(ageWeeks float64) float64 {
	switch {
	case ageWeeks < 36:
		return 0
	case ageWeeks < 52:
		return 0.35 * (ageWeeks - 36) / 16
	default:
		return min(0.45, 0.35+0.10*(ageWeeks-52)/26)
	}
}

// falling is how strongly days fall: 0 when they do not, near 1 at 50 degrees
// about the equinox.
func falling(s *Surroundings) float64 {
	fall := max(0, -s.LightTrendH)
	return fall / (fall + 0.5)
}

// moult sets the chances to begin, pass on and end a moult.
func (l *Law) moult(w *Week, age int, s *Surroundings) {
	season := moultPeak * falling(s) * ramp(s.LightH, 14.5, 11)
	steadyDays := ramp(math.Abs(s.LightTrendH), 0.4, 0)
	free := l.moultFree * steadyDays
	w.MoultHen = min(1, season+free)
	w.MoultPullet = min(1, season*moultReady(float64(age))+l.moultWorn*steadyDays*ramp(float64(age), 62, 85))
	w.MoultFrom = 0
	if s.LightTrendH < 0 && s.LightH < 12 {
		w.MoultFrom = 1
	}
	if s.LightH < 10.8 {
		w.MoultFrom = 2
	}
	long, steady := ramp(s.LightH, 12, 14), ramp(s.LightTrendH, -0.5, 0)
	pace := 1 + long*(0.5*steady-0.6*(1-steady))
	w.MoultStep = min(1, moultStepChance*pace/l.rates.MoultWeeks)
	w.Resume = resumePeak * lightGate(s, resumeGateHours, resumeGateWidth, l.resumeGate)
}
