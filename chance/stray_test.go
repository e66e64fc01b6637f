package chance

import (
	"math"
	"testing"

	"henyear/climate"
)

// walk draws long weather and returns its correlation from week to week and the
// spread of its steps.
func walk(s Spread, weeks int) (memory, sd float64) {
	bins := make([]uint8, weeks)
	seeds := seedsOf(7)
	st := newStreams(&seeds, 0)
	s.weather(bins, &st)
	same, next := 0.0, 0.0
	for t, b := range bins {
		a := anomaly(int(b))
		same += a * a
		if t > 0 {
			next += a * anomaly(int(bins[t-1]))
		}
	}
	return next / same, math.Sqrt(same / float64(weeks))
}

func TestUntoldWeatherHasTheUsualLuck(t *testing.T) {
	usual := UsualSpread().prepared()
	if usual.at(nil) != usual || usual.at(&climate.Stray{SourceKey: "weather_file"}) != usual {
		t.Error("nothing told changes the spread of luck")
	}
	w := climate.WeekNormal{SDDayC: 4}
	sd, _ := weekOfDays(usual.DayMemory)
	if got := usual.weekSD(w); got != 4*sd {
		t.Errorf("a week strays %g of days' 4", got)
	}
}

func TestWeeksStrayAndRememberAsThePlaceTells(t *testing.T) {
	usual := UsualSpread().prepared()
	if got := usual.weekSD(climate.WeekNormal{SDDayC: 4, SDWeekC: 1.5}); got != 1.5 {
		t.Errorf("a week told to stray 1.5 strays %g", got)
	}
	for _, told := range []float64{-0.3, 0.15, 0.4, 0.8} {
		memory, sd := walk(usual.at(&climate.Stray{WeekMemory: told}), 200000)
		// Reading to steps of three quarters of an SD blurs the memory a little.
		if math.Abs(memory-told) > 0.05 || math.Abs(sd-1) > 0.05 {
			t.Errorf("told %g, drawn %.3f with SD %.3f", told, memory, sd)
		}
	}
	long, short := usual.at(&climate.Stray{DayMemory: 0.9}), usual.at(&climate.Stray{DayMemory: 0.5})
	w := climate.WeekNormal{SDDayC: 4}
	if long.weekSD(w) <= short.weekSD(w) || long.weekMemory <= short.weekMemory {
		t.Error("days that hang together make weeks that stray further and longer")
	}
	if both := usual.at(&climate.Stray{DayMemory: 0.9, WeekMemory: 0.1}); both.weekMemory != 0.1 || both.DayMemory != 0.9 {
		t.Errorf("%+v", both)
	}
}
