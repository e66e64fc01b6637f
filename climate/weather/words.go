package weather

import (
	"fmt"
	"math"
	"strings"
	"time"

	"henyear/measure"
)

// Sentences says in words what the summary found, in the units of the household:
// where and when, winter, frost, summer, and how weeks stray. Each has its code and
// arguments (metric) for other languages.
func (s *Summary) Sentences(u measure.Units) []Note {
	var out []Note
	say := func(code string, args map[string]any, format string, a ...any) {
		out = append(out, note(code, args, format, a...))
	}
	w := worder{u}
	s.sayClimate(say, w)
	s.sayCold(say, w)
	s.sayFrost(say)
	s.sayHeat(say, w)
	s.saySpread(say, w)
	return out
}

// worder writes temperatures in the units of the household.
type worder struct{ units measure.Units }

func (w worder) temp(c float64) string {
	v, unit := w.units.Show(measure.TempC, c)
	return measure.Round(v, 0) + " " + unit
}

// degrees writes a difference of temperatures.
func (w worder) degrees(c float64) string {
	v, unit := c, "°C"
	if w.units == measure.US {
		v, unit = c*1.8, "°F"
	}
	return measure.Round(v, 1) + " " + unit
}

func (s *Summary) sayClimate(say sayer, w worder) {
	if s.Class != "" {
		say("said-class", map[string]any{"class": s.Class}, "The climate class is %s.", s.Class)
	}
	if z := s.Zone; z != nil {
		open := ""
		if z.Coldest != z.Warmest {
			open = fmt.Sprintf(" (chance leaves it open between %s and %s)", z.Coldest, z.Warmest)
		}
		say("said-zone", map[string]any{"zone": z.Zone, "from": z.Coldest, "to": z.Warmest}, "The hardiness zone is %s%s.", z.Zone, open)
	}
	if t := s.Trend; t != nil && (t.CADecade > 2*t.SE || t.CADecade < -2*t.SE) {
		word := "warmer"
		if t.CADecade < 0 {
			word = "colder"
		}
		say("said-trend", map[string]any{"c_a_decade": t.CADecade, "se": t.SE}, "The years have become %s by %s a decade (give or take %s).", word, w.degrees(math.Abs(t.CADecade)), w.degrees(2*t.SE))
	}
}

func (s *Summary) sayCold(say sayer, w worder) {
	if s.Coldest == nil || s.Typical {
		return
	}
	say("said-coldest", map[string]any{"mean_c": s.Coldest.MeanC, "worst_c": s.Coldest.WorstC, "on": s.Coldest.On.String(), "years": s.Coldest.Years},
		"The coldest night of a usual year has %s; the worst of %d winters was %s on %s.", w.temp(s.Coldest.MeanC), s.Coldest.Years, w.temp(s.Coldest.WorstC), s.Coldest.On.Words())
	s.sayLevels(say, w, "said-cold-levels", s.Coldest, "A night of %s or colder comes once in %d years on average (between %s and %s, nine chances in ten).")
}

// sayLevels tells the level of twenty years, or of ten in shorter records.
func (s *Summary) sayLevels(say sayer, w worder, code string, e *Extremes, format string) {
	for _, years := range []int{20, 10} {
		for _, l := range e.Levels {
			if l.Years == years && !l.Beyond {
				say(code, map[string]any{"years": l.Years, "temp_c": l.TempC, "from_c": l.FromC, "to_c": l.ToC}, format, w.temp(l.TempC), l.Years, w.temp(l.FromC), w.temp(l.ToC))
				return
			}
		}
	}
}

func (s *Summary) sayFrost(say sayer) {
	f := s.Frost
	if f == nil {
		return
	}
	if f.Last != nil && f.First != nil {
		say("said-frost", map[string]any{"nights": f.NightsAYear.Value, "last": f.Last.Median, "last_late": f.Last.Late, "first": f.First.Median, "first_early": f.First.Early},
			"There are %.0f nights of frost a year. The last of spring falls about %s (one year in ten after %s), the first of autumn about %s (one year in ten before %s).",
			f.NightsAYear.Value, dayWords(f.Last.Median), dayWords(f.Last.Late), dayWords(f.First.Median), dayWords(f.First.Early))
	} else {
		say("said-little-frost", map[string]any{"nights": f.NightsAYear.Value}, "There are %.1f nights of frost a year.", f.NightsAYear.Value)
	}
	say("said-growing", map[string]any{"frost_free_days": f.SeasonDays.Value, "growing_days": f.GrowingDays.Value},
		"%.0f days lie between the frosts, and %.0f days are warm enough for grass.", f.SeasonDays.Value, f.GrowingDays.Value)
}

// dayWords writes 05-12 as 12 May.
func dayWords(monthDay string) string {
	month, day, _ := strings.Cut(monthDay, "-")
	var m, d int
	fmt.Sscanf(month+" "+day, "%d %d", &m, &d)
	return fmt.Sprintf("%d %s", d, time.Month(m))
}

func (s *Summary) sayHeat(say sayer, w worder) {
	h := s.Heat
	if h == nil {
		return
	}
	args := map[string]any{"hot_days": h.HotDaysAYear.Value, "waves": h.WavesAYear.Value, "longest_days": h.LongestDays}
	if h.WavesAYear.Value == 0 {
		say("said-heat", args, "%.0f days a year pass %s, never three in a row.", h.HotDaysAYear.Value, w.temp(heatWaveHighC))
	} else {
		say("said-heat", args, "%.0f days a year pass %s; %.1f times a year three or more follow each other, %d at most.", h.HotDaysAYear.Value, w.temp(heatWaveHighC), h.WavesAYear.Value, h.LongestDays)
	}
	if s.Hottest != nil && !s.Typical {
		s.sayLevels(say, w, "said-heat-levels", s.Hottest, "A day of %s or hotter comes once in %d years on average (between %s and %s, nine chances in ten).")
	}
}

func (s *Summary) saySpread(say sayer, w worder) {
	p := s.Spread
	if p == nil {
		return
	}
	january, july := p.WeekSDC[slotOf(14)], p.WeekSDC[slotOf(195)]
	say("said-spread", map[string]any{"january_c": january, "july_c": july, "persistence": p.Persistence, "rough": p.Rough},
		"Two weeks of January in three lie within %s of the usual, of July within %s; of a week's difference %.0f %% is left in the next.",
		w.degrees(january), w.degrees(july), 100*max(0, p.Persistence))
}
