package solve

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"
)

// sharedSession is one session for the many tiny programmes of a property test.
func sharedSession(t *testing.T) *Session {
	s, err := engine(t).Session(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	return s
}

// tinyWhole draws a programme of up to four whole columns, each from a small
// range, so that every answer can be tried.
func tinyWhole(t *rapid.T) *Model {
	m := NewModel("tiny")
	figure := rapid.IntRange(-5, 5)
	for j := range rapid.IntRange(1, 4).Draw(t, "columns") {
		lo := rapid.IntRange(-2, 2).Draw(t, "lo")
		m.Whole(fmt.Sprint("x", j), float64(figure.Draw(t, "cost")), float64(lo), float64(lo+rapid.IntRange(0, 4).Draw(t, "width")))
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "rows") {
		lo := rapid.IntRange(-8, 8).Draw(t, "rowLo")
		r := m.Row(fmt.Sprint("r", i), float64(lo), float64(lo+rapid.IntRange(0, 12).Draw(t, "rowWidth")))
		for j := range m.Columns() {
			if v := figure.Draw(t, "a"); v != 0 {
				m.Add(r, Col(j), float64(v))
			}
		}
	}
	return m
}

// everyAnswer calls use with each whole answer within the bounds.
func everyAnswer(m *Model, x []float64, use func([]float64)) {
	if len(x) == m.Columns() {
		use(x)
		return
	}
	lo, hi := m.Bounds(Col(len(x)))
	for v := lo; v <= hi; v++ {
		everyAnswer(m, append(x, v), use)
	}
}

func TestNoAnswerTriedByHandBeatsTheSolver(t *testing.T) {
	s := sharedSession(t)
	rapid.Check(t, func(t *rapid.T) {
		m := tinyWhole(t)
		cheapest := inf
		everyAnswer(m, nil, func(x []float64) {
			if m.Check(x, 1e-9) == nil {
				cheapest = min(cheapest, m.Objective(x))
			}
		})
		r, err := s.Solve(context.Background(), m, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if math.IsInf(cheapest, 1) {
			if r.Status != Infeasible {
				t.Fatalf("no answer exists, yet the solver says %v", r.Status)
			}
			return
		}
		if r.Status != Optimal || r.Objective != cheapest || r.Bound > cheapest+1e-6 {
			t.Fatalf("%v, cost %g, bound %g; tried by hand %g", r.Status, r.Objective, r.Bound, cheapest)
		}
		if err := m.Check(r.X, 1e-9); err != nil {
			t.Fatal(err)
		}
	})
}

// drawLinear draws a linear programme with limits of every kind that has the
// answer x = 1, 1, ...
func drawLinear(t *rapid.T) *Model {
	m := NewModel("linear")
	figure := rapid.Float64Range(-4, 4)
	for j := range rapid.IntRange(2, 8).Draw(t, "columns") {
		lo, hi := -rapid.Float64Range(0, 3).Draw(t, "below"), 1+rapid.Float64Range(0, 5).Draw(t, "above")
		m.Column(fmt.Sprint("x", j), math.Round(8*figure.Draw(t, "cost"))/8, lo, hi)
	}
	for i := range rapid.IntRange(1, 6).Draw(t, "rows") {
		r, sum := m.Row(fmt.Sprint("r", i), -inf, inf), 0.0
		for j := range m.Columns() {
			v := math.Round(8*figure.Draw(t, "a")) / 8
			m.Add(r, Col(j), v)
			sum += v
		}
		lo, hi := sum-rapid.Float64Range(0, 3).Draw(t, "slackBelow"), sum+rapid.Float64Range(0, 3).Draw(t, "slackAbove")
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			hi = inf
		case 1:
			lo = -inf
		case 2:
			lo, hi = sum, sum
		}
		m.SetRowBounds(r, lo, hi)
	}
	return m
}

// Strong duality: the cost of the optimum equals the value of the limits at
// their dual prices. Complementary slackness: a price is paid only for a limit
// that is met.
func TestPricesOfLimitsAddUpToTheCost(t *testing.T) {
	s := sharedSession(t)
	rapid.Check(t, func(t *rapid.T) {
		m := drawLinear(t)
		r, err := s.Solve(context.Background(), m, Options{})
		if err != nil || r.Status != Optimal || r.RowDual == nil {
			t.Fatalf("%v %v", r.Status, err)
		}
		p, _ := m.freeze()
		const tol = 1e-6
		worth := 0.0
		price := func(what string, dual, value, lo, hi float64) {
			if math.Abs(dual) < 1e-7 {
				return
			}
			limit := lo
			if dual < 0 {
				limit = hi
			}
			if math.Abs(value-limit) > tol*(1+math.Abs(limit)) {
				t.Fatalf("%s has a price of %g and is %g, not at its limit %g", what, dual, value, limit)
			}
			worth += dual * limit
		}
		for i, value := range m.Activity(r.X) {
			price(p.rowName(i), r.RowDual[i], value, p.RowLo[i], p.RowHi[i])
		}
		for j, value := range r.X {
			price(p.columnName(j), r.ColDual[j], value, p.ColLo[j], p.ColHi[j])
			reduced := p.Cost[j]
			for k := p.Matrix.Start[j]; k < p.Matrix.Start[j+1]; k++ {
				reduced -= p.Matrix.Value[k] * r.RowDual[p.Matrix.Index[k]]
			}
			if math.Abs(reduced-r.ColDual[j]) > tol {
				t.Fatalf("%s costs %g after the prices of its rows, but its own price is %g", p.columnName(j), reduced, r.ColDual[j])
			}
		}
		if math.Abs(worth-r.Objective) > 1e-5*(1+math.Abs(worth)) {
			t.Fatalf("the limits are worth %g, the optimum costs %g", worth, r.Objective)
		}
	})
}

func TestAnotherSimplexFindsTheSameCost(t *testing.T) {
	s := sharedSession(t)
	rapid.Check(t, func(t *rapid.T) {
		columns, rows := rapid.IntRange(3, 9).Draw(t, "columns"), rapid.IntRange(1, 3).Draw(t, "rows")
		figure := rapid.IntRange(1, 9)
		m := NewModel("equations")
		cost, a, b := make([]float64, columns), mat.NewDense(rows, columns, nil), make([]float64, rows)
		for j := range cost {
			cost[j] = float64(figure.Draw(t, "cost"))
			m.Column("", cost[j], 0, inf)
		}
		for i := range rows {
			for j := range columns {
				v := float64(figure.Draw(t, "a"))
				a.Set(i, j, v)
				b[i] += v
			}
			r := m.Row("", b[i], b[i])
			for j := range columns {
				m.Add(r, Col(j), a.At(i, j))
			}
		}
		want, _, err := lp.Simplex(cost, a, b, 1e-10, nil)
		if err != nil {
			t.Skip(err) // it does not take equations that depend on each other
		}
		r, err := s.Solve(context.Background(), m, Options{})
		if err != nil || r.Status != Optimal || math.Abs(r.Objective-want) > 1e-6*(1+math.Abs(want)) {
			t.Fatalf("%v %v: %g here, %g there", r.Status, err, r.Objective, want)
		}
	})
}

func TestACostThatFallsForEverIsCalledSo(t *testing.T) {
	for _, whole := range []bool{false, true} {
		m := NewModel("no end")
		a, b := m.Column("a", -1, 0, inf), m.Column("b", 0, 0, inf)
		if whole {
			m = NewModel("no end")
			a, b = m.Whole("a", -1, 0, inf), m.Whole("b", 0, 0, inf)
		}
		r := m.Row("r", -inf, 3)
		m.Add(r, a, 1)
		m.Add(r, b, -1)
		if got := mustSolve(t, m, Options{}); got.Status != Unbounded || got.Feasible {
			t.Errorf("whole %v: %+v", whole, got)
		}
	}
}

func TestLimitsThatExcludeEachOtherHaveNoAnswer(t *testing.T) {
	m := chicks()
	m.SetBounds(0, 3, 2)
	if r := mustSolve(t, m, Options{}); r.Status != Infeasible {
		t.Error(r.Status)
	}
	m.SetBounds(0, 0.2, 0.8) // no whole number between
	if r := mustSolve(t, m, Options{}); r.Status != Infeasible {
		t.Error(r.Status)
	}
	if r := mustSolve(t, m, Options{Relax: true}); r.Status != Optimal {
		t.Error(r.Status)
	}
}

func TestAnUnsoundProgrammeIsRefusedWithTheNameOfItsFault(t *testing.T) {
	for want, spoil := range map[string]func(*Model){
		`"b"`:            func(m *Model) { m.SetCost(1, math.NaN()) },
		`"meat"`:         func(m *Model) { m.SetRowBounds(1, math.NaN(), 1) },
		`"a" in row "eg`: func(m *Model) { m.Add(0, 0, inf) },
		"row 7":          func(m *Model) { m.Add(7, 0, 1) },
		"constant":       func(m *Model) { m.Offset(inf) },
	} {
		m := chicks()
		spoil(m)
		if _, err := engine(t).Solve(t.Context(), m, Options{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("wanted %s, got %v", want, err)
		}
	}
	if _, err := engine(t).Solve(t.Context(), chicks(), Options{Start: []float64{1}}); err == nil {
		t.Error("a start of another length was taken")
	}
	if _, err := engine(t).Solve(t.Context(), NewModel("empty"), Options{}); err == nil {
		t.Error("an empty programme was taken")
	}
}

func TestAColumnCanBeFreedFromWholeNumbers(t *testing.T) {
	m := chicks()
	m.SetWhole(0, false)
	m.SetWhole(0, false)
	if m.Wholes() != 1 || m.IsWhole(0) || !m.IsWhole(1) {
		t.Errorf("%d whole columns", m.Wholes())
	}
	// by hand: with b = 3 whole, a = 1 still; b = 2 wants a = 3, cost 17; b = 4 wants a = 2/3, cost 18
	if r := mustSolve(t, m, Options{}); math.Abs(r.Objective-15) > 1e-9 {
		t.Error(r.Objective)
	}
	half := chicks()
	half.NonZeros() // frozen once before the change
	half.KeepWhole(func(c Col) bool { return c == 1 })
	if half.Wholes() != 1 || half.IsWhole(0) || !half.IsWhole(1) || half.shaped().Whole[0] {
		t.Errorf("%d whole columns kept", half.Wholes())
	}
	s, fixed := sharedSession(t), m.Clone()
	fixed.FixWholes([]float64{0, 4})
	r, err := s.Solve(t.Context(), fixed, Options{Relax: true})
	if err != nil || math.Abs(r.Objective-18) > 1e-9 || r.RowDual == nil {
		t.Errorf("%+v %v", r, err)
	}
	if lo, hi := m.Bounds(1); lo != 0 || hi != 20 {
		t.Error("fixing the copy changed the model")
	}
}

func TestTheCheckNamesTheBrokenRow(t *testing.T) {
	m := chicks()
	for want, x := range map[string][]float64{`row "eggs" is 6`: {2, 2}, `"a" is 1.5 and must be whole`: {1.5, 3}, `"b" is 21`: {1, 21}, "1 values": {1}} {
		if err := m.Check(x, Tolerance); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: wanted %s, got %v", x, want, err)
		}
	}
	if err := m.Check([]float64{1, 3}, Tolerance); err != nil {
		t.Error(err)
	}
}

func TestCoefficientsKeepSixSignificantDigits(t *testing.T) {
	for given, want := range map[float64]float64{0.123456789: 0.123457, 123.4567891: 123.457, 1234567: 1234567, -0.00098765432: -0.000987654, 0.1 + 0.2: 0.3} {
		if got := rounded(given); got != want {
			t.Errorf("%v became %v, wanted %v", given, got, want)
		}
	}
}

func TestCoefficientsOfOnePlaceAddUp(t *testing.T) {
	m := NewModel("sum")
	c := m.Column("c", 1, 0, inf)
	r := m.Row("r", 3, inf)
	m.Add(r, c, 1.25)
	m.Add(r, c, 0.25)
	m.Add(r, c, 0)
	if got := m.Activity([]float64{2}); got[0] != 3 || m.NonZeros() != 1 {
		t.Errorf("%v with %d coefficients", got, m.NonZeros())
	}
	m.Add(r, c, -1.5)
	if m.NonZeros() != 0 {
		t.Error("a coefficient of nothing is kept")
	}
}
