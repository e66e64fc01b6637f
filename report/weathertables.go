package report

import (
	"strconv"
	"strings"
	"time"

	"henyear/climate/weather"
	"henyear/measure"
)

// MSPerMileHour is one mile an hour in metres a second.
const MSPerMileHour = measure.MPerFoot * 5280 / 3600

// windOf writes a wind in the reader's units, and the unit.
func windOf(u measure.Units, ms float64) (v float64, unit string) {
	if u == measure.US {
		return ms / MSPerMileHour, say("weather.mph")
	}
	return ms, say("weather.ms")
}

// difference is a difference of temperatures in the reader's units.
func difference(u measure.Units, c float64) float64 {
	if u == measure.US {
		return c * 1.8
	}
	return c
}

// signed writes a difference with its sign.
func signed(x float64, decimals int) string {
	text := Number(x, decimals)
	if strings.Trim(text, "0.") != "" && x > 0 {
		return "+" + text
	}
	return text
}

func rainDigits(u measure.Units) int {
	if u == measure.US {
		return 1
	}
	return 0
}

func longMonth(m int) string { return time.Month(m + 1).String() }

const noFigure = "–"

// WeatherMonths is the usual year month by month, with what a month's high and low
// stray from year to year.
func (a *WeatherAnswer) WeatherMonths() Table {
	u := a.Units
	unit, rain := Unit(u, measure.TempC), Unit(u, measure.RainMM)
	_, wind := windOf(u, 0)
	t := Table{Caption: say("weather.months.caption"), Head: []Column{{say("weather.month"), true}, {say("weather.high", unit), false}, {say("weather.low", unit), false}, {say("weather.rain", rain), false},
		{say("weather.humidity"), false}, {say("weather.wind", wind), false}, {say("weather.frost"), false}, {say("weather.hot"), false}, {say("weather.years"), false}}}
	cell := func(f weather.Figure, decimals int, show func(float64) float64) string {
		if !f.Known() {
			return noFigure
		}
		return Number(show(f.Value), decimals)
	}
	temp := func(c float64) float64 { v, _ := u.Show(measure.TempC, c); return v }
	mm := func(mm float64) float64 { v, _ := u.Show(measure.RainMM, mm); return v }
	ms := func(ms float64) float64 { v, _ := windOf(u, ms); return v }
	same := func(v float64) float64 { return v }
	for i, m := range a.Summary.Months {
		t.Rows = append(t.Rows, []string{longMonth(i), cell(m.HighC, 1, temp), cell(m.LowC, 1, temp), cell(m.RainMM, rainDigits(u), mm), cell(m.HumidityPct, 0, same),
			cell(m.WindMS, 1, ms), cell(m.FrostNights, 1, same), cell(m.HotDays, 1, same), strconv.Itoa(max(m.HighC.Years, m.LowC.Years))})
	}
	return t
}

// WeatherLevels is what is passed once in so many years, cold and hot; empty
// without fifteen years.
func (a *WeatherAnswer) WeatherLevels() Table {
	s := a.Summary
	if s.Coldest == nil || s.Hottest == nil || len(s.Coldest.Levels) == 0 || len(s.Hottest.Levels) == 0 {
		return Table{}
	}
	unit := Unit(a.Units, measure.TempC)
	t := Table{Caption: say("weather.levels.caption"), Head: []Column{{say("weather.once"), true}, {say("weather.night", unit), false}, {say("weather.night.range"), false},
		{say("weather.day", unit), false}, {say("weather.day.range"), false}}}
	temp := func(c float64) string { v, _ := a.Units.Show(measure.TempC, c); return Number(v, 1) }
	span := func(l weather.Level) string { return say("weather.to", temp(l.FromC), temp(l.ToC)) }
	for i, cold := range s.Coldest.Levels {
		if i >= len(s.Hottest.Levels) {
			break
		}
		hot := s.Hottest.Levels[i]
		name := say("weather.once.years", strconv.Itoa(cold.Years))
		if cold.Beyond || hot.Beyond {
			name = say("weather.once.beyond", strconv.Itoa(cold.Years))
		}
		t.Rows = append(t.Rows, []string{name, temp(cold.TempC), span(cold), temp(hot.TempC), span(hot)})
	}
	return t
}

