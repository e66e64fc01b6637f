package housing

import (
	"strings"
	"testing"

	"henyear/climate"
	"henyear/source"

	"pgregory.net/rapid"
)

func TestTheVentPlanReachesFromHardFrostToHeat(t *testing.T) {
	for _, c := range []Coop{{FloorM2: 4.32}, {FloorM2: 4.32, Insulated: true}, {FloorM2: 4.32, OpenSided: true}} {
		steps := VentPlan(c, []Occupant{{2.5, 0.04, 12}})
		if len(steps) != 15 || steps[0].OutC != -35 || steps[14].OutC != 35 {
			t.Fatalf("%d steps", len(steps))
		}
		for _, s := range steps {
			if s.OpenM2 > c.VentAreaM2()+1e-9 || s.Share < 0 || s.Share > 1+1e-9 || s.Words() == "" || s.TempC < s.OutC {
				t.Errorf("%+v", s)
			}
			if s.Enough && s.Goal == "dry" && s.HumidityPct > WinterHumidityPct+0.5 {
				t.Errorf("at %g C: %.1f %%", s.OutC, s.HumidityPct)
			}
			if s.Enough && s.Goal != "open-side" && (s.Fog || s.CO2ppm > MostCO2ppm || s.RiseGKg > MostRiseGKg) {
				t.Errorf("enough, yet %+v", s)
			}
		}
	}
}

func TestHardFrostTellsThatNoVentReachesTheHumidityTarget(t *testing.T) {
	s := VentStepAt(Coop{FloorM2: 4.32}, []Occupant{{2.5, 0.04, 12}}, -20, VentWeather{})
	if !s.TooCold || s.HumidityPct < 90 {
		t.Errorf("%+v", s)
	}
	mild := VentStepAt(Coop{FloorM2: 4.32, Insulated: true}, []Occupant{{2.5, 0.04, 12}}, 5, VentWeather{})
	if mild.TooCold || !mild.Enough || mild.Goal != "dry" {
		t.Errorf("%+v", mild)
	}
}

func TestHeatTellsThatNoVentHelps(t *testing.T) {
	s := VentStepAt(Coop{FloorM2: 4.32}, []Occupant{{2.5, 0.04, 12}}, 35, VentWeather{})
	if !s.TooHot || s.Share < 1 || !strings.Contains(s.Words(), "shade") {
		t.Errorf("%+v", s)
	}
	codes := map[string]bool{}
	for _, a := range s.Advice {
		codes[a.Code] = true
	}
	if !codes["vents-heat-danger"] && !codes["vents-heat"] {
		t.Error(codes)
	}
}

// A house of boards has next to no warmth to keep, so that no opening is left shut
// while water falls on the birds; an insulated one may keep some.
func TestInFrostVentsOpenFurtherWhileThatDriesAndHardlyCools(t *testing.T) {
	birds := []Occupant{{3.3, 0.04, 16}}
	for _, c := range []Coop{{FloorM2: 6}, {FloorM2: 5, Insulated: true}} {
		for out := -35.0; out <= 0; out += 5 {
			s := VentStepAt(c, birds, out, VentWeather{})
			if s.Goal != "no-fog" || s.CondensingGH <= 0 || s.OpenM2 >= c.VentAreaM2() {
				continue
			}
			least := c.AtOpening(VentWeather{}.at(out), birds, s.NeedM2, NightShare)
			wide := c.AtOpening(VentWeather{}.at(out), birds, min(c.VentAreaM2(), s.OpenM2*1.1), NightShare)
			if wide.TempC >= least.TempC-worthK {
				t.Errorf("%g C: %.2f m2 open of %.2f lets %.0f g an hour fall, and 1.1 of it would be only %.2f C colder than %.2f m2",
					out, s.OpenM2, c.VentAreaM2(), s.CondensingGH, least.TempC-wide.TempC, s.NeedM2)
			}
			if s.TempC < least.TempC-worthK-1e-9 || s.CondensingGH > least.CondensingGH {
				t.Errorf("%g C: %+v", out, s)
			}
		}
	}
	if s := VentStepAt(Coop{FloorM2: 6}, birds, -10, VentWeather{}); s.Share < 1 {
		t.Errorf("boards at -10 C: %.0f %% open with %.0f g an hour falling", 100*s.Share, s.CondensingGH)
	}
}

func TestWetLitterAndMoreHensWantMoreVent(t *testing.T) {
	at := func(c Coop, n float64) float64 {
		return VentStepAt(c, []Occupant{{2.5, 0.04, n}}, -5, VentWeather{}).NeedM2
	}
	dry, wet, many := at(Coop{FloorM2: 6}, 8), at(Coop{FloorM2: 6, WetLitter: true}, 8), at(Coop{FloorM2: 6}, 20)
	if !(wet > dry) || !(many > dry) {
		t.Errorf("dry %.2f, wet %.2f, many %.2f m2", dry, wet, many)
	}
}

