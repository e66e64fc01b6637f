package plan

import (
	"math"
	"testing"
	"time"

	"henyear/holding"
	"henyear/measure"
	"henyear/solve"
)

// tryAll finds the least cost of a programme by trying every combination of its
// whole columns and settling the rest as a linear programme each time. A branch
// is left only where what is fixed so far breaks a row, whatever it costs.
type tryAll struct {
	t       *testing.T
	s       *solve.Session
	m       *solve.Model
	cols    []solve.Col
	rows    []wholeRow
	value   []float64
	best    float64
	tried   int
	settled int
}

// wholeRow is a row in which only whole columns stand.
type wholeRow struct {
	lo, hi float64
	a      []float64 // by position in cols
}

func newTryAll(t *testing.T, m *solve.Model) *tryAll {
	e := &tryAll{t: t, s: session(t), m: m.Clone(), best: math.Inf(1)}
	n := m.Columns()
	mixed := make([]bool, m.Rows())
	whole := make([][]float64, m.Rows())
	for c := range n {
		unit := make([]float64, n)
		unit[c] = 1
		col := solve.Col(c)
		if m.IsWhole(col) {
			e.cols = append(e.cols, col)
		}
		for r, v := range m.Activity(unit) {
			if v == 0 {
				continue
			}
			if !m.IsWhole(col) {
				mixed[r] = true
				continue
			}
			for len(whole[r]) < len(e.cols)-1 {
				whole[r] = append(whole[r], 0)
			}
			whole[r] = append(whole[r], v)
		}
	}
	for r, a := range whole {
		if a == nil || mixed[r] {
			continue
		}
		lo, hi := m.RowBounds(solve.Row(r))
		e.rows = append(e.rows, wholeRow{lo, hi, append(a, make([]float64, len(e.cols)-len(a))...)})
	}
	e.value = make([]float64, len(e.cols))
	return e
}

// broken reports whether no choice for the columns from k on can mend a row.
func (e *tryAll) broken(k int) bool {
	for _, r := range e.rows {
		least, most := 0.0, 0.0
		for i, a := range r.a {
			lo, hi := e.m.Bounds(e.cols[i])
			if i < k {
				lo, hi = e.value[i], e.value[i]
			}
			least += min(a*lo, a*hi)
			most += max(a*lo, a*hi)
		}
		if least > r.hi+1e-9 || most < r.lo-1e-9 {
			return true
		}
	}
	return false
}

func (e *tryAll) from(k int) {
	if e.broken(k) {
		return
	}
	r, err := e.s.Solve(e.t.Context(), e.m, solve.Options{Relax: true})
	if err != nil {
		e.t.Fatal(err)
	}
	e.tried++
	switch {
	case !r.Feasible:
		return // whatever the others are
	case k == len(e.cols):
		e.settled++
		e.best = min(e.best, r.Objective)
		return
	}
	lo, hi := e.m.Bounds(e.cols[k])
	for v := lo; v <= hi; v++ {
		e.value[k] = v
		e.m.SetBounds(e.cols[k], v, v)
		e.from(k + 1)
		e.m.SetBounds(e.cols[k], lo, hi)
	}
}

func TestTheBestPlanIsThatOfTryingEverything(t *testing.T) {
	for _, c := range []struct {
		name    string
		weeks   int
		hatches bool
		h       func() *holding.Holding
	}{
		{"chicks bought in spring, one butcher day, cocks to keep or to eat", 24, false, func() *holding.Holding {
			h := cottage(t)
			h.Birds = example(t, "valley").Birds
			h.Means.ButcherDaysAYear = 1
			h.Needs.SelfRenewing = false
			o := offer("sussex", holding.Chicks, 4, time.March, time.April)
			o.SmallestOrder, o.LargestOrder = 6, 20
			meat := offer("ranger-coloured", holding.Chicks, 2.2, time.January, time.February)
			meat.SmallestOrder, meat.LargestOrder = 10, 30
			h.Stock = []holding.Offer{o, meat}
			return h
		}},
		{"own eggs in the machine on the few weeks that the keeper is at home", 38, true, func() *holding.Holding {
			h := cottage(t)
			h.Birds = append(h.Birds, example(t, "valley").Birds[2]) // the cocks
			h.Means.MachineEggs, h.Means.ButcherDaysAYear = 24, 2
			h.Needs.SelfRenewing = true
			h.Prices.ShopChickenPerKg = 30 // so that a hatch pays before the horizon ends
			h.Means.Away = []holding.Away{
				{From: measure.Date{Year: 2027, Month: time.February, Day: 6}, To: measure.Date{Year: 2027, Month: time.February, Day: 28}},
				{From: measure.Date{Year: 2027, Month: time.April, Day: 5}, To: measure.Date{Year: 2027, Month: time.May, Day: 2}},
				{From: measure.Date{Year: 2027, Month: time.June, Day: 1}, To: measure.Date{Year: 2027, Month: time.June, Day: 30}},
			}
			return h
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			pr := over(t, c.h(), Options{Lights: "none"}, c.weeks)
			e := newTryAll(t, pr.m)
			e.from(0)
			t.Logf("%d whole columns of %d, %d linear programmes, %d plans", len(e.cols), pr.m.Columns(), e.tried, e.settled)
			if e.settled < 20 {
				t.Fatalf("only %d plans to choose from", e.settled)
			}
			s := newSearch(planner(t), &joint{pr, pr.m}, Options{Gap: 1e-7, TimeLimit: 10 * time.Second}, false, time.Now(), nil)
			defer s.end()
			if err := s.begin(t.Context()); err != nil {
				t.Fatal(err)
			}
			if err := s.carryOn(t.Context()); err != nil {
				t.Fatal(err)
			}
			if a := (answer{pr, s.best}); c.hatches != (total(a.eggsSet()) > 0.5) {
				t.Errorf("%.1f eggs are set: the case is not about what it says", total(a.eggsSet()))
			}
			if !near(s.bestCost, e.best, 1e-4*(1+math.Abs(e.best))) {
				t.Errorf("the search finds %.5f, trying everything %.5f", s.bestCost, e.best)
			}
			if bound := s.allBound(); bound > e.best+1e-4*(1+math.Abs(e.best)) {
				t.Errorf("the bound is %.5f, above the best plan at %.5f", bound, e.best)
			}
		})
	}
}

func total(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum
}
