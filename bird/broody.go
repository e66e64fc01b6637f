package bird

import "math"

// Broodiness, broken early.
//
// A hen in full lay goes broody with a weekly chance that follows the season:
// long, lengthening, warm days. It is scaled so that over a common year the
// share of hens broody at least once is the breed's; pullets do so half as
// readily. Broken early a spell costs 7 to 14 days, 12 on the mean. Hens that
// sit and rear are the planner's business (room hatch). Keys:
// bird-broody-season, bird-victoria, bird-mekong-143, bird-ethiopia-2025.

const (
	// broodySecondWeekStays makes the mean spell 1 + 0.7 weeks, 12 days.
	broodySecondWeekStays = 0.7

	// broodySeasonWeeks is the sum of the season's weights over a year at
	// middle latitudes.
	broodySeasonWeeks = 16.5

	pulletBroody = 0.5
)

func (l *Law) broodyTables() {
	share := min(0.97, l.lay.BroodyShare)
	l.broodyPeak = l.rates.Broody * -math.Log(1-share) / broodySeasonWeeks
}

// broodySeason weighs a week, 0 to 1.
func broodySeason(s *Surroundings) float64 {
	days := ramp(s.LightH, 11, 14)
	warm := ramp(s.MeanC, 2, 10)
	falling := 1 - 0.65*ramp(s.LightTrendH, -0.2, -1.5)
	return days * warm * falling
}

func (l *Law) broody(w *Week, s *Surroundings) {
	w.GoBroody = min(0.5, l.broodyPeak*broodySeason(s))
}