func TestWiderOpeningsNeverWarmTheHouse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Coop{FloorM2: rapid.Float64Range(1, 20).Draw(t, "floor"), Insulated: rapid.Bool().Draw(t, "insulated")}
		w := Weather{OutC: rapid.Float64Range(-35, 38).Draw(t, "out"), HumidityPct: 70, WindMS: rapid.Float64Range(0, 10).Draw(t, "wind")}
		birds := []Occupant{{2.5, 0.04, rapid.Float64Range(1, 50).Draw(t, "count")}}
		open := rapid.Float64Range(0, 1).Draw(t, "open")
		tight, wide := c.AtOpening(w, birds, open, 1), c.AtOpening(w, birds, open*1.5+0.01, 1)
		if wide.TempC > tight.TempC+1e-6 || wide.CO2ppm > tight.CO2ppm+5 {
			t.Fatalf("%.3f C at %.2f m2, %.3f C wider", tight.TempC, open, wide.TempC)
		}
	})
}

func TestAmmoniaMarksRiseAndAreSourced(t *testing.T) {
	before := 0.0
	for _, m := range AmmoniaMarks() {
		if _, ok := source.Lookup(m.Key); !ok || m.PPM <= before {
			t.Errorf("%+v", m)
		}
		before = m.PPM
	}
	for _, c := range []struct {
		rise, litter, temp float64
		class              string
	}{{2, 25, 10, "low"}, {7, 25, 10, "some"}, {9, 25, 10, "high"}, {2, 40, 10, "some"}, {7, 40, 10, "high"}, {9, 40, -3, "frozen"}} {
		if a := AmmoniaOf(Inside{TempC: c.temp, RiseGKg: c.rise}, c.litter); a.Class != c.class || a.Advice.Text == "" {
			t.Errorf("%+v: %+v", c, a)
		}
	}
}

func TestLitterDriesInWarmDryAirAndGathersWaterInFrost(t *testing.T) {
	c, hens := Coop{FloorM2: 4.32}, []Occupant{{2.5, 0.04, 12}}
	summer := Litter{MoisturePct: 34}.After(c, hens, Inside{TempC: 18, HumidityPct: 60})
	frost := Litter{MoisturePct: 20}.After(c, hens, Inside{TempC: -6, HumidityPct: 95})
	if summer.MoisturePct >= 34 || summer.DaysToCake >= 0 {
		t.Errorf("%+v", summer)
	}
	if frost.MoisturePct <= 20 || !(frost.DaysToCake > 3 && frost.DaysToCake < 60) {
		t.Errorf("%+v", frost)
	}
	deep := Litter{MoisturePct: 20, DepthM: 0.25}.After(c, hens, Inside{TempC: -6, HumidityPct: 95})
	if deep.DaysToCake <= frost.DaysToCake {
		t.Errorf("deep %+v, thin %+v", deep, frost)
	}
}

func TestAConfinedWinterIsTheColdEndOfTheYear(t *testing.T) {
	var p climate.Place
	p.LatitudeDeg = 45
	for m := range 12 {
		p.MaxC[m] = [12]float64{-6, -3, 4, 13, 20, 26, 28, 27, 22, 14, 5, -3}[m]
		p.MinC[m] = p.MaxC[m] - 10
	}
	winter := ConfinedWinter(Coop{FloorM2: 9, Insulated: true}, []Occupant{{2.5, 0.03, 12}}, p.Year(), 22, Litter{})
	if len(winter) != 22 || winter[0].Slot < 42 || winter[0].Slot > 48 {
		t.Fatalf("%d weeks from %d", len(winter), winter[0].Slot)
	}
	coldest := 0
	for i, w := range winter {
		if w.LowC < winter[coldest].LowC {
			coldest = i
		}
		if w.Vent.OutC != w.LowC || w.Ammonia.Class == "" || w.LitterPct < 5 {
			t.Errorf("%+v", w)
		}
	}
	if coldest < 5 || coldest > 16 || winter[coldest].LitterPct < winter[0].LitterPct {
		t.Errorf("coldest week %d, litter %.0f %% after %.0f %%", coldest, winter[coldest].LitterPct, winter[0].LitterPct)
	}
	if n := len(ConfinedWinter(Coop{FloorM2: 9}, nil, p.Year(), 99, Litter{})); n != 52 {
		t.Errorf("%d weeks", n)
	}
}

func BenchmarkVentPlan(b *testing.B) {
	for b.Loop() {
		VentPlan(Coop{FloorM2: 6}, []Occupant{{2.5, 0.04, 12}})
	}
}
