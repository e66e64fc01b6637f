package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"henyear/advise"
	"henyear/holding"
	"henyear/plan"
	"henyear/report"
)

type improveCommand struct {
	File string `arg:"" help:"The holding file; - for standard input."`
	solving
	Cost map[string]float64 `placeholder:"CODE=PRICE" help:"What a change would cost you, as --cost netting=120; may stand several times. The codes are in the JSON."`
}

func (c improveCommand) Validate() error {
	for code, price := range c.Cost {
		if !slices.Contains(advise.PlaceCodes(), code) {
			return fmt.Errorf("--cost %s: there is no such change; the codes are %s", code, strings.Join(advise.PlaceCodes(), ", "))
		}
		if !(price >= 0) || math.IsInf(price, 0) {
			return fmt.Errorf("--cost %s: a price is a number from 0 up", code)
		}
	}
	return c.solving.Validate()
}

// Run plans a holding, and then again with each change to its place.
func (c improveCommand) Run(ctx context.Context, t terminal) error {
	return c.withPlan(ctx, t, c.File, func(planner *plan.Planner, h *holding.Holding, p *plan.Plan) error {
		return c.improve(ctx, t, planner, h, p)
	})
}

func (c improveCommand) improve(ctx context.Context, t terminal, planner *plan.Planner, h *holding.Holding, p *plan.Plan) error {
	line := newProgress(t.err)
	list, err := advise.Improve(ctx, planner, h, p, c.options(), c.Cost, line.step)
	line.clear()
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, report.ImproveAnswer{Format: report.ImproveFormat, Currency: p.Currency.Code, Changes: list, Untold: advise.Untold(h)})
	}
	return report.ImproveText(t.out, list, advise.Untold(h), widthOf(t.out))
}
