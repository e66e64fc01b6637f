package advise

import (
	"math"

	"henyear/plan"
)

// A span is where the least cost of a programme lies: no plan costs less than
// bound, and a plan for cost was found.
type span struct{ bound, cost float64 }

// raised lifts the bound of a programme by that of a looser one. Whatever can be
// done within the tight limits can be done within the loose ones, so the least
// cost of the loose programme is no higher, and what bounds it from below bounds
// the tight one as well.
func (s span) raised(looser float64) span {
	return span{min(s.cost, max(s.bound, looser)), s.cost}
}

// interval is the least and the most that a change can be worth, when the least
// cost lies in before without it and in after with it. The worth is the fall in
// the least cost, but never less than nothing: whoever has been given something
// may leave it unused and go on as before.
//
//	low  = max(0, before.bound - after.cost)
//	high = max(0, before.cost - after.bound)
func interval(before, after span) (low, high float64) {
	return max(0, before.bound-after.cost), max(0, before.cost-after.bound)
}

// blur is the worth that the solver's own tolerances could feign: a hundred
// thousandth of the money that is moved.
func blur(base *plan.Plan) float64 {
	return 1e-5 * max(1, base.GrossOutlay, math.Abs(base.Cost))
}