// WeatherFacts are the rest of what a keeper asks of a place, one a row.
func (a *WeatherAnswer) WeatherFacts() Table {
	t := Table{Caption: say("weather.facts.caption"), Head: []Column{{say("weather.fact"), true}, {say("weather.value"), true}}}
	add := func(code, value string, args ...string) { t.Rows = append(t.Rows, []string{say(code, args...), value}) }
	s, u := a.Summary, a.Units
	temp := func(c float64) string { return Quantity(u, measure.TempC, c, 0) }
	if s.Class != "" {
		add("weather.fact.class", s.Class)
	}
	if z := s.Zone; z != nil {
		value := z.Zone
		if z.Coldest != z.Warmest {
			value = say("weather.fact.zone.open", z.Zone, z.Coldest, z.Warmest)
		}
		add("weather.fact.zone", value)
	}
	for _, e := range []struct {
		of          *weather.Extremes
		code, worst string
	}{{s.Coldest, "weather.fact.coldest", "weather.fact.coldest.worst"}, {s.Hottest, "weather.fact.hottest", "weather.fact.hottest.worst"}} {
		if e.of != nil && !s.Typical {
			add(e.code, temp(e.of.MeanC))
			add(e.worst, say("weather.fact.on", temp(e.of.WorstC), Day(e.of.On)))
		}
	}
	a.frostFacts(add)
	if h := s.Heat; h != nil {
		add("weather.fact.hot", Number(h.HotDaysAYear.Value, 0), temp(32))
		add("weather.fact.above38", Number(h.Above38AYear.Value, 1), temp(38))
		add("weather.fact.waves", Number(h.WavesAYear.Value, 1), temp(32))
		if h.LongestDays > 0 && !s.Typical {
			add("weather.fact.longest", say("weather.fact.longest.from", Number(float64(h.LongestDays), 0), Day(h.LongestFrom)))
		}
	}
	a.airFacts(add)
	if trend := s.Trend; trend != nil {
		_, degree := u.Show(measure.TempC, 0)
		add("weather.fact.trend", say("weather.fact.give", signed(difference(u, trend.CADecade), 1), Number(difference(u, 2*trend.SE), 1), degree))
	}
	return t
}

type factAdder func(code, value string, args ...string)

func (a *WeatherAnswer) frostFacts(add factAdder) {
	f := a.Summary.Frost
	if f == nil {
		return
	}
	add("weather.fact.frost", Number(f.NightsAYear.Value, 0))
	add("weather.fact.hard", Number(f.HardAYear.Value, 0), Quantity(a.Units, measure.TempC, -10, 0))
	if a.Summary.Typical {
		return
	}
	dates := func(d *weather.Dates) string {
		return say("weather.fact.dates", monthDay(d.Median), monthDay(d.Early), monthDay(d.Late))
	}
	if f.Last != nil {
		add("weather.fact.last", dates(f.Last))
	}
	if f.First != nil {
		add("weather.fact.first", dates(f.First))
	}
	if f.FreeYears > 0 {
		add("weather.fact.free", say("weather.fact.of", strconv.Itoa(f.FreeYears), strconv.Itoa(f.Years)))
	}
	add("weather.fact.season", Number(f.SeasonDays.Value, 0))
	if f.GrowingDays.Known() {
		add("weather.fact.growing", Number(f.GrowingDays.Value, 0), Quantity(a.Units, measure.TempC, 5, 0))
	}
}

