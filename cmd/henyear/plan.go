package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"henyear/advise"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
)

// solving are the options that planning and comparing share.
type solving struct {
	JSON    bool         `help:"Print JSON for another program."`
	Gap     float64      `default:"0.01" help:"Stop when no plan can be cheaper by more than this share of the outlay (${default})."`
	Seconds float64      `default:"30" help:"Stop after so many seconds with the best plan so far (${default})."`
	Work    int          `placeholder:"N" help:"Stop after so many steps of the search instead, for the same answer every time."`
	AsOf    measure.Date `name:"as-of" placeholder:"DATE" help:"The day for which the birds on hand are stated, instead of the file's own or today."`
	Lights  string       `enum:",none,on" default:"" placeholder:"none|on" help:"Plan without lights, or with lights in winter, whatever the file says."`
}

// longest is the most time that one solve may take; more is a slip of the
// finger.
const longest = 24 * time.Hour

func (s solving) Validate() error {
	switch {
	case !(s.Gap > 0 && s.Gap < 1):
		return errors.New("--gap must lie between 0 and 1; 0.01 is one hundredth of the outlay")
	case !(s.Seconds > 0 && s.Seconds <= longest.Seconds()):
		return errors.New("--seconds must be more than 0, and a day at most")
	case s.Work < 0:
		return errors.New("--work cannot be negative")
	}
	return nil
}

func (s solving) options() plan.Options {
	return plan.Options{
		AsOf: s.AsOf, Gap: s.Gap, Nodes: s.Work, Lights: s.Lights,
		TimeLimit: time.Duration(s.Seconds * float64(time.Second)),
	}
}

type planCommand struct {
	File string `arg:"" help:"The holding file; - for standard input."`
	solving
	Sure  bool   `help:"Plan as surely as the holding asks for: plans from bold to safe are lived through random years, and the cheapest that keeps to the accepted risk is printed. Takes half a minute more."`
	Worth bool   `help:"Also say what chosen changes would be worth: each is a plan solved again, so this takes a minute or two."`
	MPS   string `placeholder:"OUT" help:"Also write the programme that is solved to this MPS file, for another solver."`
}

// Run plans a holding and prints the plan.
func (c planCommand) Run(ctx context.Context, t terminal) error {
	return c.withHolding(ctx, t, c.File, func(planner *plan.Planner, h *holding.Holding) error {
		return c.plan(ctx, t, planner, h)
	})
}

func (c planCommand) plan(ctx context.Context, t terminal, planner *plan.Planner, h *holding.Holding) error {
	if c.MPS != "" {
		if err := c.export(planner, h); err != nil {
			return err
		}
	}
	p, err := planIt(ctx, t, planner, h, c.options())
	if err != nil {
		return err
	}
	var surer *advise.Surer
	if c.Sure {
		line := newProgress(t.err)
		surer, err = advise.Safety(ctx, planner, h, advise.SafetyOptions{Plan: c.curve(), Base: p, Seed: usualSeed}, line.curve)
		line.clear()
		if err != nil {
			return err
		}
		if surer.Plan != nil {
			p = surer.Plan
		}
	}
	if c.Worth {
		line := newProgress(t.err)
		p.Worth, err = advise.Worth(ctx, planner, h, p, c.options(), line.step)
		line.clear()
		if err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(t.out, p)
	}
	if err := report.PlanText(t.out, p, widthOf(t.out)); err != nil || surer == nil {
		return err
	}
	return report.SurerText(t.out, surer, widthOf(t.out))
}

// curve are the options of the plans between bold and safe, whose gap is that of
// the curve.
func (c planCommand) curve() plan.Options {
	o := c.options()
	o.Gap = 0
	return o
}

// planIt plans with progress on the terminal.
func planIt(ctx context.Context, t terminal, planner *plan.Planner, h *holding.Holding, o plan.Options) (*plan.Plan, error) {
	line := newProgress(t.err)
	defer line.clear()
	p, err := planner.Plan(ctx, h, o, line.step)
	if errors.Is(err, plan.ErrNothingToPlan) {
		return nil, badInput{err}
	}
	return p, err
}

// export writes the programme to a file, whole or not at all.
func (c planCommand) export(planner *plan.Planner, h *holding.Holding) error {
	var b bytes.Buffer
	if err := planner.WriteMPS(&b, h, c.options()); err != nil {
		return err
	}
	if err := os.WriteFile(c.MPS, b.Bytes(), 0o644); err != nil {
		return badInput{fmt.Errorf("the programme cannot be written to %s: %w", c.MPS, err)}
	}
	return nil
}

type breedsCommand struct {
	File string `arg:"" help:"The holding file; - for standard input."`
	solving
	All bool `help:"All figures also for breeds that neither suit nor can be had."`
}

// Run compares the breeds for a holding.
func (c breedsCommand) Run(ctx context.Context, t terminal) error {
	return c.withHolding(ctx, t, c.File, func(planner *plan.Planner, h *holding.Holding) error {
		line := newProgress(t.err)
		years, err := planner.Breeds(ctx, h, c.options(), line.share)
		line.clear()
		if err != nil {
			return err
		}
		if c.JSON {
			return writeJSON(t.out, report.BreedsAnswer{Format: report.BreedsFormat, Breeds: years})
		}
		return report.BreedsText(t.out, years, c.All, h.Currency, h.Units, widthOf(t.out))
	})
}
