package solve

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// Options say when a solve may stop and what it starts from. The zero value
// solves to the proven optimum without any limit.
type Options struct {
	// TimeLimit asks the solver to stop; it usually does within a second, but
	// not always. Zero: no limit.
	TimeLimit time.Duration
	// HardLimit ends the solve whatever the solver does. Zero: the time limit
	// and a quarter more, at least two seconds more; none without time limit.
	// With a HardLimit alone the solver is asked to stop a little before it.
	HardLimit time.Duration
	// AbsGap and RelGap stop a solve once best-bound is within AbsGap, or
	// within RelGap of the best. Zero asks for proof.
	AbsGap, RelGap float64
	// NodeLimit stops after so many nodes of the search tree, the same way each
	// time. Zero: no limit.
	NodeLimit int
	// Start is an answer to begin from, one value for each column; NaN where
	// the caller does not know. An answer that passes Model.Check is kept as
	// the best so far, so the result is never worse. Others are a hint.
	Start []float64
	// OnBetter hears of each better answer that passed the check, in order, on
	// another goroutine. bound is -Inf while the solver has none. It must
	// return quickly and may keep x. No call comes after Solve returned.
	OnBetter func(x []float64, objective, bound float64, seconds float64)
	// OnBound hears of each better bound.
	OnBound func(bound, seconds float64)
	// Relax solves with fractions allowed everywhere.
	Relax bool
	// Seed varies the solver's own choices; zero is the usual order.
	Seed int32
	// Heuristics is the share of work for finding good answers as against
	// proving them, 0 to 1; zero leaves the solver's own (0.05).
	Heuristics float64
}

// Status says how a solve ended.
type Status int

const (
	Unknown    Status = iota // the solver gave up; see Feasible
	Optimal                  // proven within the gap asked for
	Infeasible               // no answer keeps all rows and bounds
	Unbounded                // the cost can fall without end
	TimeLimit                // stopped by the clock (soft or hard limit)
	WorkLimit                // stopped by NodeLimit
	Cancelled                // stopped because the context ended
)

func (s Status) String() string {
	names := [...]string{"unknown", "optimal", "infeasible", "unbounded", "stopped by the clock", "work limit", "cancelled"}
	if s < 0 || int(s) >= len(names) {
		return names[0]
	}
	return names[s]
}

// Result is what came of a solve.
type Result struct {
	Status Status
	// Feasible says that X is an answer that passed Model.Check with Tolerance.
	Feasible bool
	// Objective is the cost of X; +Inf when there is none.
	Objective float64
	// Bound is proven: no answer costs less. -Inf when nothing is proven.
	Bound float64
	// X has one value for each column; nil when not Feasible.
	X []float64
	// RowDual says by how much the optimal cost rises for one unit more on the
	// limit that holds the row (zero where none does), ColDual for one unit
	// more on a column's bound. Only for a linear programme that is Optimal.
	RowDual, ColDual []float64
	// Nodes of the search tree, Seconds on the wall.
	Nodes   int64
	Seconds float64
	// Overran says that the solver did not stop when asked and was cut off; X
	// is the best it had told of.
	Overran bool
	// Fault says why the solver gave up, when it did and X is what it had found
	// before; nil otherwise.
	Fault error
	// MemoryMiB is the solver's memory at the end, 0 when it was cut off.
	MemoryMiB float64
}

// Gap is Objective - Bound, +Inf when either is missing.
func (r Result) Gap() float64 {
	if !r.Feasible || math.IsInf(r.Bound, -1) {
		return math.Inf(1)
	}
	return math.Max(0, r.Objective-r.Bound)
}

func (o Options) sound(columns int) error {
	if o.Start != nil && len(o.Start) != columns {
		return fmt.Errorf("the starting answer has %d values and the programme %d columns", len(o.Start), columns)
	}
	if o.TimeLimit < 0 || o.HardLimit < 0 || o.NodeLimit < 0 || !(o.AbsGap >= 0) || !(o.RelGap >= 0) {
		return errors.New("limits and gaps of a solve cannot be negative")
	}
	if !(o.Heuristics >= 0 && o.Heuristics <= 1) {
		return errors.New("the share of work for heuristics must lie from 0 to 1")
	}
	return nil
}

// hardLimit is when to cut off, 0 for never.
func (o Options) hardLimit() time.Duration {
	if o.HardLimit > 0 || o.TimeLimit == 0 {
		return o.HardLimit
	}
	return o.TimeLimit + max(2*time.Second, o.TimeLimit/4)
}

// softLimit is when to ask the solver to stop, 0 for never.
func (o Options) softLimit() time.Duration {
	if o.TimeLimit > 0 || o.HardLimit == 0 {
		return o.TimeLimit
	}
	return o.HardLimit - min(time.Second, o.HardLimit/5)
}