// airFacts are the least and most humid month, and the calmest and windiest.
func (a *WeatherAnswer) airFacts(add factAdder) {
	tell := func(code string, pick func(weather.Month) weather.Figure, write func(float64) string) {
		low, high := -1, -1
		for i, m := range a.Summary.Months {
			f := pick(m)
			if !f.Known() {
				continue
			}
			if low < 0 || f.Value < pick(a.Summary.Months[low]).Value {
				low = i
			}
			if high < 0 || f.Value > pick(a.Summary.Months[high]).Value {
				high = i
			}
		}
		if low < 0 {
			add(code, say("weather.fact.not_in"))
			return
		}
		if least, most := write(pick(a.Summary.Months[low]).Value), write(pick(a.Summary.Months[high]).Value); least == most {
			add(code, say("weather.fact.all_year", least))
			return
		}
		add(code, say("weather.fact.from_to", write(pick(a.Summary.Months[low]).Value), longMonth(low), write(pick(a.Summary.Months[high]).Value), longMonth(high)))
	}
	tell("weather.fact.humidity", func(m weather.Month) weather.Figure { return m.HumidityPct }, func(v float64) string { return Number(v, 0) + "\u00a0%" })
	tell("weather.fact.wind", func(m weather.Month) weather.Figure { return m.WindMS }, func(v float64) string {
		shown, unit := windOf(a.Units, v)
		return Number(shown, 1) + "\u00a0" + unit
	})
}

// monthDay writes 05-12 as 12 May.
func monthDay(text string) string {
	d, err := measure.ParseDate("2001-" + text)
	if err != nil {
		return text
	}
	return DayMonth(d)
}

// WeatherSpread is how days and weeks stray from the usual, month by month; empty
// where the record cannot tell.
func (a *WeatherAnswer) WeatherSpread() Table {
	if a.Summary.Spread == nil {
		return Table{}
	}
	s := a.Summary.Spread.Stray()
	unit := Unit(a.Units, measure.TempC)
	t := Table{Caption: say("weather.spread.caption"), Head: []Column{{say("weather.month"), true}, {say("weather.spread.high", unit), false}, {say("weather.spread.low", unit), false},
		{say("weather.spread.day", unit), false}, {say("weather.spread.week", unit), false}}}
	cell := func(c float64) string { return Number(difference(a.Units, c), 1) }
	for m := range 12 {
		t.Rows = append(t.Rows, []string{longMonth(m), cell(s.HighC[m]), cell(s.LowC[m]), cell(s.DayC[m]), cell(s.WeekC[m])})
	}
	return t
}

// SpreadWords say how long a spell of weather holds; empty where the record cannot
// tell.
func (a *WeatherAnswer) SpreadWords() string {
	s := a.Summary.Spread
	if s == nil {
		return ""
	}
	text := say("weather.spread.words", Number(s.Persistence, 2), Number(2*s.PersistenceSE, 2), Number(s.DayPersistence, 2), Number(100*max(0, s.Persistence), 0), Number(s.Years, 0))
	if s.Rough {
		text += " " + say("weather.spread.rough")
	}
	return text
}

// WeatherCompare is the record less a place of the catalogue, month by month.
func (a *WeatherAnswer) WeatherCompare(c weather.Comparison) Table {
	unit, rain := Unit(a.Units, measure.TempC), Unit(a.Units, measure.RainMM)
	_, wind := windOf(a.Units, 0)
	t := Table{Caption: say("weather.compare.caption", c.Name), Head: []Column{{say("weather.month"), true}, {say("weather.high", unit), false}, {say("weather.low", unit), false},
		{say("weather.rain", rain), false}, {say("weather.humidity"), false}, {say("weather.wind", wind), false}}}
	cell := func(v *float64, decimals int, show func(float64) float64) string {
		if v == nil {
			return noFigure
		}
		return signed(show(*v), decimals)
	}
	temp := func(v float64) float64 { return difference(a.Units, v) }
	mm := func(v float64) float64 { shown, _ := a.Units.Show(measure.RainMM, v); return shown }
	ms := func(v float64) float64 { shown, _ := windOf(a.Units, v); return shown }
	same := func(v float64) float64 { return v }
	for m := range 12 {
		t.Rows = append(t.Rows, []string{longMonth(m), cell(c.HighC[m], 1, temp), cell(c.LowC[m], 1, temp), cell(c.RainMM[m], rainDigits(a.Units), mm),
			cell(c.HumidityPct[m], 0, same), cell(c.WindMS[m], 1, ms)})
	}
	return t
}

