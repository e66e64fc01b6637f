package weather

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"henyear/climate"
	"henyear/measure"
	"henyear/source"

	"pgregory.net/rapid"
)

var madison = &Location{LatitudeDeg: 44.1, LongitudeDeg: -90.2, AltitudeM: 300}

func near(a, b, within float64) bool { return math.Abs(a-b) <= within }

func TestThirtyMadeYearsGiveBackWhatWasPutIn(t *testing.T) {
	r := mustRead(t, string(madeStation(thirtyYears)), Options{At: madison})
	s := r.Summary()
	for m, month := range s.Months {
		mean, n := 0.0, 0.0
		for d := range daysOfMonth(2001, m+1) {
			mean += thirtyYears.wave(daysBefore[m] + d)
			n++
		}
		if got := (month.HighC.Value + month.LowC.Value) / 2; !near(got, mean/n, 1.5) || month.HighC.Years != 30 {
			t.Errorf("month %d: %.1f, made %.1f", m+1, got, mean/n)
		}
	}
	if len(s.Weeks) != 52 {
		t.Fatal("no weeks")
	}
	for i, w := range s.Weeks {
		if !near(w.MeanC, w.CourseC, 2.5) || w.Days < 185 {
			t.Errorf("slot %d: measured %.1f, course %.1f, %d days", i, w.MeanC, w.CourseC, w.Days)
		}
	}
	// Days of an autoregressive series: standard deviation 5, weeks 0.681 of it, weeks
	// hang together by 0.217 (sums of powers of 0.65).
	if s.Spread == nil || s.Spread.Rough {
		t.Fatal("no spread, or a rough one, of thirty years")
	}
	for i := range 52 {
		if !near(s.Spread.DaySDC[i], 5, 0.9) || !near(s.Spread.WeekSDC[i], 3.4, 0.9) || !near(s.Spread.WeekPersistence[i], 0.217, 0.25) {
			t.Errorf("slot %d: day %.2f, week %.2f, persistence %.2f", i, s.Spread.DaySDC[i], s.Spread.WeekSDC[i], s.Spread.WeekPersistence[i])
		}
	}
	if !near(s.Spread.DayPersistence, 0.65, 4*s.Spread.DayPersistenceSE) || !near(s.Spread.Persistence, 0.217, 4*s.Spread.PersistenceSE) {
		t.Errorf("persistence of days %.3f, of weeks %.3f", s.Spread.DayPersistence, s.Spread.Persistence)
	}
	if s.Trend == nil || math.Abs(s.Trend.CADecade) > 4*s.Trend.SE {
		t.Errorf("trend %+v where none was made", s.Trend)
	}
	if s.Frost.Years != 30 || s.Frost.Last.Median < "04-01" || s.Frost.Last.Median > "05-31" || s.Frost.First.Median < "09-15" || s.Frost.First.Median > "11-15" {
		t.Errorf("frost %+v %+v %+v", s.Frost, s.Frost.Last, s.Frost.First)
	}
	if s.Frost.Last.Early > s.Frost.Last.Median || s.Frost.Last.Median > s.Frost.Last.Late {
		t.Errorf("last frost out of order: %+v", s.Frost.Last)
	}
	if s.Class[0] != 'D' || s.Zone == nil || s.Coldest.Years != 29 {
		t.Errorf("class %s, zone %v, %d winters", s.Class, s.Zone, s.Coldest.Years)
	}
}

func TestReturnLevelsSpreadOutwardAndHoldTheRecord(t *testing.T) {
	s := mustRead(t, string(madeStation(thirtyYears)), Options{At: madison}).Summary()
	for _, e := range []*Extremes{s.Coldest, s.Hottest} {
		sign := 1.0
		if e == s.Coldest {
			sign = -1
		}
		for i, l := range e.Levels {
			if l.FromC > l.TempC || l.TempC > l.ToC {
				t.Errorf("%+v is no range", l)
			}
			if i > 0 && sign*l.TempC <= sign*e.Levels[i-1].TempC {
				t.Errorf("%d years are no rarer than %d", l.Years, e.Levels[i-1].Years)
			}
			if l.Beyond != (l.Years > e.Years) {
				t.Errorf("%+v of %d years", l, e.Years)
			}
		}
		if sign*e.WorstC < sign*e.Levels[2].TempC-4 || !e.Fits {
			t.Errorf("worst %.1f, ten years %.1f, skew %.2f", e.WorstC, e.Levels[2].TempC, e.LSkew)
		}
	}
}

