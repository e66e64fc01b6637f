package solve

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
)

// The tests share one engine and one cache folder of machine code, kept between
// runs.
var sharedEngine = sync.OnceValues(func() (*Engine, error) { return Open(context.Background(), testCacheDir()) })

func testCacheDir() string { return filepath.Join(os.TempDir(), "henyear-solver-test") }

func engine(t testing.TB) *Engine {
	t.Helper()
	e, err := sharedEngine()
	if err == ErrNotBuilt && os.Getenv("HENYEAR_CI") != "1" {
		t.Skip("the solver is not in the tree: run `go run ./scripts/fetch-solver` first")
	}
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func mustSolve(t testing.TB, m *Model, o Options) Result {
	t.Helper()
	r, err := engine(t).Solve(t.Context(), m, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

var inf = math.Inf(1)

// Two kinds of chick at 3 and 4 money, a + 2b >= 7 and 3a + b >= 6: by hand, of
// all whole pairs (1, 3) costs least, 15.
func chicks() *Model {
	m := NewModel("chicks")
	a, b := m.Whole("a", 3, 0, 20), m.Whole("b", 4, 0, 20)
	r1, r2 := m.Row("eggs", 7, inf), m.Row("meat", 6, inf)
	m.Add(r1, a, 1)
	m.Add(r1, b, 2)
	m.Add(r2, a, 3)
	m.Add(r2, b, 1)
	return m
}

func TestFewestChicksThatGiveEnoughEggsAndMeat(t *testing.T) {
	m := chicks()
	m.Offset(100)
	r := mustSolve(t, m, Options{})
	if r.Status != Optimal || math.Abs(r.Objective-115) > 1e-9 || r.X[0] != 1 || r.X[1] != 3 {
		t.Fatalf("%+v", r)
	}
	if math.Abs(r.Bound-115) > 1e-5 {
		t.Errorf("bound %g", r.Bound)
	}
}

// Maize of 9 % protein at 0.30 and soya of 44 % at 0.60, wanted 16 %: by hand
// the share of soya is (16-9)/(44-9) = 0.2, the kilogram costs 0.36 and one
// point of protein more 0.30/35.
func TestProteinHasAPriceInARation(t *testing.T) {
	m := NewModel("ration")
	maize, soya := m.Column("maize", 0.30, 0, inf), m.Column("soya", 0.60, 0, inf)
	kilogram, protein := m.Row("kilogram", 1, 1), m.Row("protein", 16, inf)
	m.Add(kilogram, maize, 1)
	m.Add(kilogram, soya, 1)
	m.Add(protein, maize, 9)
	m.Add(protein, soya, 44)
	r := mustSolve(t, m, Options{})
	if r.Status != Optimal || math.Abs(r.Objective-0.36) > 1e-9 || math.Abs(r.X[1]-0.2) > 1e-9 {
		t.Fatalf("%+v", r)
	}
	if math.Abs(r.RowDual[protein]-0.3/35) > 1e-9 {
		t.Errorf("price of protein %g", r.RowDual[protein])
	}
	m.SetRowBounds(protein, 50, 60)
	if r := mustSolve(t, m, Options{}); r.Status != Infeasible || r.Feasible || r.X != nil {
		t.Errorf("more protein than any feed has: %+v", r)
	}
}

func TestBetterPlansAreToldAsTheyAreFound(t *testing.T) {
	m := flock(52, 2, 4, 2, 4, 4)
	told, bound := []float64{}, math.Inf(-1)
	r := mustSolve(t, m, Options{RelGap: 0.01,
		OnBetter: func(x []float64, objective, _, seconds float64) {
			told = append(told, objective)
			if err := m.Check(x, Tolerance); err != nil {
				t.Error(err)
			}
			if m.Objective(x) != objective || seconds < 0 {
				t.Errorf("told of %g after %g s, costs %g", objective, seconds, m.Objective(x))
			}
		},
		OnBound: func(better, _ float64) {
			if better <= bound {
				t.Errorf("bound %g told after %g", better, bound)
			}
			bound = better
		},
	})
	if len(told) < 2 || !slices.IsSortedFunc(told, func(a, b float64) int { return cmp.Compare(b, a) }) || told[len(told)-1] != r.Objective {
		t.Errorf("told of %v on the way to %g", told, r.Objective)
	}
	if bound != r.Bound || bound > r.Objective || r.Gap() > 0.01*r.Objective {
		t.Errorf("bound told %g, at the end %g, cost %g", bound, r.Bound, r.Objective)
	}
}

func TestNoticesNameEveryPartOfTheSolver(t *testing.T) {
	for _, part := range []string{"HiGHS", "AMD", "METIS", "pdqsort", "RCM", "zstr", "wazero", "Apache", "MIT"} {
		if !strings.Contains(Notices(), part) {
			t.Errorf("%s is missing", part)
		}
	}
}

func TestTheNamesBelongToTheSolverInTheProgram(t *testing.T) {
	engine(t)
	wasm, names, err := solverCode()
	if err != nil {
		t.Fatal(err)
	}
	if sum := sha256.Sum256(wasm); hex.EncodeToString(sum[:]) != names.Sum {
		t.Error("highs.wasm and abi.json come from different builds; run `make build`")
	}
}

func TestAPreparedEngineIsReadyForEveryoneWhoWaits(t *testing.T) {
	engine(t)
	p := Prepare(testCacheDir())
	e, err := p.Wait(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer e.Close(t.Context())
	if !p.Ready() {
		t.Error("not ready after the wait")
	}
	if again, _ := p.Wait(t.Context()); again != e {
		t.Error("two engines")
	}
	done, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := (&Pending{done: make(chan struct{})}).Wait(done); err == nil {
		t.Error("waited for nothing without an error")
	}
}

func TestACacheThatCannotBeWrittenOnlyCostsTime(t *testing.T) {
	engine(t)
	notAFolder := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(notAFolder, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if os.Getenv("HENYEAR_CI") != "1" {
		t.Skip("compiles for some seconds; HENYEAR_CI=1 runs it")
	}
	e, err := Open(t.Context(), notAFolder)
	if err != nil {
		t.Fatal(err)
	}
	e.Close(t.Context())
}
