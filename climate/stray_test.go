package climate

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func every(v float64) (months [12]float64) {
	for m := range months {
		months[m] = v
	}
	return months
}

func TestAYearWithoutToldSpreadIsByTheRule(t *testing.T) {
	for _, p := range Places() {
		for i, w := range p.Year() {
			if w.SDHighC != w.SDDayC || w.SDLowC != w.SDDayC || w.SDWeekC != 0 {
				t.Fatalf("%s slot %d: %+v", p.Name, i, w)
			}
		}
		p.Stray = &Stray{WeekMemory: 0.3} // tells of no spread
		if q := p; p.Year() != (func() Year { q.Stray = nil; return q.Year() })() {
			t.Fatalf("%s: a memory alone changes the year", p.Name)
		}
	}
}

func TestToldSpreadStandsInForTheRule(t *testing.T) {
	p := semiAridPlain()
	usual := p.Year()
	p.DaysAbove38 = 40 // told spreads come before what the rule makes of this
	p.Stray = &Stray{DayC: every(4), LowC: every(1), WeekC: every(2)}
	p.Stray.DayC[0] = 6
	frost, hot := 0.0, 0.0
	for i, w := range p.Year() {
		if !near(w.SDLowC, 1) || !near(w.SDWeekC, 2) || w.SDHighC != w.SDDayC {
			t.Fatalf("slot %d: %+v", i, w)
		}
		frost += w.FrostNights - usual[i].FrostNights
		hot += w.HotDays - usual[i].HotDays
	}
	if jan, july := p.Year()[2].SDDayC, p.Year()[28].SDDayC; jan < 5.5 || !(math.Abs(july-4) < 0.3) {
		t.Errorf("days stray %.2f in January, %.2f in July", jan, july)
	}
	if frost >= 0 {
		t.Errorf("nights that hardly stray give %.1f more frosts", frost)
	}
	p.Stray.HighC = every(0.5)
	steady := p.Year()
	p.Stray.HighC = every(9)
	if wild := p.Year(); wild[38].HotDays <= steady[38].HotDays {
		t.Errorf("%.2f hot days with highs that stray, %.2f without", wild[38].HotDays, steady[38].HotDays)
	}
}

func near(x, y float64) bool { return math.Abs(x-y) < 1e-9 }

// Whatever is told within its bounds gives a year that can be.
func TestAnyToldSpreadGivesAYear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := semiAridPlain()
		draw := func(name string) (months [12]float64) {
			for m := range months {
				months[m] = rapid.Float64Range(LeastStrayC, MostStrayC).Draw(t, name)
			}
			return months
		}
		p.Stray = &Stray{DayC: draw("day"), HighC: draw("high"), LowC: draw("low"), WeekC: every(LeastStrayC),
			WeekMemory: rapid.Float64Range(LeastMemory, MostMemory).Draw(t, "week"), DayMemory: rapid.Float64Range(LeastMemory, MostMemory).Draw(t, "memory")}
		if err := p.Validate(); err != nil {
			t.Fatal(err)
		}
		for i, w := range p.Year() {
			if !(w.SDDayC >= LeastStrayC && w.SDHighC >= LeastStrayC && w.SDLowC >= LeastStrayC && w.SDWeekC > 0) ||
				!(w.FrostNights >= 0 && w.FrostNights <= 7 && w.HotDays >= 0 && w.HotDays <= 7) {
				t.Fatalf("slot %d: %+v", i, w)
			}
		}
	})
}

func TestImpossibleSpreadsAreTold(t *testing.T) {
	for name, stray := range map[string]Stray{
		"too wide":       {DayC: every(40)},
		"not a number":   {LowC: every(math.NaN())},
		"below zero":     {HighC: every(-3)},
		"without end":    {WeekC: every(math.Inf(1))},
		"perfect memory": {WeekMemory: 1},
		"nan memory":     {DayMemory: math.NaN()},
		"week above day": {DayC: every(2), WeekC: every(4)},
	} {
		p := semiAridPlain()
		p.Stray = &stray
		if p.Validate() == nil {
			t.Errorf("%s is accepted", name)
		}
	}
}
