// Package advise answers the questions that need the plan solved again: what
// would it be worth to have a little more of what holds the flock back?
//
// A keeper who reads "the house is full" wants to know next whether two square
// metres more would pay. The honest way to say so is to build them on paper,
// solve the whole plan again, and compare what the two best plans cost. Prices of
// a linear programme ("dual values") look like a shortcut, but they hold for the
// next millimetre only and say nothing where whole hens, hatches and butcher days
// decide.
//
// No plan that is found in a few seconds is proven best. Of each programme two
// figures are known: the cost of the best plan found, and a bound under which no
// plan can fall. The true least cost lies between them, so the worth of a change
// is an interval too (see interval). Where the interval begins at nothing, the
// answer is "less than we can tell", with the most that it can be.
//
// The method, what it leaves out and its sources are in docs/models/advise.md.
package advise

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"henyear/holding"
	"henyear/plan"
)

// longest is the most time that one change may take, so that ten of them are
// told in a minute (guess).
const longest = 6 * time.Second

// Worth says what each change that makes sense on the holding would be worth
// over the horizon of base, which must be the plan of h under the same opt. Low
// and High of an answer are in main units of money over the whole horizon, never
// below zero; its Text speaks of a year. Those that are surely worth something
// come first, the greatest on top.
//
// Every change is solved again, warm from base, for half the time (or half the
// work) that opt allows, at most six seconds. progress may be nil; it is told the
// name of each change as its turn comes, and never of a plan. When ctx ends, what
// is done is returned without an error. A change for which no plan was found in
// its time is left out; the error says why only where nothing could be told.
func Worth(ctx context.Context, p *plan.Planner, h *holding.Holding, base *plan.Plan, opt plan.Options, progress plan.Progress) ([]plan.Worth, error) {
	if base == nil {
		return nil, errors.New("there is no plan yet to hold the changes against; make the plan first")
	}
	answers, err := weigh(ctx, p, h, base, opt, changes(h, opt), progress)
	return tell(base, answers), err
}

// weigh solves the holding again with each change in turn.
func weigh(ctx context.Context, p *plan.Planner, h *holding.Holding, base *plan.Plan, opt plan.Options, todo []change, progress plan.Progress) ([]answer, error) {
	began := time.Now()
	var answers []answer
	var failed error
	for i, c := range todo {
		if ctx.Err() != nil {
			break
		}
		if progress != nil {
			progress(plan.Step{Seconds: time.Since(began).Seconds(), Stage: fmt.Sprintf("worth of %s (%d of %d)", c.what, i+1, len(todo)),
				Cost: base.Cost, Bound: base.Bound, Gap: base.Gap})
		}
		changed, o := h.Clone(), shorter(opt)
		o.Start = base.Point
		c.make(changed, &o)
		with, err := p.Plan(ctx, changed, o, nil)
		switch {
		case ctx.Err() != nil: // cut off: the change was not given its time
		case err != nil:
			failed = cmp.Or(failed, err)
		default:
			answers = append(answers, answer{change: c, least: span{with.Bound, with.Cost}})
		}
	}
	if len(answers) == 0 {
		if ctx.Err() != nil {
			return nil, nil
		}
		return nil, failed
	}
	return answers, nil
}

// shorter is the options of one change: half the time or work of the plan.
func shorter(opt plan.Options) plan.Options {
	limit := opt.TimeLimit
	if limit <= 0 {
		limit = 2 * longest
	}
	opt.TimeLimit = min(longest, limit/2)
	if opt.Nodes > 0 {
		opt.Nodes = max(1, opt.Nodes/2)
	}
	return opt
}

// answer is a change and where the least cost with it lies.
type answer struct {
	change
	least span
}

// tell turns answers into words, greatest worth first.
func tell(base *plan.Plan, answers []answer) []plan.Worth {
	if len(answers) == 0 {
		return nil
	}
	before := span{base.Bound, base.Cost}
	for _, a := range answers {
		if a.loosens {
			before = before.raised(a.least.bound)
		}
	}
	out := make([]plan.Worth, 0, len(answers))
	for _, a := range answers {
		low, high := interval(before, a.least)
		w := plan.Worth{Code: a.code, What: a.what, Low: low, High: high, Known: low > blur(base)}
		w.Text = words(w, base, a.remark)
		out = append(out, w)
	}
	slices.SortStableFunc(out, func(x, y plan.Worth) int {
		switch {
		case x.Known && !y.Known:
			return -1
		case y.Known && !x.Known:
			return 1
		}
		return cmp.Or(cmp.Compare(y.Low+y.High, x.Low+x.High), cmp.Compare(x.Code, y.Code))
	})
	return out
}
