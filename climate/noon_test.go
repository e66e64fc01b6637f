package climate

import (
	"math"
	"testing"
)

func TestNoonSunAtTheSolsticesIsTheTextbooks(t *testing.T) {
	for _, c := range []struct {
		lat  float64
		day  int
		want float64
	}{{45, 172, 68.4}, {45, 355, 21.6}, {0, 80, 90}, {-30, 355, 83.4}, {70, 355, -3.4}, {90, 172, 23.4}} {
		if got := NoonSunDeg(c.lat, c.day); math.Abs(got-c.want) > 0.6 {
			t.Errorf("latitude %g, day %d: %.1f, want %.1f", c.lat, c.day, got, c.want)
		}
	}
}

func TestClearSkyGivesAKilowattUnderAHighSunAndNothingBelowTheHorizon(t *testing.T) {
	if w := ClearSkyWM2(90); w < 1000 || w > 1060 {
		t.Errorf("%.0f", w)
	}
	if ClearSkyWM2(-5) != 0 || ClearSkyWM2(0) != 0 || math.IsNaN(ClearSkyWM2(0.3)) {
		t.Error("sun below the horizon")
	}
	if ClearSkyWM2(20) >= ClearSkyWM2(40) {
		t.Error("a low sun")
	}
}
