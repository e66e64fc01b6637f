package report

import (
	"strings"

	"henyear/measure"
	"henyear/plan"
)

// CombNights writes the nights that threaten a cock's comb, with how few and how
// many they may be where that differs.
func CombNights(b plan.BreedYear) string {
	best, low, high := Number(b.CombNights, 0), Number(b.CombNightsLow, 0), Number(b.CombNightsHigh, 0)
	if b.CombNightsHigh < b.CombNights || low == best && high == best {
		return best
	}
	return say("breed.span", best, low, high)
}

// BreedBody says what else the place does to the birds of a breed, leaving out what
// comes to nothing. It is empty when all does.
func BreedBody(b plan.BreedYear, u measure.Units) string {
	var list []string
	whole := func(x float64) string { return Number(x, 0) }
	if b.WattleNights >= 1.5 {
		list = append(list, say("breed.body.wattles", whole(b.WattleNights)))
	}
	if b.HeatDays >= 1.5 {
		list = append(list, say("breed.body.heat", whole(b.HeatHours), whole(b.HeatDays)))
	}
	if b.ExtraFeedColdKg >= 1 {
		list = append(list, say("breed.body.cold", Quantity(u, measure.MassKg, b.ExtraFeedColdKg, 0)))
	}
	if b.MudDays >= 1.5 {
		list = append(list, say("breed.body.mud", whole(b.MudDays)))
	}
	switch taken := Number(b.HawkLoss, 1); {
	case b.HawkLoss < 0.05:
	case b.HawkTimes >= 1.3:
		list = append(list, say("breed.body.hawks.more", taken, Number(b.HawkTimes, 1)))
	default:
		list = append(list, say("breed.body.hawks", taken))
	}
	if len(list) == 0 {
		return ""
	}
	return say("breed.body", strings.Join(list, "; "))
}
