package advise

import (
	"context"
	"errors"
	"fmt"
	"time"

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

	// Base is the plan that stands, if it is a plain one of the same holding and
	// options: it is then the plain point of the curve and is not solved again.
	Base *plan.Plan

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
	Surest    int  `json:"surest"`    // index of the cheapest point within a standard error of the smallest risk
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
	MoreCash       float64 `json:"cash_more_than_plain"` // a year, under the same luck; 0 where there is no plain point
	MoreCashError  float64 `json:"cash_more_error"`
	Risk           float64 `json:"risk"` // share of simulated years with more than K short weeks
	RiskError      float64 `json:"risk_error"`
	ShortWeeks     float64 `json:"short_weeks_a_year"` // mean
	ShortWeekError float64 `json:"short_weeks_error"`
	WinterEggs     float64 `json:"winter_eggs_a_week"` // mean of the leanest thirteen weeks about the shortest day
	HensWinter     float64 `json:"hens_winter"`        // mean of the winters that the plan covers
	PulletsWinter  float64 `json:"new_pullets_winter"`
	EggsSet        float64 `json:"eggs_set"` // own and bought, whole plan

	ExpectedCost float64 `json:"expected_cost"` // the plan's own Cost
	Bound        float64 `json:"bound"`         // no plan as near to this margin costs less
	Gap          float64 `json:"gap"`
	PlanStatus   string  `json:"plan_status"`

	Meets     bool `json:"meets"`     // the accepted risk
	Chosen    bool `json:"chosen"`    // the plan to follow
	Dominated bool `json:"dominated"` // another point is no riskier and no dearer, and better in one

	Plan *plan.Plan   `json:"-"`
	Odds *chance.Odds `json:"-"`
}

// How long and how close by default. A tenth of the curve's time is left to the
// simulations and to what a solver takes beyond its limit.
const (
	curveGap       = 0.03
	curveTime      = 30 * time.Second
	leastForAPlan  = 1500 * time.Millisecond
	simulationTime = 600 * time.Millisecond
)

// Safety plans the holding with rising margins, lives every plan through the same
// luck, and says which of them meets the risk that the household accepts at the
// least cost, or that none does. progress may be nil. When ctx ends, what is done
// is returned without an error; an error is returned only where nothing could be
// told.
func Safety(ctx context.Context, p *plan.Planner, h *holding.Holding, opt SafetyOptions, progress SafetyProgress) (*Surer, error) {
	if err := (chance.Options{Replicates: opt.Replicates}).Check(); err != nil {
		return nil, err
	}
	return newClimb(p, h, opt, progress).run(ctx)
}

// climb is a search for the price of being surer.
type climb struct {
	p        *plan.Planner
	h        *holding.Holding
	opt      SafetyOptions
	progress SafetyProgress
	began    time.Time
	limit    time.Duration
	planned  int
	spread   []float64 // of the eggs of each week, from the plain plan's odds
	points   []SafetyPoint
	failed   error

	solve func(ctx context.Context, o plan.Options) (*plan.Plan, error)
}

func newClimb(p *plan.Planner, h *holding.Holding, opt SafetyOptions, progress SafetyProgress) *climb {
	c := &climb{p: p, h: h, opt: opt, progress: progress, began: time.Now(), limit: opt.Plan.TimeLimit}
	if c.limit <= 0 {
		c.limit = curveTime
	}
	if c.opt.Plan.Gap <= 0 {
		c.opt.Plan.Gap = curveGap
	}
	if c.opt.Odds == nil {
		c.opt.Odds = c.odds
	}
	if c.opt.Replicates == 0 {
		c.opt.Replicates = chance.DefaultReplicates
	}
	c.solve = func(ctx context.Context, o plan.Options) (*plan.Plan, error) { return p.Plan(ctx, h, o, nil) }
	return c
}

func (c *climb) odds(ctx context.Context, p *plan.Plan) (*chance.Odds, error) {
	w, err := chance.New(c.h, p, c.opt.Plan.Rates)
	if err != nil {
		return nil, err
	}
	return w.Odds(ctx, chance.Options{Replicates: c.opt.Replicates, Seed: c.opt.Seed, Workers: c.opt.Workers}, nil)
}

