package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"henyear/examples"
	"henyear/plan"
	"henyear/report"
	"henyear/store"
)

type demoCommand struct {
	Port      int     `default:"${port}" help:"The port on this computer; the next free one is taken when it is in use (${default})."`
	PrintOnly bool    `help:"Stop after printing the plan."`
	Seconds   float64 `default:"20" help:"Plan for so many seconds at most (${default})."`
}

func (c demoCommand) options() plan.Options {
	return plan.Options{TimeLimit: time.Duration(c.Seconds * float64(time.Second))}
}

// Run plans the first example, prints the plan and shows it on pages, with its
// data in a folder that is gone afterwards.
func (c demoCommand) Run(ctx context.Context, t terminal) (err error) {
	scratch, err := os.MkdirTemp("", "henyear-demo-")
	if err != nil {
		return fmt.Errorf("no scratch folder could be made: %w", err)
	}
	defer os.RemoveAll(scratch)
	leave := func() { os.RemoveAll(scratch) }
	calm := insist(ctx, exitInterrupted, leave)
	defer calm()
	keep, err := store.Open(filepath.Join(scratch, store.FileName))
	if err != nil {
		return err
	}
	defer keep.Close()
	if err := c.printPlan(ctx, t, keep); err != nil || c.PrintOnly {
		return err
	}
	calm()
	defer insist(ctx, exitDone, leave)()
	return showPages(ctx, t, keep, c.Port, c.options())
}

// printPlan plans the first example, keeps it in the data file and prints it.
func (c demoCommand) printPlan(ctx context.Context, t terminal, file *store.Store) error {
	text, err := examples.Get(examples.Demo)
	if err != nil {
		return err
	}
	h, _, err := parseHolding(text, examples.Demo+".toml", noDate)
	if err != nil {
		return err
	}
	kept := keptHoldings{file}
	if err := kept.Save(ctx, h); err != nil {
		return err
	}
	engine, err := openEngine(ctx)
	if err != nil {
		return err
	}
	defer engine.Close(context.WithoutCancel(ctx))
	p, err := planIt(ctx, t, plan.New(engine), h, c.options())
	if err != nil {
		return err
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err := kept.SavePlan(ctx, p); err != nil {
		return err
	}
	return report.PlanText(t.out, p, widthOf(t.out))
}
