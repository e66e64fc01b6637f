package housing

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestADayWithoutLightAndOfOneTemperatureIsTheNight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Coop{FloorM2: rapid.Float64Range(1, 20).Draw(t, "floor"), Insulated: rapid.Bool().Draw(t, "insulated"),
			WetLitter: rapid.Bool().Draw(t, "wet")}
		out := rapid.Float64Range(-30, 30).Draw(t, "out")
		birds := []Occupant{{2.5, 0.04, rapid.Float64Range(1, 40).Draw(t, "count")}}
		night := c.Night(out, 80, 2, birds)
		for _, h := range c.Day(birds, DayWeather{LowC: out, HighC: out, HumidityPct: 80, WindMS: 2}) {
			if math.Abs(h.TempC-night.TempC) > 0.01 || math.Abs(h.HumidityPct-night.HumidityPct) > 0.2 || h.Lit {
				t.Fatalf("hour %g: %.3f C %.1f %%, night %.3f C %.1f %%", h.Hour, h.TempC, h.HumidityPct, night.TempC, night.HumidityPct)
			}
		}
	})
}

func TestOutdoorsIsColdestAndWarmestAtTheHoursSaid(t *testing.T) {
	w := DayWeather{LowC: -4, HighC: 8}
	near(t, "at six", w.OutsideC(6), -4, 1e-9)
	near(t, "at three", w.OutsideC(15), 8, 1e-9)
	near(t, "half way up", w.OutsideC(10.5), 2, 1e-9)
	near(t, "half way down", w.OutsideC(22.5), 2, 1e-9)
	near(t, "midnight either way", w.OutsideC(0), w.OutsideC(24), 1e-9)
	for h := 0.0; h < 24; h += 0.25 {
		if c := w.OutsideC(h); c < -4-1e-9 || c > 8+1e-9 {
			t.Errorf("%g: %g", h, c)
		}
	}
}

func TestAHouseFollowsTheDayWithALagAndALesserSwing(t *testing.T) {
	birds := []Occupant{{2.5, 0.04, 12}}
	hours := Day(Coop{FloorM2: 4.32, Insulated: true}, birds, -12, 2, 10)
	least, most, at := 99.0, -99.0, 0.0
	for _, h := range hours {
		if h.TempC < least {
			least = h.TempC
		}
		if h.TempC > most {
			most, at = h.TempC, h.Hour
		}
	}
	if most-least >= 14 || most-least < 7 || at < 15 || at > 18 {
		t.Errorf("from %.1f to %.1f C, warmest at %g", least, most, at)
	}
}

// An empty house is a store C that warms through a conductance K: a day's wave of
// angular speed w comes through at 1/sqrt(1 + (w C/K)^2) of its size, atan(w C/K)/w late.
func TestAnEmptyHouseAnswersTheDaysWaveAsAStoreBehindAWallDoes(t *testing.T) {
	for _, c := range []Coop{{FloorM2: 10, Insulated: true}, {FloorM2: 4}} {
		w := DayWeather{LowC: -2, HighC: 8, LowHour: 6, HighHour: 18, HumidityPct: 60, OpenDayM2: -1, OpenNightM2: -1, WindMS: 0}
		air := 0.5 * c.FloorM2 * c.height() / 3600 / DryAirM3Kg(3, 0.003, SeaLevelPa) * 1010
		lag := 2 * math.Pi / 86400 * c.storeJK() / (c.LossWK() + air)
		least, most := 99.0, -99.0
		sine, cosine := 0.0, 0.0
		for _, h := range c.Day(nil, w) {
			least, most = min(least, h.TempC), max(most, h.TempC)
			sine += (h.TempC - 3) * math.Sin(2*math.Pi*h.Hour/24)
			cosine += (h.TempC - 3) * math.Cos(2*math.Pi*h.Hour/24)
		}
		near(t, "swing", math.Hypot(sine, cosine)/12, 5/math.Sqrt(1+lag*lag), 0.05)
		near(t, "hours late", math.Mod(math.Atan2(sine, cosine)*12/math.Pi+24-18, 24), math.Atan(lag)*12/math.Pi, 0.2)
		near(t, "mean", (least+most)/2, 3, 0.1)
	}
}

