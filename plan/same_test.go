package plan

import (
	"encoding/json"
	"runtime"
	"testing"
	"time"

	"henyear/breed"
	"henyear/holding"
	"henyear/measure"
	"henyear/solve"
)

// hatchery is a household whose choices are few: it can set its own eggs in one
// spring only, or buy chicks.
func hatchery(t testing.TB) *holding.Holding {
	h := cottage(t)
	h.Birds = append(h.Birds, example(t, "valley").Birds[2]) // two cocks
	h.Means.MachineEggs = 24
	meat := offer("ranger-coloured", holding.Chicks, 2.2, time.May)
	meat.SmallestOrder, meat.LargestOrder = 10, 20
	h.Stock = []holding.Offer{meat}
	for year := 2028; year <= 2029; year++ {
		h.Means.Away = append(h.Means.Away, holding.Away{From: measure.Date{Year: year, Month: time.January, Day: 10}, To: measure.Date{Year: year, Month: time.February, Day: 20}},
			holding.Away{From: measure.Date{Year: year, Month: time.March, Day: 10}, To: measure.Date{Year: year, Month: time.July, Day: 1}})
	}
	return h
}

// onCores runs f with so many processor cores for Go.
func onCores(n int, f func()) {
	before := runtime.GOMAXPROCS(n)
	defer runtime.GOMAXPROCS(before)
	f()
}

func TestTheSameWorkGivesTheSamePlanOnAnyNumberOfCores(t *testing.T) {
	text := map[int]string{}
	for _, cores := range []int{1, 2} {
		onCores(cores, func() {
			opt := Options{Nodes: 3}
			pr := over(t, hatchery(t), opt, 34)
			s := newSearch(planner(t), &joint{pr, pr.m}, opt, false, time.Now(), nil)
			defer s.end()
			if err := s.begin(t.Context()); err != nil {
				t.Fatal(err)
			}
			if err := s.carryOn(t.Context()); err != nil {
				t.Fatal(err)
			}
			p := s.finish(t.Context())
			t.Logf("%s after %.1f s, gap %.3f", p.Status, p.SolveSeconds, p.Gap)
			p.SolveSeconds, p.FirstSeconds = 0, 0 // the clock's, not the plan's
			out, err := json.Marshal(p)
			if err != nil {
				t.Fatal(err)
			}
			text[cores] = string(out)
		})
	}
	if text[1] != text[2] {
		t.Error("the plans differ")
	}
}

func TestTheSameBreedsComeOutOnAnyNumberOfCores(t *testing.T) {
	h := example(t, "valley")
	var jobs [][]stock
	for _, id := range []string{"sussex", "isa-brown", "brahma", "cornish-cross", "white-leghorn-hybrid", "australorp"} {
		b := must(breed.Find(id))
		jobs = append(jobs, []stock{{b, strainFor(h, b)}})
	}
	text := map[int]string{}
	for _, cores := range []int{1, 2} {
		onCores(cores, func() {
			years, err := planner(t).steadyYears(t.Context(), h, Options{}, false, jobs, nil, "breeds")
			if err != nil {
				t.Fatal(err)
			}
			out, err := json.Marshal(years)
			if err != nil {
				t.Fatal(err)
			}
			text[cores] = string(out)
		})
	}
	if text[1] != text[2] {
		t.Errorf("the comparison differs:\n%s\n%s", text[1], text[2])
	}
}

func TestTheSameHoldingIsExportedInTheSameBytes(t *testing.T) {
	for _, name := range []string{"valley", "forest"} {
		var text [2]string
		for i := range text {
			text[i] = mpsText(t, over(t, example(t, name), Options{}, 60).m)
		}
		if text[0] != text[1] {
			t.Errorf("%s: two exports differ", name)
		}
	}
}

func mpsText(t testing.TB, m *solve.Model) string {
	t.Helper()
	var b writer
	if err := m.WriteMPS(&b); err != nil {
		t.Fatal(err)
	}
	return string(b)
}

type writer []byte

func (w *writer) Write(b []byte) (int, error) { *w = append(*w, b...); return len(b), nil }
