package bird

import (
	"math"
	"testing"

	"henyear/breed"

	"pgregory.net/rapid"
)

// Half of a wave lies above its middle, all above its foot, none above its crest.
func TestHoursOfADayAboveALimit(t *testing.T) {
	for _, c := range [][4]float64{{25, 35, 20, 12}, {15, 35, 20, 24}, {35, 35, 20, 0}, {30, 35, 20, 8}, {10, 35, 20, 24}, {30, 35, 0, 24}} {
		closeTo(t, "hours", hoursAbove(c[0], c[1], c[2]), c[3], 1e-9)
	}
}

func TestHeatHoursBelongToHeatDays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := HeatTolerance{Kg: rapid.Float64Range(0.5, 5).Draw(t, "kg"), CombSize: rapid.IntRange(1, 3).Draw(t, "comb"),
			Plumage: rapid.SampledFrom([]string{"tight", "medium", "loose"}).Draw(t, "plumage")}
		s := Surroundings{NightC: rapid.Float64Range(-30, 30).Draw(t, "night"), DayMaxC: rapid.Float64Range(-30, 48).Draw(t, "high"),
			DaySDC: rapid.Float64Range(0, 8).Draw(t, "sd"), AirMS: rapid.Float64Range(0, 3).Draw(t, "air")}
		swing := rapid.Float64Range(0, 22).Draw(t, "swing")
		days, hours := HeatDays(b, s), HeatHours(b, s, swing)
		if !(hours >= 0 && hours <= 24*days+1e-6) || days > 0.01 && hours == 0 {
			t.Fatalf("%.3f days, %.3f hours", days, hours)
		}
		hotter := s
		hotter.DayMaxC++
		if HeatHours(b, hotter, swing) < hours-1e-6 {
			t.Fatalf("%.4f hours, %.4f when hotter", hours, HeatHours(b, hotter, swing))
		}
	})
}

// The hours by like shares agree with a fine sum over the spread of days.
func TestHeatHoursAgreeWithASumOverDays(t *testing.T) {
	b := HeatTolerance{Kg: 2.2, Plumage: "medium", CombSize: 2}
	s := Surroundings{NightC: 18, DayMaxC: 34, DaySDC: 3.5, AirMS: 0.2}
	limit, sum := HeatLimitC(b, s), 0.0
	const step = 0.001
	for z := -6.0; z < 6; z += step {
		sum += step * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * hoursAbove(limit, s.DayMaxC+z*s.DaySDC, 17)
	}
	closeTo(t, "hours", HeatHours(b, s, 17), 7*sum, 0.1)
}

func TestHawksTakeCrestedWhiteAndSmallBirdsFirst(t *testing.T) {
	usual := breed.Breed{HenKg: 2.5, Flightiness: 1, Foraging: 2, PlumageColour: "barred"}
	for what, change := range map[string]func(*breed.Breed){
		"crest": func(b *breed.Breed) { b.Crested = true },
		"white": func(b *breed.Breed) { b.PlumageColour = "white" },
		"small": func(b *breed.Breed) { b.HenKg = 1 },
		"tame":  func(b *breed.Breed) { b.Flightiness = 0 },
	} {
		b := usual
		change(&b)
		if HawkTimes(&b) <= HawkTimes(&usual) {
			t.Errorf("%s: %.2f times, usual %.2f", what, HawkTimes(&b), HawkTimes(&usual))
		}
	}
	closeTo(t, "usual bird", HawkTimes(&usual), 1, 1e-9)
}