// CompareWords sum up a comparison.
func (a *WeatherAnswer) CompareWords(c weather.Comparison) string {
	unit := Unit(a.Units, measure.TempC)
	higher := Quantity(a.Units, measure.LengthM, max(c.HigherM, -c.HigherM), 0)
	side := say("weather.compare.lower", higher)
	switch {
	case c.HigherM > 5:
		side = say("weather.compare.higher", higher)
	case c.HigherM >= -5:
		side = say("weather.compare.level")
	}
	text := say("weather.compare.words", c.Name, c.Country, wayOff(a.Units, c.Km), side, signed(difference(a.Units, c.YearC), 1)+"\u00a0"+unit, signed(difference(a.Units, c.HeightC), 1)+"\u00a0"+unit)
	if c.ExtremeC != nil {
		text += " " + say("weather.compare.extreme", signed(difference(a.Units, *c.ExtremeC), 0)+"\u00a0"+unit)
	}
	for _, n := range c.Notes {
		if n.Code == "compare-far" {
			text += " " + n.Text
		}
	}
	return text
}

const kmPerMile = measure.MPerFoot * 5280 / 1000

func wayOff(u measure.Units, km float64) string {
	if u == measure.US {
		return say("weather.miles", Number(km/kmPerMile, 0))
	}
	return say("weather.km", Number(km, 0))
}

// WeatherYears lists the years of the file that lack days, at most as many as fit
// a page; empty when none does.
func (a *WeatherAnswer) WeatherYears() Table {
	t := Table{Caption: say("weather.years.caption"), Head: []Column{{say("weather.year"), true}, {say("weather.year.days"), false}, {say("weather.year.of"), false}, {say("weather.year.rain"), false}, {say("weather.year.used"), true}}}
	for _, c := range a.Summary.Coverage {
		if wholeCoverage(c) {
			continue
		}
		used := say("weather.no")
		if c.Used {
			used = say("weather.yes")
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(c.Year), strconv.Itoa(c.Days), strconv.Itoa(c.Of), strconv.Itoa(c.Rain), used})
	}
	return t
}

// wholeCoverage: nineteen days of twenty.
func wholeCoverage(c weather.Coverage) bool { return 20*c.Days >= 19*c.Of }

var kindCodes = map[weather.Kind]string{weather.ByStation: "weather.kind.ghcn_by_station", weather.FixedWidth: "weather.kind.ghcn_fixed_width",
	weather.USNormals: "weather.kind.us_normals", weather.TypicalYear: "weather.kind.epw", weather.DailyTable: "weather.kind.daily_table",
	weather.HourlyTable: "weather.kind.hourly_table", weather.MonthlyTable: "weather.kind.monthly_table"}

// FileWords say what the files are, where the station stands, and which years count.
func (a *WeatherAnswer) FileWords() []string {
	s := a.Summary
	files := PlainWords(strings.Join(a.Files, ", "))
	list := []string{say(kindCodes[s.Kind], files)}
	if s.At == nil {
		list = append(list, say("weather.at.unknown"))
	} else {
		list = append(list, say("weather.at", globeDegrees(s.At.LatitudeDeg, "weather.north", "weather.south"), globeDegrees(s.At.LongitudeDeg, "weather.east", "weather.west"), Quantity(a.Units, measure.LengthM, s.At.AltitudeM, 0)))
	}
	if len(s.Coverage) == 0 || s.Typical {
		return list
	}
	used, whole := 0, 0
	for _, c := range s.Coverage {
		if c.Used {
			used++
			if wholeCoverage(c) {
				whole++
			}
		}
	}
	text := say("weather.used", strconv.Itoa(s.From.Year), strconv.Itoa(s.To.Year), strconv.Itoa(whole), strconv.Itoa(used))
	if g := s.Gap; g != nil && g.Days > 1 {
		text += " " + say("weather.gap", strconv.Itoa(g.Days), Day(g.From))
	}
	return append(list, text)
}

func globeDegrees(v float64, plus, minus string) string {
	if v < 0 {
		return say(minus, Number(-v, 2))
	}
	return say(plus, Number(v, 2))
}
