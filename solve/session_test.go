package solve

import (
	"math"
	"testing"
	"time"
)

// steady is a linear programme of the size of one breed's year: about 300
// columns and 250 rows.
func steady(seed uint64) *Model { return flock(52, 1, 4, 1, 1, seed) }

func TestASessionSolvesManyYearsOneAfterTheOther(t *testing.T) {
	s, err := engine(t).Session(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	t.Log(steady(1).Columns(), steady(1).Rows(), steady(1).NonZeros())
	begun := time.Now()
	const years = 40
	for seed := range uint64(years) {
		m := steady(seed)
		r, err := s.Solve(t.Context(), m, Options{Relax: true})
		if err != nil || r.Status != Optimal {
			t.Fatalf("year %d: %v %v", seed, r.Status, err)
		}
		if seed%20 == 0 {
			if alone := mustSolve(t, m, Options{Relax: true}); math.Abs(alone.Objective-r.Objective) > 1e-7*r.Objective {
				t.Errorf("year %d: %g in the session, %g alone", seed, r.Objective, alone.Objective)
			}
		}
	}
	t.Logf("%v each, new models; memory %.0f MiB", time.Since(begun)/years, s.MemoryMiB())
	begun = time.Now()
	m := steady(1)
	for i := range years {
		m.SetRowBounds(0, 30+float64(i), inf)
		m.SetCost(0, 2+float64(i)/10)
		m.SetBounds(1, 0, float64(i%5))
		r, err := s.Solve(t.Context(), m, Options{Relax: true})
		if err != nil || r.Status != Optimal {
			t.Fatalf("change %d: %v %v", i, r.Status, err)
		}
		if i%20 == 7 {
			if alone := mustSolve(t, m, Options{Relax: true}); math.Abs(alone.Objective-r.Objective) > 1e-7*r.Objective {
				t.Errorf("change %d: %g in the session, %g alone", i, r.Objective, alone.Objective)
			}
		}
	}
	t.Logf("%v each, changed figures; memory %.0f MiB", time.Since(begun)/years, s.MemoryMiB())
}
