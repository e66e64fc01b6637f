package plan

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"testing"
	"time"

	"henyear/holding"
)

// BenchmarkBreeds is the whole comparison for the valley.
func BenchmarkBreeds(b *testing.B) {
	p, h := planner(b), example(b, "valley")
	for b.Loop() {
		years, err := p.Breeds(context.Background(), h, Options{}, nil)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(years)), "breeds")
	}
}

// BenchmarkPlan tells how soon a first plan stands, and how large the gap is after
// 5 and 20 seconds.
func BenchmarkPlan(b *testing.B) {
	for _, name := range []string{"valley", "plain", "forest"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				for _, seconds := range []int{5, 20} {
					pl := timed(b, example(b, name), Options{}, seconds)
					b.ReportMetric(100*pl.Gap, "%gap_at_"+strconv.Itoa(seconds)+"s")
					b.ReportMetric(pl.FirstSeconds, "s_to_first_plan")
				}
			}
		})
	}
}

// BenchmarkNaive gives the programme of weekly rows, with every week a hatch week
// and nothing of the search, 20 seconds.
func BenchmarkNaive(b *testing.B) {
	for b.Loop() {
		naive := timed(b, example(b, "valley"), Options{Naive: true}, 20)
		b.ReportMetric(100*naive.Gap, "%gap_at_20s")
		var reached float64
		_, err := planner(b).Plan(context.Background(), example(b, "valley"), Options{TimeLimit: 20 * time.Second}, func(s Step) {
			if reached == 0 && s.Best != nil && s.Gap <= naive.Gap {
				reached = s.Seconds
			}
		})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(20/max(reached, 0.01), "times_faster_to_that_gap")
	}
}

func timed(b *testing.B, h *holding.Holding, o Options, seconds int) *Plan {
	b.Helper()
	o.TimeLimit = time.Duration(seconds) * time.Second
	pl, err := planner(b).Plan(context.Background(), h, o, nil)
	if err != nil {
		b.Fatal(err)
	}
	return pl
}

var cbcBest = regexp.MustCompile(`Objective value:\s+(-?[0-9.]+)`)

// BenchmarkAgainstCBC sets the best plan after 20 seconds beside CBC's on the same
// programme in the same time.
func BenchmarkAgainstCBC(b *testing.B) {
	if _, err := exec.LookPath("cbc"); err != nil {
		b.Skip("cbc is not installed")
	}
	for _, name := range []string{"valley", "plain"} {
		b.Run(name, func(b *testing.B) {
			h := example(b, name)
			for b.Loop() {
				ours := timed(b, h, Options{Lights: "none"}, 20)
				var mps bytes.Buffer
				if err := planner(b).WriteMPS(&mps, h, Options{Lights: "none"}); err != nil {
					b.Fatal(err)
				}
				file := b.TempDir() + "/plan.mps"
				if err := os.WriteFile(file, mps.Bytes(), 0o644); err != nil {
					b.Fatal(err)
				}
				out, err := exec.Command("cbc", file, "sec", "20", "timeMode", "elapsed", "ratio", "0.001", "solve").Output()
				if err != nil {
					b.Fatal(err)
				}
				if m := cbcBest.FindSubmatch(out); m != nil {
					theirs, _ := strconv.ParseFloat(string(m[1]), 64)
					b.ReportMetric(100*(ours.Cost-theirs)/ours.GrossOutlay, "%dearer_than_CBC")
				}
			}
		})
	}
}
