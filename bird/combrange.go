package bird

import "math"

// How far the trickle may lie from the figure used.
//
// Reports of frozen and of unhurt combs bound the blood flow, each on one side: a
// comb that froze had no more than some flow, one that stayed sound no less. The
// range is the narrowest that no report with a known comb and air contradicts:
// its low end is the flow of cocks whose combs froze but for the lowest quarter
// in still dry air at -16 C, its high end that of a cock that would have come unhurt
// through -34 C in a dry barn (key comb_model_range; the reports stand in
// testdata/published/comb_cases.csv). Birds differ so much: one in good fettle
// lies high, a thin, old, wet or hungry one low.
const (
	PerfusionLow  = 2e-4
	PerfusionHigh = 1.2e-3
)

// CombNightsRange is CombNights with how few and how many such nights there may
// be: the fewest for a comb with the blood flow of birds that stayed unhurt, the most
// for one with that of birds that froze.
func CombNightsRange(c Comb, sex Sex, s Surroundings) Range {
	best := CombNights(c, sex, s)
	return Range{
		Low:  min(best, combNightsAtFlow(c, sex, s, PerfusionHigh)),
		Best: best,
		High: max(best, combNightsAtFlow(c, sex, s, PerfusionLow)),
	}
}

// FreezeAirRange is FreezeAirC with its range: Low for the best supplied comb,
// High for the worst.
func (c Comb) FreezeAirRange(tipC, windMS float64) Range {
	best := c.FreezeAirC(tipC, windMS)
	return Range{
		Low:  min(best, c.freezeAirAtFlow(tipC, windMS, PerfusionHigh)),
		Best: best,
		High: max(best, c.freezeAirAtFlow(tipC, windMS, PerfusionLow)),
	}
}

// flesh is what a cubic metre of it stores, J/K (memory).
const fleshJm3K = 1050 * 3600

// CombFreezeMin is the minutes in which a comb of a bird that comes from warmth
// of fromC cools until its tip is likely to freeze; infinite where it never is.
func CombFreezeMin(c Comb, fromC, airC, windMS, perfusion float64) float64 {
	b := c.balance(airC, windMS, perfusion)
	if b.tipC >= CombFreezeC || fromC <= CombFreezeC {
		if fromC <= CombFreezeC {
			return 0
		}
		return math.Inf(1)
	}
	tau := fleshJm3K * max(1, c.ThicknessMM) / 1000 / (2*b.lossWm2K + b.bloodWm2K)
	return tau / 60 * math.Log((fromC-b.tipC)/(CombFreezeC-b.tipC))
}

// atShare is the temperature at a share of the height, 0 at the head and 1 at
// the tip.
func (b blade) atShare(share float64) float64 {
	return b.farC + (headC-b.farC)*math.Cosh(b.ml*(1-share))/math.Cosh(b.ml)
}

// frozenAirC is the air in which flesh above a share of the height freezes, with
// a blood flow. A hen's tucked comb meets half of the shortfall, as in FreezeTipC.
func (c Comb) frozenAirC(sex Sex, share, windMS, perfusion float64) float64 {
	return chord(-60, 20, func(air float64) float64 {
		return c.balance(air, windMS, perfusion).atShare(share) - FreezeTipC(sex)
	})
}
