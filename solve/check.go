package solve

import (
	"fmt"
	"math"
)

// Tolerance is how far an answer may break a bound or a row, for bounds of size
// one; larger bounds are given more in proportion (see Check). It is the usual
// feasibility tolerance of linear solvers.
const Tolerance = 1e-6

// wholeTolerance is how far a whole column may lie from a whole number before
// it is snapped to it.
const wholeTolerance = 1e-6

// Activity returns the sum of each row at x, one value for each column wanted.
func (m *Model) Activity(x []float64) []float64 {
	p, err := m.freeze()
	if err != nil || len(x) != len(p.Cost) {
		return make([]float64, len(m.rows))
	}
	return p.activity(x)
}

// Objective returns the cost of x, NaN when x has the wrong length.
func (m *Model) Objective(x []float64) float64 {
	p, err := m.freeze()
	if err != nil || len(x) != len(p.Cost) {
		return math.NaN()
	}
	return p.objective(x)
}

// Check says whether x answers the programme as frozen: each column within its
// bounds, each whole column whole, each row within its limits, all to
// tol*(1+|limit|). The error names the first column or row that is broken and
// by how much.
func (m *Model) Check(x []float64, tol float64) error {
	p, err := m.freeze()
	if err != nil {
		return err
	}
	return p.check(x, tol)
}

func (p *programme) check(x []float64, tol float64) error {
	if len(x) != len(p.Cost) {
		return fmt.Errorf("the answer has %d values and the programme %d columns", len(x), len(p.Cost))
	}
	for j, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%s is not a number", p.columnName(j))
		}
		if p.Matrix.Whole[j] && math.Abs(v-math.Round(v)) > tol {
			return fmt.Errorf("%s is %g and must be whole", p.columnName(j), v)
		}
		if outside(v, p.ColLo[j], p.ColHi[j], tol) {
			return fmt.Errorf("%s is %g, outside %g to %g", p.columnName(j), v, p.ColLo[j], p.ColHi[j])
		}
	}
	for i, sum := range p.activity(x) {
		if outside(sum, p.RowLo[i], p.RowHi[i], tol) {
			return fmt.Errorf("%s is %.9g, outside %g to %g", p.rowName(i), sum, p.RowLo[i], p.RowHi[i])
		}
	}
	return nil
}

func outside(v, lo, hi, tol float64) bool {
	return v < lo-tol*(1+math.Abs(lo)) || v > hi+tol*(1+math.Abs(hi))
}

// snap makes whole columns exactly whole and pulls values that a solver left a
// hair outside their bounds back onto them. It changes x.
func (p *programme) snap(x []float64) {
	for j, v := range x {
		if p.Matrix.Whole[j] {
			if r := math.Round(v); math.Abs(r-v) <= 10*wholeTolerance {
				v = r
			}
		}
		if v < p.ColLo[j] && !outside(v, p.ColLo[j], p.ColHi[j], Tolerance) {
			v = p.ColLo[j]
		}
		if v > p.ColHi[j] && !outside(v, p.ColLo[j], p.ColHi[j], Tolerance) {
			v = p.ColHi[j]
		}
		if v == 0 {
			v = 0 // no negative zero in an answer
		}
		x[j] = v
	}
}
