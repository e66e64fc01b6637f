package calendar

import (
	"embed"
	"fmt"
	"regexp"
	"strconv"
	"time"

	"henyear/measure"
	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Evidence holds the days, windows and minutes of the tables against published
// ones.
func Evidence() ([]source.Check, error) {
	t, err := readTables()
	if err != nil {
		return nil, err
	}
	of := func(in source.Inputs) row { return t.find(in["job"], in["season"]) }
	return source.ReadChecks("calendar", published, "testdata/published", map[string]source.Model{
		"day":         func(in source.Inputs) float64 { return float64(of(in).Day) },
		"ahead":       func(in source.Inputs) float64 { return -float64(of(in).Day) },
		"first":       func(in source.Inputs) float64 { r := of(in); return float64(r.Day - r.Before) },
		"last":        func(in source.Inputs) float64 { r := of(in); return float64(r.Day + r.After) },
		"length":      func(in source.Inputs) float64 { r := of(in); return float64(r.Before + r.After + 1) },
		"every":       func(in source.Inputs) float64 { return float64(of(in).Every) },
		"minutes":     func(in source.Inputs) float64 { return of(in).Minutes },
		"each":        func(in source.Inputs) float64 { return of(in).Each },
		"saved":       func(in source.Inputs) float64 { return float64(of(in).Day - t.find("save-eggs", "").Day) },
		"oldest":      func(in source.Inputs) float64 { return float64(of(in).After - t.find("save-eggs", "").Day) },
		"temperature": func(in source.Inputs) float64 { return firstTemperature(of(in).What) },
		"fasting":     func(in source.Inputs) float64 { return 24 - float64(minutesOf(of(in).Clock))/60 + in.Float("hour") },
		"monthday":    func(in source.Inputs) float64 { return float64(of(in).firstDay().YearDay()) },
		"monthend":    func(in source.Inputs) float64 { r := of(in); return float64(r.firstDay().AddDays(r.Days).YearDay()) },
	})
}

// find is the row of a job; a name that is not in the tables is a fault in them.
func (t *tables) find(code, season string) row {
	for _, list := range [][]row{t.lots, t.killing, t.rounds} {
		for _, r := range list {
			if r.Code == code && (season == "" || r.Season == season) {
				return r
			}
		}
	}
	panic(fmt.Sprintf("there is no job %q in the tables", code))
}

// firstDay is the first day of a yearly round in a common year, in the north.
func (r row) firstDay() measure.Date {
	return measure.Date{Year: 2027, Month: time.Month(r.Months[0]), Day: r.Day}
}

var heatOf = regexp.MustCompile(`\{t:([0-9.]+)\}`)

// firstTemperature is the first temperature that a text names; where it names a
// span, the middle of it.
func firstTemperature(text string) float64 {
	all := heatOf.FindAllStringSubmatch(text, 2)
	x, _ := strconv.ParseFloat(all[0][1], 64)
	if len(all) == 2 && heatSpan.MatchString(text) {
		y, _ := strconv.ParseFloat(all[1][1], 64)
		return (x + y) / 2
	}
	return x
}

var heatSpan = regexp.MustCompile(`\{t:[0-9.]+\} to \{t:[0-9.]+\}`)
