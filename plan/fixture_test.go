package plan

import (
	"context"
	"fmt"
	"math"
	"os"
	"slices"
	"sync"
	"testing"
	"time"

	"henyear/bird"
	"henyear/breed"
	"henyear/course"
	"henyear/examples"
	"henyear/holding"
	"henyear/measure"
	"henyear/solve"
)

// The test program itself plays the child process of the solver: called with
// this word it does the child's work instead of running tests.
const childWord = "play-the-child"

func TestMain(m *testing.M) {
	if len(os.Args) == 2 && os.Args[1] == childWord {
		os.Exit(solve.ChildMain(os.Stdin, os.Stdout))
	}
	os.Exit(m.Run())
}

var openEngine = sync.OnceValues(func() (*solve.Engine, error) {
	e, err := solve.Open(context.Background(), solve.DefaultCacheDir())
	if err == nil {
		e.UseChild(os.Args[0], childWord)
	}
	return e, err
})

// strict is set where changes are judged: there nothing is skipped.
func strict() bool { return os.Getenv("HENYEAR_CI") == "1" }

// planner is on one solver for the whole test program.
func planner(t testing.TB) *Planner {
	t.Helper()
	e, err := openEngine()
	if err == solve.ErrNotBuilt && !strict() {
		t.Skip("the solver is not in this build; run scripts/fetch-solver first")
	}
	if err != nil {
		t.Fatal(err)
	}
	return New(e)
}

func session(t testing.TB) *solve.Session {
	t.Helper()
	s, err := planner(t).engine.Session(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	return s
}

func example(t testing.TB, name string) *holding.Holding {
	t.Helper()
	h, err := readExample(name)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func readExample(name string) (*holding.Holding, error) {
	text, err := examples.Get(name)
	if err != nil {
		return nil, err
	}
	h, _, err := holding.Read(text, name)
	return h, err
}

// lived is a plan with the programme that it answers.
type lived struct {
	name string
	h    *holding.Holding
	plan *Plan
	a    answer
}

// The plans that most tests look at: every example, and the two light schemes
// where the keeper leaves them open.
var plans = sync.OnceValues(func() ([]lived, error) {
	e, err := openEngine()
	if err != nil {
		return nil, err
	}
	var out []lived
	for _, c := range []struct {
		example, lights string
		seconds         int // enough for a good plan where the test of what keepers expect looks at it
	}{
		{"valley", "", 18}, {"plain", "", 12}, {"us-units", "", 2}, {"forest", "none", 2}, {"forest", "on", 2},
	} {
		h, err := readExample(c.example)
		if err != nil {
			return nil, err
		}
		opt := Options{TimeLimit: time.Duration(c.seconds) * time.Second, Lights: c.lights}
		p, err := New(e).Plan(context.Background(), h, opt, nil)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", c.example, err)
		}
		name := c.example
		if c.lights != "" {
			name += " lights " + c.lights
		}
		a, err := reread(New(e), h, opt, p)
		if err != nil {
			return nil, err
		}
		out = append(out, lived{name, h, p, a})
	}
	return out, nil
})

// eachPlan runs a test on every plan of the examples.
func eachPlan(t *testing.T, f func(t *testing.T, l lived)) {
	t.Helper()
	planner(t)
	all, err := plans()
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range all {
		t.Run(l.name, func(t *testing.T) { f(t, l) })
	}
}

// planned plans a holding and reads the answer back.
func planned(t testing.TB, h *holding.Holding, opt Options) lived {
	t.Helper()
	p, err := planner(t).Plan(t.Context(), h, opt, nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := reread(planner(t), h, opt, p)
	if err != nil {
		t.Fatal(err)
	}
	return lived{h.Name, h, p, a}
}

// reread puts the point of a plan back into its programme, by the names of the
// columns, as a later solve would.
func reread(pl *Planner, h *holding.Holding, opt Options, p *Plan) (answer, error) {
	j, err := pl.build(h, opt, p.Lights)
	if err != nil {
		return answer{}, err
	}
	x := make([]float64, j.model.Columns())
	for c := range x {
		x[c] = p.Point[j.model.ColName(solve.Col(c))]
	}
	return answer{j.pr, x}, nil
}

// wholly is the first week of the grid of a date.
func (l lived) week(d measure.Date) int { return int(measure.WeekOf(d) - l.a.pr.g.start) }

var allYear = [12]bool{true, true, true, true, true, true, true, true, true, true, true, true}

// cottage is a household at 52 N with six hens of one breed that hatches nothing
// and buys nothing but what a test adds.
func cottage(t testing.TB) *holding.Holding {
	h := example(t, "valley")
	h.Name = "Cottage"
	h.Means.BroodyHens, h.Means.MachineEggs = false, 0
	h.Means.Away = nil
	h.Stock = nil
	h.Needs.EggSales, h.Needs.BirdSales = nil, nil
	h.Needs.SelfRenewing = false
	h.Birds = h.Birds[:1]
	h.Birds[0].Number = 6
	return h
}

func offer(id string, form holding.Form, price float64, months ...time.Month) holding.Offer {
	b, err := breed.Find(id)
	if err != nil {
		panic(err)
	}
	strain := breed.Utility
	if b.Kind == "modern hybrid" || b.Kind == "modern cross" {
		strain = breed.Production
	}
	o := holding.Offer{Breed: id, Strain: strain, Form: form, Price: price, SmallestOrder: 1, Months: allYear}
	if len(months) > 0 {
		o.Months = [12]bool{}
		for _, m := range months {
			o.Months[m-1] = true
		}
	}
	return o
}

// over is the programme of a holding on a shorter grid than that of a plan: the
// first weeks of it.
func over(t testing.TB, h *holding.Holding, opt Options, weeks int) *programme {
	t.Helper()
	day, err := asOf(h, opt)
	if err != nil {
		t.Fatal(err)
	}
	g := newGrid(day, opt.Naive)
	n := slices.IndexFunc(g.periods, func(p period) bool { return p.first >= weeks })
	if n < 0 {
		t.Fatalf("the plan has no %d weeks", weeks)
	}
	g.periods, g.weeks = g.periods[:n], g.periods[n].first
	g.of, g.slot = g.of[:g.weeks], g.slot[:g.weeks]
	lit := schemes(h, opt)[0]
	pr := newProgramme(h, course.New(h, lit, opt.rates()), opt, g, stocksOf(h))
	return pr
}

// relaxed is the optimum of a programme with fractions everywhere.
func relaxed(t testing.TB, s *solve.Session, pr *programme) float64 {
	t.Helper()
	r, err := s.Solve(t.Context(), pr.m, solve.Options{Relax: true})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Feasible || r.Status != solve.Optimal {
		t.Fatalf("the relaxation has status %v", r.Status)
	}
	return r.Objective
}

// whole solves a programme to proof.
func whole(t testing.TB, m *solve.Model) solve.Result {
	t.Helper()
	r, err := planner(t).engine.Solve(t.Context(), m, solve.Options{AbsGap: 1e-6})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func near(x, y, slack float64) bool { return math.Abs(x-y) <= slack }

func alike(x, y float64) bool { return near(x, y, 1e-4*(1+math.Abs(y))) }

func isCock(f Fate) bool { return f.Sex == bird.Cock.String() }

// quick is enough for a small holding.
var quick = Options{TimeLimit: 2 * time.Second}