// The range of a return level must hold the true one nine times in ten.
func TestTheRangeOfAReturnLevelIsHonest(t *testing.T) {
	const at, scale, n, trials = 20.0, 3.0, 30, 2000
	held, of := 0, 0
	for seed := range trials {
		g := made{firstYear: 2001, years: 1, sdC: 1, seed: uint64(seed)}
		values := make([]float64, n)
		for i, d := range g.record().Days[:n] {
			p := 0.5 * math.Erfc(-(d.MeanC-g.wave(i))/math.Sqrt2)
			values[i] = at - scale*math.Log(-math.Log(p))
		}
		fit, _ := gumbelOf(values)
		for _, years := range []float64{10, 50} {
			of++
			if near(fit.level(years), at+scale*reduced(years), nineInTen*fit.levelSE(years, n)) {
				held++
			}
		}
	}
	if share := float64(held) / float64(of); share < 0.87 || share > 0.93 {
		t.Errorf("the range holds the truth in %.3f of trials", share)
	}
}

func TestSouthernYearsBeginInJuly(t *testing.T) {
	w := thirtyYears
	w.southern = true
	south := mustRead(t, string(madeStation(w)), Options{At: &Location{-44, 170, 300}}).Summary()
	north := mustRead(t, string(madeStation(thirtyYears)), Options{At: madison}).Summary()
	if !south.Southern || south.Frost.Last.Median < "10-01" || south.Frost.Last.Median > "11-30" || south.Frost.First.Median > "05-20" || south.Frost.First.Median < "03-15" {
		t.Errorf("last %+v, first %+v", south.Frost.Last, south.Frost.First)
	}
	if !near(south.Frost.SeasonDays.Value, north.Frost.SeasonDays.Value, 8) || !near(south.Coldest.MeanC, north.Coldest.MeanC, 2) {
		t.Errorf("season %v and %v days, coldest %v and %v", south.Frost.SeasonDays, north.Frost.SeasonDays, south.Coldest.MeanC, north.Coldest.MeanC)
	}
	without := mustRead(t, string(madeStation(w)), Options{}).Summary()
	if !without.Southern {
		t.Error("the half of the globe is not told from the seasons")
	}
}

func TestGapsAreNeverFilled(t *testing.T) {
	lines := strings.Split(string(madeStation(thirtyYears)), "\n")
	kept := lines[:0]
	for _, line := range lines {
		if strings.Contains(line, ",200102") || strings.Contains(line, ",2001030") {
			continue // 1 February to 9 March 2001
		}
		kept = append(kept, line)
	}
	r := mustRead(t, strings.Join(kept, "\n"), Options{At: madison})
	s := r.Summary()
	if s.Gap == nil || s.Gap.Days != 37 || s.Gap.From != (measure.Date{Year: 2001, Month: 2, Day: 1}) {
		t.Errorf("gap %+v", s.Gap)
	}
	if s.Months[1].HighC.Years != 29 || s.Months[2].HighC.Years != 30 {
		t.Errorf("February stands on %d years, March on %d", s.Months[1].HighC.Years, s.Months[2].HighC.Years)
	}
	if s.Coldest.Years != 28 {
		t.Errorf("%d winters count", s.Coldest.Years)
	}
	for _, c := range s.Coverage {
		want := c.Of
		if c.Year == 2001 {
			want -= 37
		}
		if c.Days != want {
			t.Errorf("%d: %d days of %d", c.Year, c.Days, c.Of)
		}
	}
}

func TestAMonthNeedsTwentyDays(t *testing.T) {
	text := "date,high_c,low_c,rain_mm\n"
	for d := 1; d <= 20; d++ {
		text += fmt.Sprintf("2023-01-%02d,4,-2,1.5\n", d)
	}
	if m := mustRead(t, text, Options{}).Months()[0]; m.HighC.Years != 1 || !near(m.RainMM.Value, 46.5, 1e-9) || m.FrostNights.Value != 31 {
		t.Errorf("twenty days: %+v", m)
	}
	text = strings.Replace(text, "2023-01-20,4,-2,1.5\n", "", 1)
	if m := mustRead(t, text, Options{}).Months()[0]; m.HighC.Known() {
		t.Errorf("nineteen days: %+v", m)
	}
}

