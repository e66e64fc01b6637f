package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"henyear/advise"
	"henyear/chance"
	"henyear/holding"
	"henyear/plan"
	"henyear/report"
)

// usualSeed names the luck under which plans are lived through unless another is
// asked for, so that the same plan gets the same odds every time.
const usualSeed = 1

// fewestReplicates: one time in twenty cannot be told from fewer lives.
const fewestReplicates = 20

type oddsCommand struct {
	File string `arg:"" help:"The holding file; - for standard input."`
	solving
	Replicates int    `default:"2000" placeholder:"N" help:"Live the plan through so many times (${default})."`
	Seed       uint64 `default:"1" placeholder:"S" help:"Names the luck: the same seed gives the same luck (${default})."`
	Safety     bool   `help:"Also say what being surer costs: plans from bold to safe are worked out and lived through, which takes half a minute or so more."`
}

func (c oddsCommand) Validate() error {
	if c.Replicates < fewestReplicates || c.Replicates > chance.MostReplicates {
		return fmt.Errorf("--replicates must lie between %d and %d; 2000 tell a chance to about one in a hundred", fewestReplicates, chance.MostReplicates)
	}
	return c.solving.Validate()
}

// Run plans a holding, lives the plan through many random years and prints what
// that came to.
func (c oddsCommand) Run(ctx context.Context, t terminal) error {
	return c.withPlan(ctx, t, c.File, func(planner *plan.Planner, h *holding.Holding, p *plan.Plan) error {
		return c.tell(ctx, t, planner, h, p)
	})
}

func (c oddsCommand) tell(ctx context.Context, t terminal, planner *plan.Planner, h *holding.Holding, p *plan.Plan) error {
	if ctx.Err() != nil {
		fmt.Fprintln(t.err, "The odds were not reckoned; the file is as it was, and henyear plan prints the plan.")
		return ctx.Err()
	}
	answer, err := c.cast(ctx, t, planner, h, p)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, answer)
	}
	return report.OddsText(t.out, answer, widthOf(t.out))
}

// cast lives the plan through and gathers all that was asked for. What is known
// when the keeper stops it is kept.
func (c oddsCommand) cast(ctx context.Context, t terminal, planner *plan.Planner, h *holding.Holding, p *plan.Plan) (report.OddsAnswer, error) {
	answer := report.OddsAnswer{Format: report.OddsFormat}
	world, err := worldOf(h, p)
	if err != nil {
		return answer, err
	}
	line := newProgress(t.err)
	defer line.clear()
	luck := chance.Options{Replicates: c.Replicates, Seed: c.Seed}
	if answer.Odds, err = world.Odds(ctx, luck, line.lives("living the plan through")); err != nil {
		return answer, err
	}
	if confined, err := advise.Confined(h, p); err == nil {
		answer.Confined = confined
	}
	answer.Matters, err = world.Matters(ctx, chance.Options{Replicates: pairsFor(c.Replicates), Seed: c.Seed}, line.lives("finding out which luck matters"))
	if err == nil && c.Safety {
		answer.Surer, err = advise.Safety(ctx, planner, h, c.safety(p), line.curve)
	}
	if errors.Is(err, context.Canceled) {
		line.clear()
		fmt.Fprintln(t.err, "Stopped before all was known; what is told here is whole.")
		err = nil
	}
	return answer, err
}

// worldOf makes a plan ready to be lived through; what stands against it is the
// keeper's to mend.
func worldOf(h *holding.Holding, p *plan.Plan) (*chance.World, error) {
	world, err := chance.New(h, p, nil)
	if err != nil {
		return nil, badInput{err}
	}
	return world, nil
}

// pairsFor is how many pairs of lives are compared to find which luck matters.
// Each is lived eight times, so that a fourth of the lives takes twice as long
// as the odds themselves.
func pairsFor(replicates int) int { return max(fewestReplicates, replicates/4) }

func (c oddsCommand) safety(standing *plan.Plan) advise.SafetyOptions {
	o := c.options()
	o.Gap = 0 // that of the curve
	return advise.SafetyOptions{Plan: o, Base: standing, Replicates: c.Replicates, Seed: c.Seed}
}

// lives shows how many lives of a stage are lived.
func (p *progress) lives(stage string) func(done, total int) {
	began := time.Now()
	return func(done, total int) {
		p.show(fmt.Sprintf("%3.0f s  %s, %d of %d", time.Since(began).Seconds(), stage, done, total))
	}
}

// curve shows how many plans of the curve are done; it is an
// advise.SafetyProgress.
func (p *progress) curve(s advise.SafetyStep) {
	p.show(fmt.Sprintf("%3.0f s  %s, plan %d of %d", s.Seconds, s.Stage, s.Done+1, max(s.Planned, s.Done+1)))
}

// pageLots lives plans through for the pages.
type pageLots struct{ pagePlanner }

// Odds lives a plan through many random years.
func (p pageLots) Odds(ctx context.Context, h *holding.Holding, best *plan.Plan, told func(done, total int)) (*chance.Odds, error) {
	world, err := chance.New(h, best, nil)
	if err != nil {
		return nil, err
	}
	return world.Odds(ctx, chance.Options{Seed: usualSeed}, told)
}

// Matters finds which luck makes the spread of a plan.
func (p pageLots) Matters(ctx context.Context, h *holding.Holding, best *plan.Plan, told func(done, total int)) (*chance.Matters, error) {
	world, err := chance.New(h, best, nil)
	if err != nil {
		return nil, err
	}
	return world.Matters(ctx, chance.Options{Seed: usualSeed}, told)
}

// Surer works out what being surer costs.
func (p pageLots) Surer(ctx context.Context, h *holding.Holding, best *plan.Plan, told advise.SafetyProgress) (*advise.Surer, error) {
	planner, err := p.planner(ctx)
	if err != nil {
		return nil, err
	}
	o := p.options
	o.Gap, o.TimeLimit = 0, 0 // those of the curve
	return advise.Safety(ctx, planner, h, advise.SafetyOptions{Plan: o, Base: best, Seed: usualSeed}, told)
}