func TestASunnyMetalRoofHeatsTheAfternoonAndInsulationTurnsItAway(t *testing.T) {
	birds := []Occupant{{2.5, 0.04, 12}}
	hottest := func(c Coop, sun float64) float64 {
		most := -99.0
		for _, h := range c.Day(birds, DayWeather{LowC: 20, HighC: 34, LightH: 15, SunWM2: sun, HumidityPct: 50, OpenDayM2: 0.43, OpenNightM2: 0.43, WindMS: 2}) {
			most = max(most, h.TempC)
		}
		return most
	}
	metal := Section{Layers: []Layer{{"metal", 1, false}}}
	boards := Section{Layers: []Layer{{"softwood", 20, false}}}
	bare, err := Build{LengthM: 2.4, WidthM: 1.8, Walls: boards, Roof: metal, Floor: boards}.Coop()
	if err != nil {
		t.Fatal(err)
	}
	if gain := hottest(bare, 900) - hottest(bare, 0); gain < 1 || gain > 10 {
		t.Errorf("sun on metal gains %.1f K", gain)
	}
	lined := Coop{FloorM2: 4.32, Insulated: true}
	if hottest(lined, 900)-hottest(lined, 0) > 0.6*(hottest(bare, 900)-hottest(bare, 0)) {
		t.Errorf("insulation gains %.1f K, metal %.1f K", hottest(lined, 900)-hottest(lined, 0), hottest(bare, 900)-hottest(bare, 0))
	}
}

func TestBirdsOutdoorsByDayLeaveTheHouseToItself(t *testing.T) {
	birds := []Occupant{{2.5, 0.04, 12}}
	in := Coop{FloorM2: 4.32}.Day(birds, DayWeather{LowC: 0, HighC: 8, LightH: 12})
	out := Coop{FloorM2: 4.32}.Day(birds, DayWeather{LowC: 0, HighC: 8, LightH: 12, OutByDay: 1})
	if out[14].TempC >= in[14].TempC || out[14].VapourGH != 0 || out[2].VapourGH == 0 {
		t.Errorf("%+v", out[14])
	}
}

func TestHoursAreAlwaysNumbersAndNeverOverSaturated(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Coop{FloorM2: rapid.Float64Range(0, 20).Draw(t, "floor"), OpenSided: rapid.Bool().Draw(t, "open"), WetLitter: rapid.Bool().Draw(t, "wet")}
		low := rapid.Float64Range(-40, 30).Draw(t, "low")
		w := DayWeather{LowC: low, HighC: low + rapid.Float64Range(0, 20).Draw(t, "range"),
			HumidityPct: rapid.Float64Range(0, 120).Draw(t, "humidity"), LightH: rapid.Float64Range(0, 24).Draw(t, "light"),
			SunWM2: rapid.Float64Range(0, 1000).Draw(t, "sun"), OpenDayM2: rapid.SampledFrom([]float64{0, -1, 0.4}).Draw(t, "vents"),
			OutByDay: rapid.Float64Range(0, 1).Draw(t, "away"), WindMS: rapid.Float64Range(0, 15).Draw(t, "wind")}
		for _, h := range c.Day([]Occupant{{2, 0.03, rapid.Float64Range(0, 50).Draw(t, "count")}}, w) {
			for _, v := range []float64{h.TempC, h.HumidityPct, h.DewC, h.RoofC, h.WallC, h.WindowC, h.CO2ppm, h.HeatIndexC, h.RiseGKg} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%+v", h)
				}
			}
			if h.HumidityPct > 100 || h.TempC < w.LowC-1.5 {
				t.Fatalf("%+v", h)
			}
		}
	})
}