func TestTheLastThirtyYearsAreUsedUnlessOthersAreChosen(t *testing.T) {
	w := thirtyYears
	w.firstYear, w.years = 1900, 121
	r := mustRead(t, string(madeStation(w)), Options{At: madison})
	if r.From.Year != 1991 || r.To.Year != 2020 {
		t.Errorf("%v to %v", r.From, r.To)
	}
	if !strings.Contains(codes(r.Notes), "years-used") {
		t.Error("the choice is not told")
	}
	if err := r.Use(1961, 1990); err != nil || r.Summary().Months[0].HighC.Years != 30 {
		t.Errorf("%v", err)
	}
	if err := r.Use(1800, 1850); err == nil || !strings.Contains(err.Error(), "1900 to 2020") {
		t.Errorf("%v", err)
	}
}

func TestHeatWavesAreRunsOfThreeHotDays(t *testing.T) {
	w := made{firstYear: 2015, years: 2, meanC: 10, halfC: 8, dayRangeC: 8, seed: 1}
	r := w.record()
	for i := range r.Days {
		d := &r.Days[i]
		if d.Date.Month == 7 && (d.Date.Day <= 2 || d.Date.Day >= 10 && d.Date.Day < 15 || d.Date.Day >= 20 && d.Date.Day < 23) {
			d.HighC = 33
		}
	}
	h := r.Summary().Heat
	if h.HotDaysAYear.Value != 10 || h.WavesAYear.Value != 2 || h.WaveDaysAYear.Value != 8 || h.LongestDays != 5 || h.LongestFrom.Day != 10 {
		t.Errorf("%+v", h)
	}
}

func TestAWeatherFileBecomesAPlaceTheHoldingCanUse(t *testing.T) {
	r := mustRead(t, string(madeStation(thirtyYears)), Options{At: madison})
	p, notes, err := r.Place()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Validate(); err != nil {
		t.Error(err)
	}
	s := r.Summary()
	if !near(p.ExtremeMinC, s.Coldest.MeanC, 0.06) || p.ExtremeSourceKey != SpreadKey || climate.HardinessZone(p.ExtremeMin()) != s.Zone.Zone {
		t.Errorf("extreme %v, %v", p.ExtremeMinC, s.Coldest.MeanC)
	}
	if !strings.Contains(codes(notes), "place-humidity-estimated") || !strings.Contains(codes(notes), "place-wind-default") {
		t.Error(codes(notes))
	}
	for _, key := range []string{p.SourceKey, p.ExtremeSourceKey} {
		if _, ok := source.Lookup(key); !ok {
			t.Errorf("no source %q", key)
		}
	}
	y, _, err := r.Year()
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range y {
		if w.SDDayC != s.Spread.DaySDC[i] || !near(w.MeanC, s.Weeks[i].CourseC, 0.1) {
			t.Errorf("slot %d: %+v", i, w)
		}
	}
	if y[2].FrostNights < 6 || y[28].FrostNights != 0 {
		t.Errorf("frost nights %v and %v", y[2].FrostNights, y[28].FrostNights)
	}
}

func TestWithoutAPositionThereIsNoPlace(t *testing.T) {
	r := mustRead(t, string(madeStation(thirtyYears)), Options{})
	for _, err := range []error{second(r.Place()), last(r.Compare(1))} {
		if err == nil || !strings.Contains(err.Error(), "latitude") {
			t.Errorf("%v", err)
		}
	}
	r.At = &Location{-50, -140, 0} // the middle of the ocean
	if _, _, err := r.Place(); err != nil {
		t.Errorf("a file with rain needs no neighbour: %v", err)
	}
	for i := range r.Days {
		r.Days[i].RainMM = nan
	}
	if _, _, err := r.Place(); err == nil || !strings.Contains(err.Error(), "no rain") {
		t.Errorf("%v", err)
	}
}

