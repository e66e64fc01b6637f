package plan

import (
	"bytes"
	"context"
	"errors"
	"maps"
	"math"
	"slices"
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
		m := steadyModel(t, example(t, "valley"), id)
		out["steady year of "+id] = m
		if canRenew(example(t, "valley"), must(breed.Find(id))) {
			out["steady year of "+id+" in whole eggs"] = wholeEggs(m)
		}
	}
	return out
}

// wholeEggs lets a steady year set whole eggs only.
func wholeEggs(m *solve.Model) *solve.Model {
	c := m.Clone()
	for col := range c.Columns() {
		if strings.HasPrefix(c.ColName(solve.Col(col)), "units_") {
			c.SetWhole(solve.Col(col), true)
		}
	}
	return c
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
	models := exported(t)
	for _, name := range slices.Sorted(maps.Keys(models)) {
		m := models[name]
		began := time.Now()
		want := whole(t, m)
		t.Logf("%s: %d columns, %d whole, %d rows: %.4f in %.2f s", name, m.Columns(), m.Wholes(), m.Rows(), want.Objective, time.Since(began).Seconds())
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
			case math.Abs(got-want.Objective) > 1e-5*(1+math.Abs(got)):
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
