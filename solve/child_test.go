package solve

import (
	"context"
	"io"
	"math"
	"os"
	"slices"
	"testing"
	"time"
)

// The test program itself plays the child: called with this word, it does the
// child's work instead of running tests.
const childWord = "play-the-child"

func TestMain(m *testing.M) {
	if len(os.Args) != 3 || os.Args[1] != childWord {
		os.Exit(m.Run())
	}
	if os.Args[2] == "deaf" {
		os.Exit(ChildMain(deaf{os.Stdin}, &stuck{to: os.Stdout}))
	}
	os.Exit(ChildMain(os.Stdin, os.Stdout))
}

// deaf hides the end of standard input, by which a parent asks for a stop.
type deaf struct{ from io.Reader }

func (d deaf) Read(b []byte) (int, error) {
	n, err := d.from.Read(b)
	if err != nil {
		select {}
	}
	return n, nil
}

// stuck lets one plan through and then hangs, as a solver does that no longer
// looks at its clock.
type stuck struct {
	to   io.Writer
	told bool
}

func (s *stuck) Write(b []byte) (int, error) {
	if s.told {
		select {}
	}
	const plan = 1000 // bytes; all other messages are shorter
	s.told = len(b) > plan
	return s.to.Write(b)
}

// withChild is an engine like the shared one, but with a child.
func withChild(t *testing.T, kind string) *Engine {
	t.Helper()
	e := *engine(t)
	e.UseChild(os.Args[0], childWord, kind)
	return &e
}

// hard is a programme that no solver proves within a minute.
func hard() *Model { return flock(104, 3, 6, 1, 4, 1) }

func TestAChildProcessFindsWhatThisProcessFinds(t *testing.T) {
	m := flock(52, 2, 4, 2, 4, 5)
	o := Options{NodeLimit: 1, TimeLimit: time.Minute}
	here := mustSolve(t, m, o)
	var told []float64
	o.OnBetter = func(_ []float64, objective, _, _ float64) { told = append(told, objective) }
	there, err := withChild(t, "good").Solve(t.Context(), m, o)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(here.X, there.X) || here.Objective != there.Objective || here.Status != there.Status || here.Nodes != there.Nodes {
		t.Errorf("here %v %g after %d nodes, in the child %v %g after %d", here.Status, here.Objective, here.Nodes, there.Status, there.Objective, there.Nodes)
	}
	if len(told) == 0 || told[len(told)-1] != there.Objective {
		t.Errorf("told %v of a result of %g", told, there.Objective)
	}
}

func TestKillingTheChildKeepsTheBestPlanItFound(t *testing.T) {
	t.Parallel()
	m := hard()
	last := math.Inf(1)
	begun := time.Now()
	r, err := withChild(t, "deaf").Solve(t.Context(), m, Options{TimeLimit: 4 * time.Second, HardLimit: 2 * time.Second,
		OnBetter: func(_ []float64, objective, _, _ float64) { last = objective }})
	if err != nil {
		t.Fatal(err)
	}
	if took := time.Since(begun); took > 3*time.Second {
		t.Errorf("ended after %v", took)
	}
	if r.Status != TimeLimit || !r.Overran || !r.Feasible || r.Objective != last {
		t.Errorf("%v, overran %v, feasible %v, objective %g, last told %g", r.Status, r.Overran, r.Feasible, r.Objective, last)
	}
}

func TestStoppingComesBackWithinTwoSecondsAndKeepsTheBestPlan(t *testing.T) {
	for name, e := range map[string]*Engine{
		"this process": engine(t), "child": withChild(t, "good"), "deaf child": withChild(t, "deaf"),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			ctx, cancel := context.WithCancel(t.Context())
			defer cancel()
			var asked time.Time
			found := make(chan bool, 1)
			go func() {
				<-found
				time.Sleep(100 * time.Millisecond)
				asked = time.Now()
				cancel()
			}()
			r, err := e.Solve(ctx, hard(), Options{OnBetter: func([]float64, float64, float64, float64) {
				select {
				case found <- true:
				default:
				}
			}})
			if err != nil {
				t.Fatal(err)
			}
			if wait := time.Since(asked); wait > 2*time.Second {
				t.Errorf("came back after %v", wait)
			}
			if r.Status != Cancelled || !r.Feasible {
				t.Errorf("%v, feasible %v", r.Status, r.Feasible)
			}
		})
	}
}

func TestWithoutAChildProgramTheSolveRunsHere(t *testing.T) {
	e := *engine(t)
	e.UseChild("/no/such/program")
	r, err := e.Solve(t.Context(), chicks(), Options{})
	if err != nil || r.Objective != 15 {
		t.Errorf("%+v, %v", r, err)
	}
}
