package bird

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

var (
	gameLayer = HeatTolerance{Kg: 1.7, Plumage: "tight", CombSize: 3}
	usualHen  = HeatTolerance{Kg: 2.2, Plumage: "medium", CombSize: 2}
	cochin    = HeatTolerance{Kg: 3.9, Plumage: "loose", FeatheredShanks: true, CombSize: 1}
)

func TestHeavyFeatherLeggedBirdsSufferFirstInHeat(t *testing.T) {
	for high := 24.0; high <= 44; high++ {
		s := Surroundings{DayMaxC: high, DaySDC: 3, NightC: 22, AirMS: 0.1}
		if light, usual, heavy := HeatDays(gameLayer, s), HeatDays(usualHen, s), HeatDays(cochin, s); light > usual || usual > heavy {
			t.Errorf("high %g C: light %.2f, usual %.2f, heavy %.2f days", high, light, usual, heavy)
		}
	}
}

func TestNakedNecksCoolNightsAndMovingAirEaseHeat(t *testing.T) {
	hot := Surroundings{DayMaxC: 34, DaySDC: 3, NightC: 25, AirMS: 0.1}
	base := HeatDays(usualHen, hot)
	bare := usualHen
	bare.NakedNeck = true
	cool, breeze := hot, hot
	cool.NightC, breeze.AirMS = 17, 1
	for what, days := range map[string]float64{"naked neck": HeatDays(bare, hot), "cool night": HeatDays(usualHen, cool), "breeze": HeatDays(usualHen, breeze)} {
		if days > base-0.5 {
			t.Errorf("%s: %.2f days, without %.2f", what, days, base)
		}
	}
}

func TestHeatDaysStayWithinTheWeekAndRiseWithTheHigh(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := HeatTolerance{rapid.Float64Range(0, 8).Draw(t, "kg"), rapid.SampledFrom([]string{"tight", "medium", "loose", ""}).Draw(t, "plumage"),
			rapid.Bool().Draw(t, "shanks"), rapid.Bool().Draw(t, "neck"), rapid.IntRange(0, 4).Draw(t, "comb")}
		s := Surroundings{DayMaxC: rapid.Float64Range(-40, 55).Draw(t, "high"), DaySDC: rapid.Float64Range(0, 8).Draw(t, "sd"),
			NightC: rapid.Float64Range(-40, 35).Draw(t, "night"), AirMS: rapid.Float64Range(0, 10).Draw(t, "air")}
		days := HeatDays(b, s)
		hotter := s
		hotter.DayMaxC += 1
		if !(days >= 0 && days <= 7) || HeatDays(b, hotter) < days-1e-9 {
			t.Fatalf("%g days, hotter %g", days, HeatDays(b, hotter))
		}
	})
}

func TestTemperatureFactorsHaveNoSteps(t *testing.T) {
	for name, f := range map[string]func(float64) float64{
		"heat on lay": HeatLayFactor, "cold on lay": ColdLayFactor, "heat on feed": HeatFeedFactor, "appetite": HeatAppetite,
	} {
		for temp := -60.0; temp < 60; temp += 0.1 {
			a, b := f(temp), f(temp+0.1)
			if math.IsNaN(a) || a <= 0 || a > 1.001 || math.Abs(a-b) > 0.01 {
				t.Errorf("%s: %.4f at %.1f C, %.4f at %.1f C", name, a, temp, b, temp+0.1)
			}
		}
	}
}

func TestMildWeatherLeavesLayAndFeedAlone(t *testing.T) {
	for temp := 13.0; temp <= 27; temp++ {
		if HeatLayFactor(temp)*ColdLayFactor(temp) != 1 {
			t.Errorf("%g C: heat %g, cold %g", temp, HeatLayFactor(temp), ColdLayFactor(temp))
		}
	}
	if HeatFeedFactor(18) != 1 || HeatAppetite(18) != 1 {
		t.Error("feed at 18 C")
	}
}

// 120 g at 21 C is 103 g at 30 C and 86 g at 35 C by the slopes of the trade.
func TestFeedOnAHotDay(t *testing.T) {
	closeTo(t, "30 C", 120*HeatFeedFactor(30), 103, 1)
	closeTo(t, "35 C", 120*HeatFeedFactor(35), 86, 4)
}
