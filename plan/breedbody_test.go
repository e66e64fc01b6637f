package plan

import (
	"math"
	"testing"

	"henyear/breed"
)

func TestWhatThePlaceDoesToEachBreedIsInOrder(t *testing.T) {
	for id, y := range forestBreeds(t) {
		if !(y.CombNightsLow >= 0 && y.CombNightsLow <= y.CombNights && y.CombNights <= y.CombNightsHigh && y.CombNightsHigh <= 366) {
			t.Errorf("%s: comb nights %.2f, %.2f, %.2f", id, y.CombNightsLow, y.CombNights, y.CombNightsHigh)
		}
		for what, x := range map[string]float64{"wattle nights": y.WattleNights, "hours": y.HeatHours, "mud": y.MudDays, "hawk": y.HawkTimes, "hawk loss": y.HawkLoss, "cold": y.ExtraFeedColdKg} {
			if !(x >= 0) || math.IsInf(x, 1) {
				t.Errorf("%s: %s is %g", id, what, x)
			}
		}
		if y.HeatHours > 24*y.HeatDays+1 || y.ExtraFeedColdKg > 0.5*y.FeedKg || y.WattleNights > 366 {
			t.Errorf("%s: %.0f hours on %.1f days, %.0f of %.0f kg feed for the cold, %.0f wattle nights", id, y.HeatHours, y.HeatDays, y.ExtraFeedColdKg, y.FeedKg, y.WattleNights)
		}
		b, err := breed.Find(id)
		if err == nil && (y.MudDays > 0) != (b.FeatheredShanks && y.Hens+y.Cocks > 0.5) {
			t.Errorf("%s: %.0f mud days, feathered legs %v", id, y.MudDays, b.FeatheredShanks)
		}
		if y.Cocks < 1e-6 && (y.CombNightsHigh > 0 || y.WattleNights > 0) {
			t.Errorf("%s: comb nights without a cock", id)
		}
	}
}

func TestBodiesOfBreedsDifferAsKeepersKnow(t *testing.T) {
	y := forestBreeds(t)
	for _, c := range []struct {
		what       string
		more, less float64
	}{
		{"most comb nights of a Leghorn, against a Wyandotte", y["leghorn"].CombNightsHigh, y["wyandotte"].CombNightsHigh + 10},
		{"hawks on Silkies, small and white, against Sussex", y["silkie"].HawkTimes, y["sussex"].HawkTimes},
		{"extra feed a bird of Brahmas, against Leghorns", y["brahma"].ExtraFeedColdKg / (y["brahma"].Hens + y["brahma"].Cocks), y["leghorn"].ExtraFeedColdKg / (y["leghorn"].Hens + y["leghorn"].Cocks)},
	} {
		if !(c.more > c.less) {
			t.Errorf("%s: %.1f is not above %.1f", c.what, c.more, c.less)
		}
	}
}