func second(_ climate.Place, _ []Note, err error) error { return err }
func last(_ []Comparison, err error) error              { return err }

func TestTheCataloguesOwnFiguresDifferByNothing(t *testing.T) {
	for _, p := range climate.Places()[:40] {
		r := recordOf(p)
		found, err := r.Compare(2)
		if err != nil || len(found) != 2 {
			t.Fatal(err)
		}
		c := found[0]
		if c.Name != p.Name || c.Km > 0.01 || !near(c.YearC, 0, 1e-9) || c.Class != climate.Koppen(p) {
			t.Errorf("%s: %+v", p.Name, c)
		}
		for m := range 12 {
			if !near(*c.HighC[m], 0, 1e-9) || !near(*c.RainMM[m], 0, 1e-9) || c.Km > found[1].FarKm {
				t.Errorf("%s month %d", p.Name, m+1)
			}
		}
		again, _, err := r.Place()
		if err != nil || again.MaxC != p.MaxC || again.MinC != p.MinC || again.Class() != p.Class() {
			t.Errorf("%s does not come back: %v", p.Name, err)
		}
	}
}

// recordOf is a table of normals that says what the catalogue says.
func recordOf(p climate.Place) *Record {
	var months [12]Month
	for m := range months {
		months[m] = Month{HighC: Figure{p.MaxC[m], 0, 30}, LowC: Figure{p.MinC[m], 0, 30}, RainMM: Figure{p.RainMM[m], 0, 30}}
	}
	return &Record{Kind: MonthlyTable, Name: p.Name, Normals: &months, At: &Location{p.LatitudeDeg, p.LongitudeDeg, p.AltitudeM}}
}

func TestAHillIsFartherThanATownOnTheSameMap(t *testing.T) {
	p, err := climate.FindPlace("Madrid")
	if err != nil {
		t.Fatal(err)
	}
	at := Location{p.LatitudeDeg, p.LongitudeDeg, p.AltitudeM + 800}
	n := Nearest(at, 1)[0]
	if n.FarKm > 800 || !near(n.FarKm, n.Km+math.Abs(n.HigherM), 1e-9) {
		t.Errorf("%+v", n)
	}
	r := recordOf(p)
	r.At = &Location{p.LatitudeDeg, p.LongitudeDeg, p.AltitudeM + 100}
	c, _ := r.Compare(1)
	if !near(c[0].HeightC, -0.65, 1e-9) {
		t.Errorf("height makes %v C", c[0].HeightC)
	}
}

func TestASimulationWalkedByTheSpreadHasThatSpread(t *testing.T) {
	s := &Spread{}
	for i := range s.WeekSDC {
		s.WeekSDC[i], s.WeekPersistence[i] = 3, 0.3
	}
	draws := made{firstYear: 1926, years: 90, sdC: 1, seed: 11}.record()
	z, n := 0.0, len(draws.Days)
	var all sums
	for i, d := range draws.Days {
		before := z
		z = s.NextWeek(i%52, z, d.MeanC-(made{}).wave(d.Date.YearDay()-1))
		all.add(z)
		all.pair(before, z)
	}
	rho, _ := all.correlation()
	if !near(all.sd(), 1, 0.02) || !near(rho, 0.3, 0.02) {
		t.Errorf("%d weeks: standard deviation %.3f, persistence %.3f", n, all.sd(), rho)
	}
}

func TestSummariesAreTrueJSON(t *testing.T) {
	w := thirtyYears
	for _, years := range []int{1, 4, 6, 30} {
		w.years = years
		for _, text := range [][]byte{madeStation(w), madeOpenMeteo(w)} {
			r := mustRead(t, string(text), Options{At: madison})
			for _, v := range []any{r.Summary(), first(r.Compare(3))} {
				if _, err := json.Marshal(v); err != nil {
					t.Errorf("%d years: %v", years, err)
				}
			}
		}
	}
}

func first(c []Comparison, _ error) []Comparison { return c }

