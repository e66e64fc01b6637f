package bird

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var combKinds = []string{"single", "rose", "pea", "walnut", "cushion", "strawberry", "buttercup", "v", "carnation"}

func TestReportsOfFrozenAndSoundCombsAreHeldExceptKnownMisses(t *testing.T) {
	checks, err := Evidence()
	if err != nil {
		t.Fatal(err)
	}
	cases, misses, table := 0, 0, 0
	for _, c := range checks {
		report := strings.HasPrefix(c.ID, "case_") || strings.HasPrefix(c.ID, "advice_")
		if !report && !strings.HasPrefix(c.ID, "table_") && !strings.HasPrefix(c.ID, "worked_") && !strings.HasPrefix(c.ID, "flow_") {
			continue
		}
		miss := strings.HasPrefix(c.Note, "known miss")
		if c.Pass() == miss {
			t.Errorf("%s: %s: computed %.2f, published %.2f %s (note %q)", c.ID, c.What, c.Computed, c.Published, c.Unit, c.Note)
		}
		switch {
		case report && miss:
			misses++
		case report:
			cases++
		default:
			table++
		}
	}
	if cases < 11 || misses > 3 || table < 140 {
		t.Errorf("%d reports held, %d missed, %d rows of the table", cases, misses, table)
	}
}

// The range is the narrowest that the two reports allow which set its ends.
func TestTheRangeOfBloodFlowIsTheNarrowestThatTheReportsAllow(t *testing.T) {
	frozen := CombOf("single", 3, Cock)
	if at := frozen.frozenAirC(Cock, 0.25, 0.1, 1.05*PerfusionLow); at > -16 {
		t.Errorf("with a twentieth more blood most of the comb still freezes at %.2f C", at)
	}
	sound := CombOf("single", 2, Cock)
	if at := sound.frozenAirC(Cock, 1, 0.1, 0.95*PerfusionHigh); at < -34 {
		t.Errorf("with a twentieth less blood the comb still stands %.2f C", at)
	}
	if !(PerfusionLow < ConstrictedPerfusion && ConstrictedPerfusion < PerfusionHigh) {
		t.Error("the best figure lies outside the range")
	}
}

func TestRangesOfCombNightsAreOrderedAndRiseWithColdWindAndWet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sex := rapid.SampledFrom([]Sex{Hen, Cock}).Draw(t, "sex")
		kind, size := rapid.SampledFrom(combKinds).Draw(t, "comb"), rapid.IntRange(1, 3).Draw(t, "size")
		s := Surroundings{NightC: rapid.Float64Range(-45, 25).Draw(t, "night"), NightSDC: rapid.Float64Range(0, 9).Draw(t, "sd"),
			AirMS: rapid.Float64Range(0, 8).Draw(t, "wind"), DampPerch: rapid.Bool().Draw(t, "damp")}
		colder, windier, wet := s, s, s
		colder.NightC -= 2
		windier.AirMS += 1
		wet.DampPerch = true
		for _, c := range []Comb{CombOf(kind, size, sex), WattleOf(size, sex)} {
			n := CombNightsRange(c, sex, s)
			if !(0 <= n.Low && n.Low <= n.Best && n.Best <= n.High && n.High <= 7) || n.Best != CombNights(c, sex, s) {
				t.Fatalf("%+v: %+v", c, n)
			}
			for _, worse := range []Surroundings{colder, windier, wet} {
				m := CombNightsRange(c, sex, worse)
				if m.Low < n.Low-1e-9 || m.Best < n.Best-1e-9 || m.High < n.High-1e-9 {
					t.Fatalf("%+v: %+v in %+v, %+v in %+v", c, n, s, m, worse)
				}
			}
		}
	})
}

func TestFlatCombsAndHensStandMoreFrostThroughoutTheRange(t *testing.T) {
	for _, wind := range []float64{0.1, 0.3, 1, 2} {
		for size := 1; size <= 3; size++ {
			cock := CombOf("single", size, Cock).FreezeAirRange(FreezeTipC(Cock), wind)
			hen := CombOf("single", size, Hen).FreezeAirRange(FreezeTipC(Hen), wind)
			rose := CombOf("rose", size, Cock).FreezeAirRange(FreezeTipC(Cock), wind)
			if !(cock.Low <= cock.Best && cock.Best <= cock.High) {
				t.Errorf("%+v is not in order", cock)
			}
			if hen.Low > cock.Low || hen.Best > cock.Best || hen.High > cock.High {
				t.Errorf("size %d, %g m/s: hen %+v, cock %+v", size, wind, hen, cock)
			}
			if rose.Low > cock.Low || rose.Best > cock.Best || rose.High > cock.High {
				t.Errorf("size %d, %g m/s: rose %+v, single %+v", size, wind, rose, cock)
			}
		}
	}
}

// A comb cools faster in wind, and in air that does not freeze it no time is named.
func TestMinutesToFreezeFallWithWindAndCold(t *testing.T) {
	c := CombOf("single", 3, Cock)
	still, windy, colder := CombFreezeMin(c, 20, -20, 0.1, ConstrictedPerfusion), CombFreezeMin(c, 20, -20, 2, ConstrictedPerfusion), CombFreezeMin(c, 20, -30, 0.1, ConstrictedPerfusion)
	if !(windy < still && colder < still && windy > 0) {
		t.Errorf("%.1f still, %.1f windy, %.1f colder", still, windy, colder)
	}
	if !math.IsInf(CombFreezeMin(c, 20, -5, 0.1, ConstrictedPerfusion), 1) || CombFreezeMin(c, -6, -20, 1, ConstrictedPerfusion) != 0 {
		t.Error("a comb that never freezes, or that is frozen already")
	}
}

func TestARangeAddsUp(t *testing.T) {
	if got := Sum(Range{1, 2, 3}, Just(1), Range{0, 0.5, 4}); got != (Range{2, 3.5, 8}) || !slices.IsSorted([]float64{got.Low, got.Best, got.High}) {
		t.Errorf("%+v", got)
	}
}

// Chords and halving find the same air.
func TestTheQuickWayToTheFreezingAirIsRight(t *testing.T) {
	for _, kind := range combKinds {
		for _, sex := range []Sex{Hen, Cock} {
			for _, wind := range []float64{0.1, 0.7, 3, 10} {
				c := CombOf(kind, 2, sex)
				quick := chord(-60, 20, func(air float64) float64 { return CombTipC(c, air, wind, ConstrictedPerfusion) - FreezeTipC(sex) })
				closeTo(t, kind, quick, c.FreezeAirC(FreezeTipC(sex), wind), 1e-3)
			}
		}
	}
}

func BenchmarkThresholdsOfANewComb(b *testing.B) {
	for i := 0; b.Loop(); i++ {
		c := Comb{20 + float64(i)*1e-6, 4}
		for _, flow := range []float64{PerfusionLow, ConstrictedPerfusion, PerfusionHigh} {
			c.freezeAirQuickAtFlow(CombFreezeC, 1, flow)
		}
	}
}
