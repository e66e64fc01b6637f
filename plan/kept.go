package plan

import (
	"context"
	"time"

	"henyear/holding"
	"henyear/solve"
)

// Kept is what a former plan costs in a holding if the household goes through with
// it: the same hatches, orders and whole birds, only what flows week by week (eggs
// eaten, sold and missed, feed) follows the holding. It reports false where that plan
// cannot be carried out there, as when lamps make other weeks those of hatching. The cost is in main units of money over the horizon,
// as Plan.Cost; lit says whether lamps burn.
func (p *Planner) Kept(ctx context.Context, h *holding.Holding, opt Options, former *Plan, lit bool) (cost float64, can bool, err error) {
	j, err := p.build(h, opt, lit)
	if err != nil {
		return 0, false, err
	}
	if !j.knows(former) {
		return 0, false, nil
	}
	opt.Start = former.Point
	s := newSearch(p, j, opt, lit, time.Now(), nil)
	if s.sess, err = p.engine.Session(ctx); err != nil {
		return 0, false, err
	}
	defer s.end()
	s.fromStart(ctx)
	if s.best == nil {
		return 0, false, ctx.Err()
	}
	return s.trueCost(s.bestCost), true, nil
}

// knows reports whether a programme has every column that a plan uses.
func (j *joint) knows(former *Plan) bool {
	have := make(map[string]bool, j.model.Columns())
	for c := range j.model.Columns() {
		have[j.model.ColName(solve.Col(c))] = true
	}
	for name := range former.Point {
		if !have[name] {
			return false
		}
	}
	return true
}
