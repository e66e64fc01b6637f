package solve

import (
	"testing"
	"time"
)

// The figures in docs/solver.md come from these:
//
//	go test ./solve -run '^$' -bench . -benchtime 3x

func BenchmarkOpenWithoutCache(b *testing.B) { benchmarkOpen(b, "") }

func BenchmarkOpenWithCache(b *testing.B) { benchmarkOpen(b, testCacheDir()) }

func benchmarkOpen(b *testing.B, dir string) {
	engine(b) // skips when there is no solver, and fills the cache
	for b.Loop() {
		e, err := Open(b.Context(), dir)
		if err != nil {
			b.Fatal(err)
		}
		e.Close(b.Context())
	}
}

func BenchmarkSessionNewYear(b *testing.B) {
	s, err := engine(b).Session(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	seed := uint64(0)
	for b.Loop() {
		seed++
		if r, err := s.Solve(b.Context(), steady(seed), Options{Relax: true}); err != nil || r.Status != Optimal {
			b.Fatal(r.Status, err)
		}
	}
}

func BenchmarkSessionChangedFigures(b *testing.B) {
	s, err := engine(b).Session(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	m, demand := steady(1), 0
	for b.Loop() {
		demand++
		m.SetRowBounds(Row(4*(demand%30)), 30+float64(demand%17), inf)
		if r, err := s.Solve(b.Context(), m, Options{Relax: true}); err != nil || r.Status != Optimal {
			b.Fatal(r.Status, err)
		}
	}
}

func BenchmarkPlan(b *testing.B) {
	for name, m := range map[string]*Model{
		"two years, 4-week rows":  flock(104, 3, 6, 1, 4, 1),
		"two years, weekly rows":  flock(104, 3, 6, 1, 1, 1),
		"three years, six breeds": flock(156, 6, 12, 1, 4, 1),
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				r, err := engine(b).Solve(b.Context(), m, Options{RelGap: 0.01, TimeLimit: 20 * time.Second})
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(r.MemoryMiB, "MiB")
				b.ReportMetric(100*r.Gap()/r.Objective, "gap%")
				b.Logf("%d columns, %d rows, %d non-zeros: %v, %g, bound %g, %d nodes", m.Columns(), m.Rows(), m.NonZeros(), r.Status, r.Objective, r.Bound, r.Nodes)
			}
		})
	}
}

func BenchmarkTinyLinearInANewCopy(b *testing.B) {
	for b.Loop() {
		mustSolve(b, chicks(), Options{Relax: true})
	}
}

func BenchmarkTinyWholeInASession(b *testing.B) {
	s, err := engine(b).Session(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	for b.Loop() {
		if _, err := s.Solve(b.Context(), chicks(), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
