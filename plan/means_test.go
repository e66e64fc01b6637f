package plan

import (
	"math"
	"testing"

	"henyear/holding"
	"henyear/solve"
)

// The relaxation is solved exactly, so more of anything may not raise its optimum
// by a hair.
func TestMoreMeansNeverMakeTheYearDearer(t *testing.T) {
	s := session(t)
	for _, name := range []string{"valley", "plain"} {
		h := example(t, name)
		before := relaxed(t, s, over(t, h, Options{}, 80))
		gained := false
		for what, more := range map[string]func(*holding.Means){
			"minutes":     func(m *holding.Means) { m.MinutesADay += 10 },
			"machine":     func(m *holding.Means) { m.MachineEggs *= 2 },
			"freezer":     func(m *holding.Means) { m.FreezerL += 100 },
			"brooder":     func(m *holding.Means) { m.BrooderChicks += 20 },
			"butcher day": func(m *holding.Means) { m.ButcherDaysAYear++ },
			"hands":       func(m *holding.Means) { m.ButcherBirdsADay += 6 },
			"shelter":     func(m *holding.Means) { m.CoveredRunM2 += 10 },
			"pen":         func(m *holding.Means) { m.Houses[0].Pens++ },
		} {
			c := h.Clone()
			more(&c.Means)
			after := relaxed(t, s, over(t, c, Options{}, 80))
			if after > before+1e-6*(1+math.Abs(before)) {
				t.Errorf("%s: more %s costs %.4f instead of %.4f", name, what, after, before)
			}
			gained = gained || after < before-0.01
		}
		if !gained {
			t.Errorf("%s: nothing more is worth anything", name)
		}
	}
}

// A larger house is colder with the same birds; floor alone, in the same air, can
// only help.
func TestMoreFloorInTheSameAirNeverMakesTheYearDearer(t *testing.T) {
	s := session(t)
	for _, name := range []string{"valley", "forest"} {
		pr := over(t, example(t, name), Options{Lights: "none"}, 80)
		last := math.Inf(1)
		for _, m2 := range []float64{0, 1, 3, 6, 12} {
			for _, rows := range [][]solve.Row{pr.house, pr.shelter} {
				for _, r := range rows {
					_, hi := pr.m.RowBounds(r)
					if m2 > 0 {
						hi += m2
					}
					pr.m.SetRowBounds(r, math.Inf(-1), hi)
				}
			}
			cost := relaxed(t, s, pr)
			if cost > last+1e-6*(1+math.Abs(last)) {
				t.Errorf("%s: %g m2 more cost %.4f instead of %.4f", name, m2, cost, last)
			}
			last = cost
		}
	}
}

// What the household would have to do without, or pay for, only adds.
func TestMoreNeedAndDearerFeedNeverMakeTheYearCheaper(t *testing.T) {
	s := session(t)
	h := example(t, "valley")
	before := relaxed(t, s, over(t, h, Options{}, 80))
	for what, worse := range map[string]func(*holding.Holding){
		"eggs":        func(h *holding.Holding) { h.Needs.Eggs[0].PerWeek += 4 },
		"table birds": func(h *holding.Holding) { h.Needs.TableBirds += 4 },
		"dearer feed": func(h *holding.Holding) { h.Prices.FeedPerKg *= 1.2 },
		"waste":       func(h *holding.Holding) { h.Means.FeedWaste += 0.1 },
		"spare cocks": func(h *holding.Holding) { h.Means.SpareCocks++ },
	} {
		c := h.Clone()
		worse(c)
		if after := relaxed(t, s, over(t, c, Options{}, 80)); after < before-1e-6*(1+math.Abs(before)) {
			t.Errorf("more %s costs %.4f instead of %.4f", what, after, before)
		}
	}
}
