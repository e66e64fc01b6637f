package solve

import (
	"math"
	"slices"
	"testing"
	"time"
)

func TestAGoodPlanToStartFromIsNeverLost(t *testing.T) {
	m := flock(52, 2, 4, 1, 1, 9)
	first := mustSolve(t, m, Options{NodeLimit: 1, RelGap: 0.05})
	if !first.Feasible {
		t.Fatal(first.Status)
	}
	told := 0
	again := mustSolve(t, m, Options{Start: first.X, TimeLimit: time.Millisecond,
		OnBetter: func(_ []float64, objective, _, _ float64) {
			told++
			if objective >= first.Objective {
				t.Errorf("told of %g, which is no better than the start", objective)
			}
		}})
	if !again.Feasible || again.Objective > first.Objective || again.Status != TimeLimit {
		t.Errorf("%v with %g after a start at %g", again.Status, again.Objective, first.Objective)
	}
	part := slices.Clone(first.X)
	for j := range part {
		if !m.IsWhole(Col(j)) {
			part[j] = math.NaN()
		}
	}
	filled := mustSolve(t, m, Options{Start: part, NodeLimit: 1, RelGap: 0.05})
	if !filled.Feasible || filled.Objective > first.Objective+1e-6 {
		t.Errorf("%g from a start without its purchases, %g with them", filled.Objective, first.Objective)
	}
}

func TestAStopByWorkGivesTheSameAnswerTwice(t *testing.T) {
	m := flock(52, 2, 4, 4, 4, 2)
	o := Options{NodeLimit: 2}
	one, two := mustSolve(t, m, o), mustSolve(t, m, o)
	if one.Status != WorkLimit {
		t.Errorf("stopped by %v", one.Status)
	}
	if !slices.Equal(one.X, two.X) || one.Bound != two.Bound || one.Nodes != two.Nodes {
		t.Errorf("%g, bound %g, %d nodes; then %g, bound %g, %d nodes", one.Objective, one.Bound, one.Nodes, two.Objective, two.Bound, two.Nodes)
	}
}

func TestAStopByTheClockSaysSoAndKeepsItsBound(t *testing.T) {
	r := mustSolve(t, hard(), Options{TimeLimit: 700 * time.Millisecond})
	if r.Status != TimeLimit || !r.Feasible || math.IsInf(r.Bound, -1) || r.Bound > r.Objective || r.Seconds > 3 {
		t.Errorf("%v after %.1f s, cost %g, bound %g", r.Status, r.Seconds, r.Objective, r.Bound)
	}
}

func TestASessionGoesOnAfterItWasCutOff(t *testing.T) {
	s := sharedSession(t)
	r, err := s.Solve(t.Context(), hard(), Options{TimeLimit: time.Hour, HardLimit: 800 * time.Millisecond})
	if err != nil || !r.Overran || r.Status != TimeLimit || !r.Feasible {
		t.Errorf("%v %v", r.Status, err)
	}
	r, err = s.Solve(t.Context(), chicks(), Options{})
	if err != nil || r.Objective != 15 {
		t.Errorf("%+v %v", r, err)
	}
}

func TestRaisingAProgrammesDemandNeverMakesItCheaper(t *testing.T) {
	s, m := sharedSession(t), chicks()
	before := 0.0
	for eggs := range 20 {
		m.SetRowBounds(0, float64(eggs), inf)
		r, err := s.Solve(t.Context(), m, Options{})
		if err != nil || r.Status != Optimal {
			t.Fatal(r.Status, err)
		}
		if r.Objective < before {
			t.Errorf("%d eggs cost %g, one less %g", eggs, r.Objective, before)
		}
		before = r.Objective
	}
}
