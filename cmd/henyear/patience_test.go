package main

import (
	"context"
	"errors"
	"testing"
	"time"

	"henyear/plan"
)

func TestAPlanFarFromTheBestIsWorkedOnForLonger(t *testing.T) {
	type step struct {
		cost, gap float64
		fault     error
	}
	for name, c := range map[string]struct {
		steps  []step
		nodes  int
		stop   int // after so many searches
		asked  int
		cost   float64
		limits []time.Duration
	}{
		"near at once":       {steps: []step{{100, 0.02, nil}}, asked: 1, cost: 100, limits: []time.Duration{20 * time.Second}},
		"near the next time": {steps: []step{{300, 0.4, nil}, {110, 0.03, nil}}, asked: 2, cost: 110, limits: []time.Duration{20 * time.Second, time.Minute}},
		"never near":         {steps: []step{{300, 0.4, nil}, {310, 0.3, nil}, {290, 0.2, nil}}, asked: 3, cost: 290, limits: []time.Duration{20 * time.Second, time.Minute, 3 * time.Minute}},
		"a fault later":      {steps: []step{{300, 0.4, nil}, {0, 0, errors.New("no")}}, asked: 2, cost: 300},
		"stopped":            {steps: []step{{300, 0.4, nil}}, stop: 1, asked: 1, cost: 300},
		"by work":            {steps: []step{{300, 0.4, nil}}, nodes: 5, asked: 1, cost: 300},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, stop := context.WithCancel(t.Context())
			defer stop()
			asked := 0
			p, err := patiently(ctx, plan.Options{TimeLimit: 20 * time.Second, Nodes: c.nodes}, func(_ context.Context, o plan.Options) (*plan.Plan, error) {
				s := c.steps[asked]
				if c.limits != nil && o.TimeLimit != c.limits[asked] {
					t.Errorf("search %d has %s", asked, o.TimeLimit)
				}
				if asked > 0 && o.Start["x"] == 0 {
					t.Error("the search begins anew instead of going on")
				}
				asked++
				if asked == c.stop {
					stop()
				}
				return &plan.Plan{Cost: s.cost, Gap: s.gap, Point: map[string]float64{"x": 1}}, s.fault
			})
			if err != nil || p.Cost != c.cost || asked != c.asked {
				t.Errorf("cost %v after %d searches, %v", p, asked, err)
			}
		})
	}
}
