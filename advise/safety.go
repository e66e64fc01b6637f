package advise

import (
	"context"

	"henyear/chance"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

// SurerFormat is the version of the JSON of a Surer.
const SurerFormat = 1

// SafetyOptions steer the search for a plan that is sure enough. The zero value
// asks for the defaults.
type SafetyOptions struct {
	// Plan is how to plan: day, lights, rates, and Start, the point of the plan that
	// stands. Its Gap is that of each point of the curve, 0.03 by default; its
	// TimeLimit is for the whole curve, 30 s by default; with Nodes the answer does
	// not depend on the clock. Its Margin is not looked at.
	Plan plan.Options

	Replicates int    // simulated lives of each plan, 2,000 by default
	Seed       uint64 // the same luck for every plan
	Workers    int    // cores for the simulation; 0: all

	// Odds lives a plan through; nil: package chance with the figures above.
	Odds func(ctx context.Context, p *plan.Plan) (*chance.Odds, error)
}

// SafetyProgress is told of every plan of the curve as it is done, with all that
// is known so far, and of what comes next. It must return quickly and must not
// keep what it was handed beyond the call.
type SafetyProgress func(SafetyStep)

// SafetyStep is one report of a running search.
type SafetyStep struct {
	Seconds float64
	Stage   string // what is being done, in words
	Done    int    // plans done
	Planned int    // plans to do, as far as is known
	SoFar   *Surer // the curve so far; nil before the first point
}

// Surer is the price of being surer: plans of one household from bold to safe,
// each lived through the same luck.
type Surer struct {
	Format   int              `json:"format"`
	Holding  string           `json:"holding"`
	AsOf     measure.Date     `json:"as_of"`
	From     measure.Date     `json:"from"`
	To       measure.Date     `json:"to"`
	Currency measure.Currency `json:"currency"`
	Units    measure.Units    `json:"units"`

	ShortWeeksAllowed int     `json:"short_weeks_allowed"` // K
	Accepted          float64 `json:"accepted"`            // share of years with more than K short weeks that the household accepts
	Replicates        int     `json:"replicates"`          // of each plan
	Seed              uint64  `json:"seed"`

	Points []SafetyPoint `json:"points"` // from bold to safe: by rising margin

	// Chosen is the index in Points of the plan to follow: of those that meet the
	// accepted risk the one with the least mean cash cost; where none does, the
	// surest. -1 where there is no point at all.
	Chosen    int  `json:"chosen"`
	Plain     int  `json:"plain"`     // index of the plan without a margin, -1 where it was not reached
	Surest    int  `json:"surest"`    // index of the point with the smallest risk
	Reachable bool `json:"reachable"` // some point meets the accepted risk

	Limits  []plan.Sentence `json:"limits"`  // what keeps the chosen plan from being surer, most telling first
	Summary []plan.Sentence `json:"summary"` // plain sentences, read aloud
	Status  string          `json:"status"`  // "complete", "stopped by the clock", "cancelled"
	Seconds float64         `json:"seconds"` // on the wall

	// Plan and Odds are those of the chosen point.
	Plan *plan.Plan   `json:"-"`
	Odds *chance.Odds `json:"-"`
}

// SafetyPoint is one plan of the curve. Errors are Monte Carlo standard errors of
// the figure before. Money is in main units, a year.
type SafetyPoint struct {
	Name   string      `json:"name"` // "bold", "plain", "safer 1", ...
	Margin plan.Margin `json:"margin"`

	CashAYear      float64 `json:"cash_a_year"` // mean: outlay and eggs bought, less income
	CashError      float64 `json:"cash_error"`
	Risk           float64 `json:"risk"` // share of simulated years with more than K short weeks
	RiskError      float64 `json:"risk_error"`
	ShortWeeks     float64 `json:"short_weeks_a_year"` // mean
	ShortWeekError float64 `json:"short_weeks_error"`
	WinterEggs     float64 `json:"winter_eggs_a_week"` // mean of the leanest thirteen weeks about the shortest day
	HensWinter     float64 `json:"hens_winter"`        // mean of the winters that the plan covers
	PulletsWinter  float64 `json:"new_pullets_winter"`
	EggsSet        float64 `json:"eggs_set"` // own and bought, whole plan

	ExpectedCost float64 `json:"expected_cost"` // the plan's own Cost
	Bound        float64 `json:"bound"`         // no plan with this margin costs less
	Gap          float64 `json:"gap"`
	PlanStatus   string  `json:"plan_status"`

	Meets     bool `json:"meets"`     // the accepted risk
	Chosen    bool `json:"chosen"`    // the plan to follow
	Dominated bool `json:"dominated"` // another point is no riskier and no dearer, and better in one

	Plan *plan.Plan   `json:"-"`
	Odds *chance.Odds `json:"-"`
}

// Safety plans the holding with rising margins, lives every plan through the same
// luck, and says which of them meets the risk that the household accepts at the
// least cost, or that none does. progress may be nil. When ctx ends, what is done
// is returned without an error; an error is returned only where nothing could be
// told.
func Safety(ctx context.Context, p *plan.Planner, h *holding.Holding, opt SafetyOptions, progress SafetyProgress) (*Surer, error) {
	return nil, errNotYet
}
