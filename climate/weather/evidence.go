package weather

import (
	"embed"
	"math"
	"strconv"
	"strings"

	"henyear/measure"
	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Evidence holds lines of the published file forms against what the readers make of
// them, zones and classes at their borders, and closed forms against what the
// reckoning finds in made series.
func Evidence() ([]source.Check, error) {
	return source.ReadChecks("weather", published, "testdata/published", models)
}

var evidenceDay = measure.Date{Year: 2026, Month: 11, Day: 25}

var models = map[string]source.Model{
	"day_of_file":     dayOfFile,
	"month_of_file":   monthOfFile,
	"hour_of_epw":     hourOfEPW,
	"zone_of_winters": zoneOfWinters,
	"class_is":        classIs,
	"humidity_of_dew": func(in source.Inputs) float64 { return humidityOf(in.Float("temp"), in.Float("dew")) },
	"great_circle": func(in source.Inputs) float64 {
		return greatCircleKm(in.Float("lat"), in.Float("lon"), in.Float("to_lat"), in.Float("to_lon"))
	},
	"gumbel_reduced": func(in source.Inputs) float64 { return reduced(in.Float("years")) },
	"gumbel_level":   gumbelLevel,
	"l_moment":       lMomentOf,
	"made_series":    madeSeries,
}

// fileOf writes a file out of one word: a caret stands for a blank, a tilde
// ends a line.
func fileOf(in source.Inputs) *Record {
	text := strings.NewReplacer("^", " ", "~", "\n").Replace(in["file"])
	r, err := Read(strings.NewReader(text+"\n"), Options{Name: "evidence", Today: evidenceDay})
	if err != nil {
		panic(err) // a fault in the table of checks
	}
	return r
}

// dayOfFile reads one value of one day.
func dayOfFile(in source.Inputs) float64 {
	date, err := measure.ParseDate(in["date"])
	if err != nil {
		panic(err)
	}
	for _, d := range fileOf(in).Days {
		if d.Date == date {
			return orNone(map[string]float64{"high": d.HighC, "low": d.LowC, "rain": d.RainMM, "humidity": d.HumidityPct, "wind": d.WindMS}[in["of"]])
		}
	}
	return noValue
}

// noValue stands in a check for "no value".
const noValue = -9999

func orNone(v float64) float64 {
	if !given(v) {
		return noValue
	}
	return v
}

func monthOfFile(in source.Inputs) float64 {
	m := fileOf(in).Months()[int(in.Float("month"))-1]
	f := map[string]Figure{"high": m.HighC, "low": m.LowC, "rain": m.RainMM, "frost": m.FrostNights}[in["of"]]
	if !f.Known() {
		return noValue
	}
	return f.Value
}

func hourOfEPW(in source.Inputs) float64 {
	c := newCollector(Options{Today: evidenceDay})
	c.typical = true
	row, _ := split([]byte(in["line"]), ',', nil)
	if !c.epwRow(row, map[int]bool{}) {
		return noValue
	}
	sum := noValue * 1.0
	c.each(func(_, _ int, at *cell) {
		q := map[string]quantity{"temp": mean, "dew": dew, "humidity": humidity, "wind": wind, "rain": rain}[in["of"]]
		if at.hours.counts[q] > 0 {
			sum = at.hours.sums[q]
		}
	})
	return sum
}

// zoneOfWinters is the lower bound, in F, of the zone of a station whose every winter
// has the same coldest night.
func zoneOfWinters(in source.Inputs) float64 {
	w := made{firstYear: 1991, years: 25, meanC: 10, halfC: 10, dayRangeC: 10, seed: 1}
	r := w.record()
	coldest := measure.FtoC(in.Float("coldest_f"))
	for i := range r.Days {
		d := &r.Days[i]
		d.LowC = max(d.LowC, coldest+1)
		if d.Date.Month == 1 && d.Date.Day == 20 {
			d.LowC = coldest
		}
		d.HighC = max(d.HighC, d.LowC)
	}
	zone := r.Summary().Zone.Zone
	number, err := strconv.Atoi(zone[:len(zone)-1])
	if err != nil {
		panic(err)
	}
	return float64(-60 + 10*(number-1) + 5*int(zone[len(zone)-1]-'a'))
}

// classIs is 1 where a record of twelve months has the class.
func classIs(in source.Inputs) float64 {
	var months [12]Month
	mean, rain := twelve(in["mean"]), twelve(in["rain"])
	for m := range months {
		months[m] = Month{HighC: Figure{mean[m] + 4, 0, 30}, LowC: Figure{mean[m] - 4, 0, 30}, RainMM: Figure{rain[m], 0, 30}}
	}
	if class, _ := classOf(months); class == in["class"] {
		return 1
	}
	return 0
}

// twelve reads months divided by commas; one figure stands for all.
func twelve(text string) (v [12]float64) {
	parts := strings.Split(text, ",")
	for m := range v {
		x, err := strconv.ParseFloat(parts[m%len(parts)], 64)
		if err != nil {
			panic(err)
		}
		v[m] = x
	}
	return v
}

// gumbelLevel fits the law to its own quantiles, evenly spread, and reads a level.
func gumbelLevel(in source.Inputs) float64 {
	n := int(in.Float("n"))
	values := make([]float64, n)
	for i := range values {
		p := (float64(i) + 0.5) / float64(n)
		values[i] = in.Float("at") - in.Float("scale")*math.Log(-math.Log(p))
	}
	g, skew := gumbelOf(values)
	if in["of"] == "skew" {
		return skew
	}
	return g.level(in.Float("years"))
}

func lMomentOf(in source.Inputs) float64 {
	var values []float64
	for _, part := range strings.Split(in["values"], ",") {
		v, err := strconv.ParseFloat(part, 64)
		if err != nil {
			panic(err)
		}
		values = append(values, v)
	}
	l1, l2, l3 := lMoments(values)
	return []float64{l1, l2, l3}[int(in.Float("order"))-1]
}

// madeSeries makes days and reads their spread.
func madeSeries(in source.Inputs) float64 {
	w := made{firstYear: 1926, years: int(in.Float("years")), meanC: 9, halfC: 10, dayRangeC: 8, sdC: in.Float("sd"),
		dayPersistence: in.Float("persistence"), seed: uint64(in.Float("seed"))}
	r := w.record()
	s, err := r.Spread()
	if err != nil {
		panic(err)
	}
	average := func(v [slots]float64) float64 {
		sum := 0.0
		for _, x := range v {
			sum += x / slots
		}
		return sum
	}
	switch in["of"] {
	case "day_persistence":
		return s.DayPersistence
	case "week_persistence":
		return s.Persistence
	case "day_sd":
		return average(s.DaySDC)
	case "week_sd":
		return average(s.WeekSDC)
	}
	panic("unknown figure of a made series: " + in["of"])
}
