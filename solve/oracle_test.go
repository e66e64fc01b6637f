package solve

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"henyear/solve/oracle"
)

// small makes a mixed programme that uses every feature of the format:
// equations, ranges, open rows, free, fixed, negative and unlimited columns, a
// constant, and names that no file can hold.
func small(seed uint64) *Model {
	random := rand.New(rand.NewPCG(seed, 7))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*random.Float64() }
	m := NewModel(fmt.Sprintf("small programme, nº %d", seed))
	m.Offset(between(-50, 50))
	var columns []Col
	for j := range 12 {
		name := fmt.Sprintf("hens of house %d, 'old' & new", j)
		switch j % 6 {
		case 0:
			columns = append(columns, m.Whole(name, between(1, 5), 0, inf))
		case 1:
			columns = append(columns, m.Whole(name, between(1, 5), -3, 4))
		case 2:
			columns = append(columns, m.Column(name, between(0, 3), -inf, inf))
			m.Add(m.Row("kept from falling", -20, inf), columns[j], 1)
		case 3:
			columns = append(columns, m.Column("", between(-3, 3), -inf, 8))
			m.Add(m.Row("kept from falling", -between(5, 9), 30), columns[j], 1)
		case 4:
			columns = append(columns, m.Whole(name, 0, 2, 2))
		default:
			columns = append(columns, m.Column(name, between(-4, 4), -between(0, 3), between(1, 6)))
		}
	}
	for i := range 6 {
		lo, hi := between(2, 10), inf
		switch i {
		case 1:
			hi = lo + between(1, 5)
		case 2:
			hi = lo
		case 3:
			lo, hi = -inf, inf
		case 4:
			lo, hi = -inf, between(20, 40)
		}
		r := m.Row(fmt.Sprintf("row %d", i), lo, hi)
		for _, c := range columns {
			if random.IntN(2) == 0 {
				m.Add(r, c, between(0.1, 4))
			}
		}
	}
	return m
}

func mpsOf(t testing.TB, m *Model) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := m.WriteMPS(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestOtherSolversFindTheSameOptimumInTheExportedFile(t *testing.T) {
	var models []*Model
	for seed := range uint64(10) {
		models = append(models, small(seed))
	}
	models = append(models, chicks(), flock(26, 2, 2, 4, 4, 3))
	others := map[string]func(context.Context, []byte) (float64, error){"CBC": oracle.CBC, "GLPK": oracle.GLPK}
	for name, other := range others {
		t.Run(name, func(t *testing.T) {
			solved := 0
			for _, m := range models {
				ctx, stop := context.WithTimeout(t.Context(), 10*time.Second)
				want, err := other(ctx, mpsOf(t, m))
				stop()
				if errors.Is(err, oracle.ErrMissing) && os.Getenv("HENYEAR_CI") != "1" {
					t.Skip(err)
				}
				r := mustSolve(t, m, Options{})
				switch {
				case errors.Is(err, oracle.ErrInfeasible):
					if r.Status != Infeasible {
						t.Errorf("%s: %v here, no answer there", m.Name(), r.Status)
					}
				case err != nil:
					t.Errorf("%s: %v", m.Name(), err)
				case math.Abs(r.Objective-want) > 1e-5*(1+math.Abs(want)):
					t.Errorf("%s: %.9g here (%v), %.9g there", m.Name(), r.Objective, r.Status, want)
				default:
					solved++
				}
			}
			if solved < 8 {
				t.Errorf("only %d programmes had an optimum to compare", solved)
			}
		})
	}
}

func TestTheSameModelIsExportedInTheSameBytes(t *testing.T) {
	if !bytes.Equal(mpsOf(t, small(3)), mpsOf(t, small(3))) {
		t.Error("two files differ")
	}
}
