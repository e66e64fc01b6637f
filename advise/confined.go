package advise

import (
	"errors"

	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

var errNotYet = errors.New("this cannot be reckoned yet")

// ConfinedWeeks is how long all birds are kept in for the test: the length of a
// housing order that was given (key plan-confinement).
const ConfinedWeeks = 22

// Confinement is the standing test of a plan: 22 weeks about the shortest day of
// each winter with all birds shut in.
type Confinement struct {
	Weeks   int              `json:"weeks"`
	Holds   bool             `json:"holds"` // in every winter of the plan
	Winters []ConfinedWinter `json:"winters"`
	Summary []plan.Sentence  `json:"summary"`
}

// ConfinedWinter is one winter of the plan.
type ConfinedWinter struct {
	Name   string        `json:"name"` // "2027/28" in the north, "2027" in the south
	From   measure.Date  `json:"from"`
	To     measure.Date  `json:"to"`
	Weeks  int           `json:"weeks"`      // of the 22 that the plan covers
	Birds  float64       `json:"most_birds"` // on the holding at once, over six weeks of age
	FeedKg float64       `json:"feed_kg"`    // bought for all birds in these weeks
	Holds  bool          `json:"holds"`
	Rows   []ConfinedRow `json:"rows"` // fixed order
}

// ConfinedRow is one thing that is asked of a winter indoors.
type ConfinedRow struct {
	Code   string        `json:"code"` // floor, perch, nests, damp, ammonia-free air ("air"), feed, ...
	What   string        `json:"what"`
	Value  float64       `json:"value"`
	Limit  float64       `json:"limit"`
	AtMost bool          `json:"at_most"` // the value may be at most the limit; else at least
	Unit   string        `json:"unit"`
	Holds  bool          `json:"holds"`
	Words  plan.Sentence `json:"words"`
}

// Confined tests every winter of a plan of the holding with all birds shut in. It
// reports an error where the plan is missing or is not of this holding.
func Confined(h *holding.Holding, p *plan.Plan) (*Confinement, error) { return nil, errNotYet }
