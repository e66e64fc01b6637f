package web

import (
	"math"

	"henyear/holding"
	"henyear/measure"
	"henyear/report"
)

var levelCodes = [...]string{"level.none", "level.low", "level.some", "level.high"}

func levelWords(l holding.Level) string {
	if l < 0 || int(l) >= len(levelCodes) {
		return ""
	}
	return say(levelCodes[l])
}

func yesWords(b bool) string {
	if b {
		return say("yes")
	}
	return say("no")
}

// placeFacts lists what the plan knows of the place and the means, in the order
// in which a keeper would show a visitor round.
func placeFacts(h *holding.Holding, u measure.Units) []fact {
	p, m := h.Place, h.Means
	area := func(x float64) string { return report.Quantity(u, measure.AreaM2, x, 0) }
	facts := []fact{
		{say("fact.where"), whereWords(h, u)},
		{say("fact.class"), p.Climate.Class()},
		{say("fact.ground_predators"), levelWords(p.GroundPredators)},
		{say("fact.air_predators"), levelWords(p.AirPredators)},
		{say("fact.cover"), levelWords(p.Cover)},
		{say("fact.locked"), yesWords(p.LockedAtNight)},
		{say("fact.fence"), yesWords(p.ElectricFence)},
		{say("fact.wet"), yesWords(p.WetGround)},
		{say("fact.pasture"), area(p.PastureM2)},
		{say("fact.run"), area(m.CoveredRunM2)},
		{say("fact.growout"), area(m.GrowOutM2)},
		{say("fact.machine"), countWords(m.MachineEggs, "count.eggs")},
		{say("fact.brooder"), countWords(m.BrooderChicks, "count.chicks")},
		{say("fact.freezer"), report.Quantity(u, measure.VolumeL, m.FreezerL, rainDecimals(u))},
		{say("fact.minutes"), say("count.minutes", report.Number(m.MinutesADay, 0))},
		{say("fact.butcher"), say("count.butcher", report.Number(float64(m.ButcherDaysAYear), 0), report.Number(float64(m.ButcherBirdsADay), 0))},
		{say("fact.max_birds"), limitWords(p.MaxBirds)},
		{say("fact.max_cocks"), limitWords(p.MaxCocks)},
	}
	return facts
}

func countWords(n int, code string) string {
	if n == 0 {
		return say("none")
	}
	return say(code, report.Number(float64(n), 0))
}

func limitWords(n int) string {
	if n < 0 {
		return say("fact.no_limit")
	}
	return report.Number(float64(n), 0)
}

func whereWords(h *holding.Holding, u measure.Units) string {
	c := h.Place.Climate
	side := say("north")
	if c.LatitudeDeg < 0 {
		side = say("south")
	}
	return say("fact.where.words", report.Number(math.Abs(c.LatitudeDeg), 1), side, report.Quantity(u, measure.LengthM, c.AltitudeM, 0))
}
