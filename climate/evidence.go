package climate

import (
	"embed"
	"fmt"
	"strings"

	"henyear/measure"
	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Evidence holds published day lengths, normals, zones and classes against what
// this room computes.
func Evidence() ([]source.Check, error) {
	return source.ReadChecks("climate", published, "testdata/published", models)
}

var models = map[string]source.Model{
	"day_length": func(in source.Inputs) float64 {
		day, err := measure.ParseDate(in["date"])
		if err != nil {
			panic(err) // a fault in the table of checks
		}
		_, _, hours := SunTimes(in.Float("lat"), in.Float("lon"), day, in.Float("sun"))
		return hours
	},
	"usual_day_length": func(in source.Inputs) float64 {
		return DayLengthH(in.Float("lat"), int(in.Float("day")), in.Float("sun"))
	},
	"lamp_week": func(in source.Inputs) float64 {
		w := Lamps{LatitudeDeg: in.Float("lat"), HoldLongest: in["hold"] == "1"}.Year().Weeks[int(in.Float("week"))]
		if in["of"] == "night" {
			return 24 - w.DayH
		}
		return w.DayH
	},
	"lamp_step": func(in source.Inputs) float64 {
		most := 0.0
		for _, w := range (Lamps{LatitudeDeg: in.Float("lat")}).Batch(int(in.Float("hatch")), 60).Weeks[LampsFromWeeks:] {
			if w.LampH > 0 {
				most = max(most, w.RiseH)
			}
		}
		return most
	},
	"lamp_start": func(in source.Inputs) float64 {
		for _, w := range (Lamps{LatitudeDeg: in.Float("lat")}).Batch(int(in.Float("hatch")), 60).Weeks {
			if w.LampH > 0 && w.DayH > RearingH {
				return float64(w.AgeWeeks)
			}
		}
		return -1
	},
	"lamp_watts": func(in source.Inputs) float64 { return Lamps{FloorM2: in.Float("floor")}.watts() },
	"month_of_weeks": func(in source.Inputs) float64 {
		year := placeOf(in).Year()
		return year.monthMean(int(in.Float("month")), func(w WeekNormal) float64 {
			return map[string]float64{"low": w.MinC, "high": w.MaxC, "mean": w.MeanC}[in["of"]]
		})
	},
	"humidity_estimated": func(in source.Inputs) float64 {
		p := placeOf(in)
		p.HumidityPct = [12]float64{}
		return p.Humidity()[int(in.Float("month"))-1]
	},
	"class_is": func(in source.Inputs) float64 {
		if Koppen(placeOf(in)) == in["class"] {
			return 1
		}
		return 0
	},
	"zone_low": func(in source.Inputs) float64 {
		var number int
		var half rune
		if _, err := fmt.Sscanf(HardinessZone(in.Float("extreme")), "%d%c", &number, &half); err != nil {
			panic(err)
		}
		return float64(-60 + 10*(number-1) + 5*int(half-'a'))
	},
}

func placeOf(in source.Inputs) Place {
	p, err := FindPlace(strings.ReplaceAll(in["place"], "_", " "))
	if err != nil {
		panic(err) // a fault in the table of checks
	}
	return p
}

// monthMean is the mean of a figure over the slots of a month (1-12), each slot
// counted by the days that it shares with the month.
func (y Year) monthMean(month int, figure func(WeekNormal) float64) float64 {
	sum := 0.0
	for i, share := range monthShares()[month-1] {
		sum += share * figure(y[i])
	}
	return sum
}
