package plan

import (
	"bytes"
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"henyear/breed"
	"henyear/course"
	"henyear/holding"
	"henyear/solve"
	"henyear/solve/oracle"
)

// exported lists real programmes small enough for every solver: the first weeks
// of each example's plan with all its whole columns, and steady years.
func exported(t *testing.T) map[string]*solve.Model {
	t.Helper()
	out := map[string]*solve.Model{}
	for _, name := range []string{"valley", "plain", "forest", "us-units"} {
		h := example(t, name)
		out[name+", 20 weeks"] = over(t, h, Options{Lights: "none"}, 20).m
		out[name+", 30 weeks"] = over(t, h, Options{Lights: "none"}, 30).m
	}
	out["forest with lamps, 26 weeks"] = over(t, example(t, "forest"), Options{Lights: "on"}, 26).m
	out["valley in weekly rows, 12 weeks"] = over(t, example(t, "valley"), Options{Naive: true, Lights: "none"}, 12).m
	for _, id := range []string{"sussex", "isa-brown", "brahma", "cornish-cross"} {
		out["steady year of "+id] = steadyModel(t, example(t, "valley"), id)
	}
	return out
}

func steadyModel(t *testing.T, h *holding.Holding, id string) *solve.Model {
	t.Helper()
	b, err := breed.Find(id)
	if err != nil {
		t.Fatal(err)
	}
	stocks := []stock{{b, strainFor(h, b)}}
	c := alone(h, stocks, true)
	opt := Options{}
	if canRenew(h, b) {
		opt.working = 1
	}
	return newProgramme(c, course.New(c, false, opt.rates()), opt, steadyGrid(), stocks).m
}

// CBC and GLPK are solvers of other authors; they read the programme as exported
// in MPS and must come to the same optimum.
func TestTwoOtherSolversFindTheSameOptimum(t *testing.T) {
	agreed := 0
	for name, m := range exported(t) {
		want := whole(t, m)
		if !want.Feasible {
			t.Errorf("%s: no answer", name)
			continue
		}
		var mps bytes.Buffer
		if err := m.WriteMPS(&mps); err != nil {
			t.Fatal(err)
		}
		both := true
		for solver, ask := range map[string]func(context.Context, []byte) (float64, error){"CBC": oracle.CBC, "GLPK": oracle.GLPK} {
			ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
			got, err := ask(ctx, mps.Bytes())
			slow := ctx.Err() != nil
			cancel()
			switch {
			case errors.Is(err, oracle.ErrMissing) && !strict():
				t.Skipf("%v", err)
			case slow:
				t.Logf("%s: %s needs more than 10 s", name, solver)
				both = false
			case err != nil:
				t.Errorf("%s: %s: %v", name, solver, err)
			case math.Abs(got-want.Objective) > 2e-4*(1+math.Abs(got)):
				t.Errorf("%s: %s finds %.4f, the program %.4f", name, solver, got, want.Objective)
			}
		}
		if both {
			agreed++
		}
	}
	if agreed < 10 {
		t.Errorf("only %d programmes were solved by both within 10 s", agreed)
	}
}

func TestTheBestOpeningOfBatchesIsThatOfTryingThemAll(t *testing.T) {
	pr := over(t, example(t, "forest"), Options{Lights: "none"}, 40)
	m := pr.m.Clone()
	var flags []solve.Col
	for i := range pr.slots {
		if z := pr.cols[i].exists; z != none {
			if len(flags) < 7 {
				flags = append(flags, z)
			} else {
				m.SetBounds(z, 0, 0)
			}
		}
	}
	m.KeepWhole(func(c solve.Col) bool { return strings.HasPrefix(m.ColName(c), "is_") })
	found := whole(t, m)
	s := session(t)
	best := math.Inf(1)
	for open := range 1 << len(flags) {
		for k, z := range flags {
			v := float64(open >> k & 1)
			m.SetBounds(z, v, v)
		}
		if r, err := s.Solve(t.Context(), m, solve.Options{Relax: true}); err == nil && r.Feasible {
			best = min(best, r.Objective)
		}
	}
	if !alike(found.Objective, best) {
		t.Errorf("the solver finds %.4f, trying all %d ways %.4f", found.Objective, 1<<len(flags), best)
	}
}

func TestMoreMeansNeverMakeThePlanDearer(t *testing.T) {
	s := session(t)
	for _, name := range []string{"valley", "plain"} {
		h := example(t, name)
		h.Means.Lights = "none"
		before := relaxed(t, s, over(t, h, Options{}, 80))
		for what, more := range map[string]func(*holding.Means){
			"minutes": func(m *holding.Means) { m.MinutesADay += 10 },
			"machine": func(m *holding.Means) { m.MachineEggs *= 2 },
			"freezer": func(m *holding.Means) { m.FreezerL += 100 },
			"brooder": func(m *holding.Means) { m.BrooderChicks += 20 },
			"days":    func(m *holding.Means) { m.ButcherDaysAYear++ },
			"shelter": func(m *holding.Means) { m.CoveredRunM2 += 10 },
		} {
			c := h.Clone()
			more(&c.Means)
			if after := relaxed(t, s, over(t, c, Options{}, 80)); after > before+1e-4*(1+math.Abs(before)) {
				t.Errorf("%s: more %s costs %.3f instead of %.3f", name, what, after, before)
			}
		}
	}
}
