package main

import (
	"context"
	"time"

	"henyear/plan"
)

// A plan for the pages is worked on for longer than its time where the computer
// is slow or busy and the plan may still be far from the best: a household waits
// a few minutes gladly for what it follows for years.
const (
	goodGap    = 0.05 // of the outlay; a plan so near the best is good enough to stop on the clock
	mostRounds = 3    // of the search, each three times as long as the one before
	usualLimit = 20 * time.Second
)

// patiently plans, and goes on from the plan found while it may be far from the
// best and nobody has stopped it.
func patiently(ctx context.Context, o plan.Options, search func(context.Context, plan.Options) (*plan.Plan, error)) (*plan.Plan, error) {
	best, err := search(ctx, o)
	if err != nil || o.Nodes > 0 {
		return best, err
	}
	if o.TimeLimit <= 0 {
		o.TimeLimit = usualLimit
	}
	for range mostRounds - 1 {
		if best.Gap <= goodGap || ctx.Err() != nil {
			break
		}
		o.Start, o.TimeLimit = best.Point, 3*o.TimeLimit
		next, err := search(ctx, o)
		if err != nil {
			break // what was found stands
		}
		if next.Cost <= best.Cost {
			best = next
		}
	}
	return best, nil
}