func TestWarmerWeatherIsNeverAColderZoneOrALongerFrost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := made{firstYear: 2000, years: 17, meanC: rapid.Float64Range(-5, 25).Draw(t, "mean"), halfC: rapid.Float64Range(0, 20).Draw(t, "half"),
			dayRangeC: rapid.Float64Range(2, 15).Draw(t, "range"), sdC: rapid.Float64Range(0.5, 6).Draw(t, "sd"), dayPersistence: 0.6, seed: rapid.Uint64().Draw(t, "seed")}
		cool := w.record()
		w.meanC += 2
		warm := w.record()
		a, b := cool.Summary(), warm.Summary()
		if b.Coldest.MeanC < a.Coldest.MeanC || b.Frost.NightsAYear.Value > a.Frost.NightsAYear.Value || b.Heat.HotDaysAYear.Value < a.Heat.HotDaysAYear.Value {
			t.Fatalf("two degrees more: %+v %+v", a.Coldest, b.Coldest)
		}
		if !near(b.Coldest.MeanC-a.Coldest.MeanC, 2, 1e-6) || !near(b.Spread.Persistence, a.Spread.Persistence, 1e-6) {
			t.Fatalf("two degrees more: coldest by %v, persistence %v and %v", b.Coldest.MeanC-a.Coldest.MeanC, a.Spread.Persistence, b.Spread.Persistence)
		}
	})
}

func TestMadeMonthsAndDaysKeepTheCalendar(t *testing.T) {
	for _, year := range []int{1900, 2000, 2023, 2024} {
		for d := range daysOfYear(year) {
			date := onYearDay(year, d)
			m := moment{year: date.Year, month: int(date.Month), day: date.Day}
			if m.yearDay() != d || date.YearDay() != d+1 || !m.real() {
				t.Fatalf("%d day %d is %v", year, d, date)
			}
		}
	}
}

// yearsAt makes weather for a place of the catalogue: its own course with days that
// stray by its own spread.
func yearsAt(p climate.Place, years int) []Day {
	y := p.Year()
	noise := made{firstYear: 2001, years: years, sdC: 1, dayPersistence: 0.7, seed: uint64(len(p.Name))}
	days := noise.record().Days
	for i := range days {
		yearDay := days[i].Date.YearDay() - 1
		w := y[slotOf(yearDay)]
		off := (days[i].MeanC - noise.wave(yearDay)) * w.SDDayC
		days[i].HighC, days[i].LowC = w.MaxC+off, w.MinC+off
	}
	return days
}

func TestNoPlaceOfTheCatalogueIsReadInTheWrongUnits(t *testing.T) {
	asked := 0
	for _, p := range climate.Places() {
		days := yearsAt(p, 2)
		for name, write := range map[Units]func(c float64) string{
			Metric: func(c float64) string { return fmt.Sprintf("%.1f", c) },
			US:     func(c float64) string { return fmt.Sprintf("%.0f", measure.CtoF(c)) },
			Tenths: func(c float64) string { return fmt.Sprintf("%.0f", 10*c) },
			kelvin: func(c float64) string { return fmt.Sprintf("%.2f", c+273.15) },
		} {
			var b strings.Builder
			b.WriteString("STATION,DATE,TMAX,TMIN\n")
			for _, d := range days {
				fmt.Fprintf(&b, "A,%s,%s,%s\n", d.Date, write(d.HighC), write(d.LowC))
			}
			r, err := Read(strings.NewReader(b.String()), Options{Today: today})
			if err != nil {
				if err.(*Refusal).Code != "units-unknown" || name == Metric || name == kelvin {
					t.Errorf("%s in %s: %v", p.Name, name, err)
				}
				asked++
				continue
			}
			if !near(r.Days[100].HighC, days[100].HighC, 0.6) {
				t.Errorf("%s in %s: %.1f became %.1f", p.Name, name, days[100].HighC, r.Days[100].HighC)
			}
		}
	}
	if asked > 10 {
		t.Errorf("the keeper is asked %d times", asked)
	}
}

func TestFiveYearsTellASpreadAndFifteenAGoodOne(t *testing.T) {
	w := thirtyYears
	for years, want := range map[int]string{4: "none", 5: "rough", 14: "rough", 15: "good"} {
		w.years = years
		got := "good"
		if s, err := w.record().Spread(); err != nil {
			got = "none"
		} else if s.Rough {
			got = "rough"
		}
		if got != want {
			t.Errorf("%d years: %s, want %s", years, got, want)
		}
	}
}
