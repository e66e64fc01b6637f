package main

import (
	"context"
	"os"

	"henyear/holding"
	"henyear/plan"
	"henyear/solve"
)

type solveChildCommand struct{}

// Run is the whole work of the child process that a long solve is given to.
func (solveChildCommand) Run(t terminal) error {
	if code := solve.ChildMain(t.in, t.out); code != 0 {
		os.Exit(code) // it has told its parent why
	}
	return nil
}

// openEngine makes the solver ready. Long solves go to a second copy of this
// program, which can be ended at any moment.
func openEngine(ctx context.Context) (*solve.Engine, error) {
	engine, err := solve.Open(ctx, solve.DefaultCacheDir())
	if err != nil {
		return nil, err
	}
	if self, err := os.Executable(); err == nil {
		engine.UseChild(self, "solve-child")
	}
	return engine, nil
}

// withPlanner makes a planner ready for as long as do takes.
func withPlanner(ctx context.Context, do func(*plan.Planner) error) error {
	engine, err := openEngine(ctx)
	if err != nil {
		return err
	}
	defer engine.Close(context.WithoutCancel(ctx))
	return do(plan.New(engine))
}

// withHolding reads a holding file and makes a planner ready for it.
func (s solving) withHolding(ctx context.Context, t terminal, file string, do func(*plan.Planner, *holding.Holding) error) error {
	h, _, err := readHolding(t, file, s.AsOf)
	if err != nil {
		return err
	}
	return withPlanner(ctx, func(planner *plan.Planner) error { return do(planner, h) })
}

// withPlan reads a holding file and plans it.
func (s solving) withPlan(ctx context.Context, t terminal, file string, do func(*plan.Planner, *holding.Holding, *plan.Plan) error) error {
	return s.withHolding(ctx, t, file, func(planner *plan.Planner, h *holding.Holding) error {
		p, err := planIt(ctx, t, planner, h, s.options())
		if err != nil {
			return err
		}
		return do(planner, h, p)
	})
}
