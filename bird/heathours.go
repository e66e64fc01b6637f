package bird

import (
	"math"

	"henyear/breed"
)

// ToleranceOf is what of a breed's make matters in heat, at a live weight.
func ToleranceOf(b *breed.Breed, kg float64) HeatTolerance {
	return HeatTolerance{Kg: kg, Plumage: b.Plumage, FeatheredShanks: b.FeatheredShanks, NakedNeck: b.NakedNeck, CombSize: b.CombSize}
}

// heatSteps parts the days of a week into as many of like chance.
const heatSteps = 40

// HeatHours is the expected number of hours of the week, 0 to 168, in which the
// air in the bird's shade is above the limit that HeatDays counts by. A day runs
// from its high half a wave down to a low swingC below it, and half a wave up
// again; warm and cool days differ as a whole. A day without such an hour is none
// of HeatDays.
func HeatHours(b HeatTolerance, s Surroundings, swingC float64) float64 {
	limit := HeatLimitC(b, s)
	share := 1 - shareBelow(limit, s.DayMaxC, s.DaySDC)
	if share < 1e-9 {
		return 0
	}
	if !(s.DaySDC > 0) {
		return 7 * hoursAbove(limit, s.DayMaxC, swingC)
	}
	// Only the days above the limit have hours: their highs, by like shares.
	hours := 0.0
	for i := range heatSteps {
		upper := share * (float64(i) + 0.5) / heatSteps
		high := s.DayMaxC + s.DaySDC*math.Sqrt2*math.Erfinv(1-2*upper)
		hours += hoursAbove(limit, high, swingC)
	}
	return 7 * share * hours / heatSteps
}

// hoursAbove is the hours of a day that are warmer than the limit.
func hoursAbove(limit, high, swingC float64) float64 {
	if limit >= high {
		return 0
	}
	if !(swingC > high-limit) {
		return 24
	}
	return 24 * math.Acos(1-2*(high-limit)/swingC) / math.Pi
}

// HawkTimes is how many times as easily a hawk takes a bird of the breed as a
// usual one: a crest 1.5, white 1.3, under 1.3 kg 1.5, more for the tame and the
// stray (key bird-raid-defaults).
func HawkTimes(b *breed.Breed) float64 {
	_, air := raidWeights(b)
	return air
}