// deterministic runs count work, not time.
func (c *climb) deterministic() bool { return c.opt.Plan.Nodes > 0 }

func (c *climb) left() time.Duration { return c.limit - time.Since(c.began) }

// time reports whether there is some left for one plan more.
func (c *climb) time(ctx context.Context) bool {
	return ctx.Err() == nil && (c.deterministic() || c.left() > leastForAPlan+simulationTime)
}

// run makes the curve: the plain plan first, since its luck says how wide the
// margins are; then those from bold to safe, each from the one before; then some
// more where the accepted risk is crossed, or beyond the last where it is not.
func (c *climb) run(ctx context.Context) (*Surer, error) {
	c.planned = len(levels)
	for n, m := range levels {
		if n > 0 && !c.time(ctx) {
			break
		}
		c.add(ctx, m, len(levels)-n+refinements)
	}
	if len(c.points) == 0 {
		return nil, c.nothing(ctx)
	}
	complete := len(c.points) == len(levels)
	for n := 0; n < refinements && complete; n++ {
		m, ok := c.next()
		if !ok {
			break
		}
		if complete = c.time(ctx); complete {
			c.planned++
			complete = c.add(ctx, m, refinements-n)
		}
	}
	out := c.surer()
	switch {
	case ctx.Err() != nil:
		out.Status = "cancelled"
	case !complete:
		out.Status = "stopped by the clock"
	}
	return out, nil
}

func (c *climb) nothing(ctx context.Context) error {
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case c.failed != nil:
		return c.failed
	}
	return errors.New("no plan was found in the time there was; allow more seconds")
}

// add solves and simulates the plan with one margin, with its share of the time
// when so many are still to come. It reports whether there is one point more.
func (c *climb) add(ctx context.Context, m plan.Margin, toCome int) bool {
	c.tell(fmt.Sprintf("planning %s", marginWords(m)))
	p, err := c.planFor(ctx, m, toCome)
	if err == nil {
		c.tell(fmt.Sprintf("living through the plan %s", marginWords(m)))
		var odds *chance.Odds
		if odds, err = c.opt.Odds(ctx, p); err == nil {
			if c.spread == nil {
				c.spread = lowerSpread(p, odds)
			}
			c.insert(pointOf(m, p, odds))
			return true
		}
	}
	if c.failed == nil && ctx.Err() == nil {
		c.failed = err
	}
	return false
}

func (c *climb) planFor(ctx context.Context, m plan.Margin, toCome int) (*plan.Plan, error) {
	if plain(m) && c.opt.Base != nil && c.opt.Base.Margin == (plan.MarginUse{}) {
		return c.opt.Base, nil
	}
	o := c.opt.Plan
	o.Margin = m
	o.Margin.Spread = c.spread
	if near := c.nearest(m); near != nil {
		o.Start = near.Plan.Point
	}
	if !c.deterministic() {
		share := c.left() / time.Duration(max(1, toCome))
		if o.Start == nil {
			share = max(share, c.left()/3) // all others begin from this one
		}
		o.TimeLimit = max(leastForAPlan, share-simulationTime)
	}
	return c.solve(ctx, o)
}

// nearest is the point to begin from: the one with the margin next below, or the
// boldest.
func (c *climb) nearest(m plan.Margin) *SafetyPoint {
	var best *SafetyPoint
	for i := range c.points {
		if best == nil || below(c.points[i].Margin, m) {
			best = &c.points[i]
		}
	}
	return best
}

// insert keeps the points in the order of their margins.
func (c *climb) insert(p SafetyPoint) {
	at := 0
	for at < len(c.points) && below(c.points[at].Margin, p.Margin) {
		at++
	}
	c.points = append(c.points, SafetyPoint{})
	copy(c.points[at+1:], c.points[at:])
	c.points[at] = p
}

func (c *climb) tell(stage string) {
	if c.progress == nil {
		return
	}
	step := SafetyStep{Seconds: time.Since(c.began).Seconds(), Stage: stage, Done: len(c.points), Planned: max(c.planned, len(c.points))}
	if len(c.points) > 0 {
		step.SoFar = c.surer()
		step.SoFar.Status = "searching"
	}
	c.progress(step)
}

func (c *climb) seconds() float64 { return time.Since(c.began).Seconds() }
