package climate

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestLampsHoldTheWinterDayAndRestInSummer(t *testing.T) {
	year := Lamps{LatitudeDeg: 45, DayH: 15, Watts: 10}.Year()
	if len(year.Weeks) != 52 {
		t.Fatal(len(year.Weeks))
	}
	sum := 0.0
	for _, w := range year.Weeks {
		if w.DayH < 15-1e-9 || math.Abs(w.NaturalH+w.LampH-w.DayH) > 1e-9 {
			t.Errorf("%+v", w)
		}
		if w.NaturalH > 15 && w.LampH != 0 {
			t.Errorf("lamps burn under a long sun: %+v", w)
		}
		sum += w.LampH * 7
	}
	// Midwinter at 45 degrees has 8 h 46 min of day: 6 h 14 min of lamp, ten watts.
	first := year.Weeks[51]
	if math.Abs(first.LampH-6.2) > 0.1 {
		t.Errorf("midwinter lamp %.2f h", first.LampH)
	}
	if math.Abs(year.KWh-sum*0.010) > 0.01*year.KWh {
		t.Errorf("%.2f kWh a year, %.2f by hand", year.KWh, sum*0.010)
	}
	// Dawn at the winter solstice is 4 h 23 min before noon: the lamp comes on at 1.22 in the morning.
	if math.Abs(first.MorningOnH-1.4) > 0.15 || first.EveningOnH != first.EveningOffH {
		t.Errorf("%+v", first)
	}
}

func TestSplitLampsBurnAtBothEndsOfTheDay(t *testing.T) {
	w := Lamps{LatitudeDeg: 52, DayH: 14, EveningShare: 0.5}.Year().Weeks[0]
	if math.Abs((w.MorningOffH-w.MorningOnH)-(w.EveningOffH-w.EveningOnH)) > 1e-9 || w.MorningOffH != w.SunriseH || w.EveningOnH != w.SunsetH {
		t.Errorf("%+v", w)
	}
	if math.Abs((w.MorningOffH-w.MorningOnH)*2-w.LampH) > 1e-9 {
		t.Errorf("%+v", w)
	}
}

func TestTheSouthLightsItsHensInJune(t *testing.T) {
	north, south := Lamps{LatitudeDeg: 40}.Year(), Lamps{LatitudeDeg: -40}.Year()
	if north.Weeks[24].LampH > 0 || south.Weeks[24].LampH < 4 || south.Weeks[51].LampH > 0 {
		t.Errorf("north %+v, south %+v", north.Weeks[24], south.Weeks[24])
	}
	if math.Abs(north.HoursOn-south.HoursOn) > 0.06*north.HoursOn {
		t.Errorf("hours of lamp: north %.0f, south %.0f", north.HoursOn, south.HoursOn)
	}
}

func TestPolarNightIsAllLampAndPolarDayNeedsNone(t *testing.T) {
	year := Lamps{LatitudeDeg: 75, DayH: 14}.Year()
	night, day := year.Weeks[51], year.Weeks[24]
	if night.LampH != 14 || night.MorningOnH != 5 || night.MorningOffH != 19 {
		t.Errorf("the lamp's day does not lie about noon: %+v", night)
	}
	if day.LampH != 0 || day.NaturalH != 24 {
		t.Errorf("%+v", day)
	}
}

// The rules of the trade, at every latitude, season of hatch and split.
func TestLampsNeverLengthenTheDayTooFastTooEarlyNorLetItFall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Lamps{
			LatitudeDeg: rapid.Float64Range(-90, 90).Draw(t, "latitude"),
			DayH:        rapid.Float64Range(14, 16).Draw(t, "day"), EveningShare: rapid.Float64Range(0, 1).Draw(t, "evening"),
			FloorM2: 6,
		}
		weeks := l.Batch(rapid.IntRange(0, 51).Draw(t, "hatch"), 130).Weeks
		for age, w := range weeks {
			for _, h := range []float64{w.MorningOnH, w.MorningOffH, w.EveningOnH, w.EveningOffH, w.SunriseH, w.SunsetH} {
				if !(h >= 0 && h < 24) {
					t.Fatalf("clock %g in %+v", h, w)
				}
			}
			if age < 20 && w.LampH > 0 && w.DayH > RearingH {
				t.Fatalf("lamps lengthen the day at %d weeks: %+v", age, w)
			}
			if age > 0 && age >= 20 && w.LampH > 1e-9 && w.RiseH > LampStepH+1e-9 {
				t.Fatalf("%.2f h longer in a week: %+v", w.RiseH, w)
			}
			if age >= 20 && w.RiseH < -1e-9 && w.DayH < 16-1e-9 {
				t.Fatalf("the day falls at %d weeks: %+v", age, w)
			}
			if age >= 20+32 && w.DayH < l.DayH-1e-9 {
				t.Fatalf("%.2f h at %d weeks, wished %.2f", w.DayH, age, l.DayH)
			}
			if w.RiseH < -1e-9 && age >= 20 && w.Note != "sun-falls" {
				t.Fatalf("no note: %+v", w)
			}
		}
	})
}

func TestAHeldFlockNeverSeesAShorterDayUpToSixteenHours(t *testing.T) {
	for lat := -56.0; lat <= 56; lat += 4 {
		for _, w := range (Lamps{LatitudeDeg: lat, HoldLongest: true}).Year().Weeks {
			if w.RiseH < -1e-9 && w.DayH < 16-1e-9 {
				t.Errorf("at %g degrees: %+v", lat, w)
			}
		}
	}
}

func TestPullets20WeeksOldInAutumnComeIntoLightByHalfHours(t *testing.T) {
	// Hatched at the end of May at 52 N: 20 weeks old in mid October, 10 h 40 min of day.
	weeks := Lamps{LatitudeDeg: 52, DayH: 14.5}.Batch(21, 60).Weeks
	if weeks[19].LampH != 0 || weeks[20].Note != "ramp" {
		t.Errorf("%+v %+v", weeks[19], weeks[20])
	}
	reached := 0
	for age, w := range weeks {
		if w.DayH >= 14.5-1e-9 && age >= 20 {
			reached = age
			break
		}
	}
	if reached < 26 || reached > 30 {
		t.Errorf("the full day comes at %d weeks", reached)
	}
}

func TestClockNoonFollowsLongitudeAndTheSundial(t *testing.T) {
	// Early November the sundial is 16 min fast, mid February 14 min slow.
	if h := ClockNoonH(43, 0, 0); math.Abs(h-(12-16.4/60)) > 0.03 {
		t.Errorf("%.3f", h)
	}
	if h := ClockNoonH(5, -93.23, -6); math.Abs(h-(12+93.23/15-6+14.0/60)) > 0.03 {
		t.Errorf("%.3f", h)
	}
}

func TestProgrammesThatCannotBeAreRefusedInWords(t *testing.T) {
	for _, l := range []Lamps{{LatitudeDeg: 99}, {DayH: 23}, {EveningShare: 2}, {Watts: -1}, {LatitudeDeg: math.NaN()}} {
		if l.Check() == nil {
			t.Errorf("%+v passes", l)
		}
	}
	if err := (Lamps{LatitudeDeg: 52, DayH: 15}).Check(); err != nil {
		t.Error(err)
	}
}
