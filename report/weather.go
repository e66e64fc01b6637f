package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"henyear/climate"
	"henyear/climate/weather"
	"henyear/holding"
	"henyear/measure"
)

// WeatherAnswer is what a keeper's own weather record says: the summary, the
// nearest places of the catalogue beside it, and the place that a plan would take
// from it. Figures are metric.
type WeatherAnswer struct {
	Format  int                  `json:"format"`
	Files   []string             `json:"files"`
	Summary *weather.Summary     `json:"summary"`
	Nights  []weather.ColdNight  `json:"coldest_nights"` // one a winter
	Nearest []weather.Comparison `json:"nearest"`        // empty where the position is not known
	Place   *WeatherPlace        `json:"place,omitempty"`
	// PlaceNotes say how the place was made, or, where there is none, why not.
	PlaceNotes []weather.Note `json:"place_notes"`

	Climate climate.Place `json:"-"` // as Place has it
	Units   measure.Units `json:"-"` // in which it is told
}

// WeatherFormat is the version of WeatherAnswer as JSON.
const WeatherFormat = 1

// WeatherPlace is the place as a holding file names its fields, January first.
// Whatever the record cannot tell is left out.
type WeatherPlace struct {
	Name         string       `json:"name"`
	LatitudeDeg  float64      `json:"latitude"`
	LongitudeDeg float64      `json:"longitude"`
	AltitudeM    float64      `json:"altitude_m"`
	HighC        [12]float64  `json:"high_c"`
	LowC         [12]float64  `json:"low_c"`
	HumidityPct  *[12]float64 `json:"humidity_pct,omitempty"`
	RainMM       [12]float64  `json:"rain_mm"`
	WindMS       *[12]float64 `json:"wind_ms,omitempty"`
	ExtremeLowC  *float64     `json:"extreme_low_c,omitempty"`
	DaysAbove38  *float64     `json:"days_above_38_c,omitempty"`
	DaySpreadC   *[12]float64 `json:"day_spread_c,omitempty"`
	HighSpreadC  *[12]float64 `json:"high_spread_c,omitempty"`
	LowSpreadC   *[12]float64 `json:"low_spread_c,omitempty"`
	WeekSpreadC  *[12]float64 `json:"week_spread_c,omitempty"`
	WeekMemory   *float64     `json:"week_memory,omitempty"`
	DayMemory    *float64     `json:"day_memory,omitempty"`
	WeatherFrom  string       `json:"weather_from"`
}

// weatherNeighbours is how many places of the catalogue stand beside a record.
const weatherNeighbours = 3

// Weather sums up a record for the keeper. Files are the names under which it came.
func Weather(r *weather.Record, files []string, u measure.Units) *WeatherAnswer {
	a := &WeatherAnswer{Format: WeatherFormat, Files: files, Summary: r.Summary(), Nights: r.ColdestNights(), Units: u}
	if r.At != nil {
		a.Nearest, _ = r.Compare(weatherNeighbours) // fails only without position
	}
	p, notes, err := r.Planned()
	if err != nil {
		a.PlaceNotes = []weather.Note{refusalNote(err)}
		return a
	}
	p.Name = cleanName(p.Name)
	p.From = fromWords(p.Name, a.Summary)
	a.Climate, a.PlaceNotes = p, notes
	a.Place = weatherPlace(p)
	return a
}

func refusalNote(err error) weather.Note {
	if refusal, ok := err.(*weather.Refusal); ok {
		return refusal.Note
	}
	return weather.Note{Code: "refused", Text: err.Error()}
}

// cleanName keeps of a name what a holding file may hold.
func cleanName(name string) string {
	name = strings.Join(strings.Fields(strings.Map(func(c rune) rune {
		if !unicode.IsPrint(c) || c == unicode.ReplacementChar {
			return ' '
		}
		return c
	}, name)), " ")
	if letters := []rune(name); len(letters) > holding.MaxText {
		name = strings.TrimSpace(string(letters[:holding.MaxText]))
	}
	if name == "" {
		return say("weather.unnamed")
	}
	return name
}

// fromWords say whose figures those of the place are.
func fromWords(name string, s *weather.Summary) string {
	years := ""
	if !s.From.IsZero() && !s.Typical {
		years = say("weather.from.years", strconv.Itoa(s.From.Year), strconv.Itoa(s.To.Year))
	}
	room := holding.MaxText - len([]rune(say("weather.from", "", years)))
	if letters := []rune(name); len(letters) > room {
		name = strings.TrimSpace(string(letters[:room]))
	}
	return say("weather.from", name, years)
}

func weatherPlace(p climate.Place) *WeatherPlace {
	months := func(v [12]float64) *[12]float64 {
		if v == [12]float64{} {
			return nil
		}
		return &v
	}
	figure := func(v float64) *float64 {
		if v == 0 {
			return nil
		}
		return &v
	}
	w := &WeatherPlace{Name: p.Name, LatitudeDeg: p.LatitudeDeg, LongitudeDeg: p.LongitudeDeg, AltitudeM: p.AltitudeM, HighC: p.MaxC, LowC: p.MinC,
		HumidityPct: months(p.HumidityPct), RainMM: p.RainMM, WindMS: months(p.WindMS), ExtremeLowC: figure(p.ExtremeMinC), DaysAbove38: figure(p.DaysAbove38), WeatherFrom: p.From}
	if s := p.Stray; s != nil {
		w.DaySpreadC, w.HighSpreadC, w.LowSpreadC, w.WeekSpreadC = months(s.DayC), months(s.HighC), months(s.LowC), months(s.WeekC)
		w.WeekMemory, w.DayMemory = &s.WeekMemory, &s.DayMemory
	}
	return w
}

// PlanWith is the holding as it would be with the record's weather: its place has
// the record's figures, all else stays. What the record cannot tell is taken over
// from the present place where that lies near enough, and the notes say so. It fails
// where the record makes no place. The holding itself is not changed.
func (a *WeatherAnswer) PlanWith(h *holding.Holding) (*holding.Holding, []weather.Note, error) {
	if a.Place == nil {
		return nil, nil, fmt.Errorf("%s", a.PlaceNotes[0].Text)
	}
	p := a.Climate
	notes := slices.Clone(a.PlaceNotes)
	keeps := keptFrom(h.Place.Climate, &p)
	for _, k := range keeps {
		notes = slices.DeleteFunc(notes, func(n weather.Note) bool { return n.Code == k.instead })
		notes = append(notes, weather.Note{Code: k.code, Args: map[string]any{"place": h.Place.Climate.Name},
			Text: say("weather.kept", say(k.code), h.Place.Climate.Name)})
	}
	changed := h.Clone()
	changed.Place.Climate = tidyWeather(p, h.Units)
	return changed, notes, nil
}

// takenOver is a figure that was taken over, and the note that it makes untrue.
type takenOver struct{ code, instead string }

// keptFrom fills what p lacks from the present place, if that is within the reach
// in which places lend figures.
func keptFrom(now climate.Place, p *climate.Place) (list []takenOver) {
	if weather.Far(standsAt(now), standsAt(*p)) > weather.LendsKm {
		return nil
	}
	take := func(lacks, has bool, code, instead string, do func()) {
		if lacks && has {
			do()
			list = append(list, takenOver{code, instead})
		}
	}
	none := [12]float64{}
	take(p.HumidityPct == none, now.HumidityPct != none, "weather.kept.humidity", "place-humidity-estimated", func() { p.HumidityPct = now.HumidityPct })
	take(p.WindMS == none, now.WindMS != none, "weather.kept.wind", "place-wind-default", func() { p.WindMS = now.WindMS })
	lowest := slices.Min(p.MinC[:])
	take(p.ExtremeMinC == 0, now.ExtremeMinC != 0 && now.ExtremeMinC < lowest, "weather.kept.extreme", "place-extreme-estimated", func() {
		p.ExtremeMinC, p.ExtremeSourceKey = now.ExtremeMinC, now.ExtremeSourceKey
	})
	counted := p.Stray != nil // days, and with them the hot ones
	take(p.Stray == nil, now.Stray != nil, "weather.kept.spread", "place-spread-usual", func() { p.Stray = now.Stray })
	take(p.DaysAbove38 == 0 && !counted, now.DaysAbove38 != 0, "weather.kept.hot", "", func() { p.DaysAbove38 = now.DaysAbove38 })
	return list
}

func standsAt(p climate.Place) weather.Location {
	return weather.Location{LatitudeDeg: p.LatitudeDeg, LongitudeDeg: p.LongitudeDeg, AltitudeM: p.AltitudeM}
}

// tidyWeather rounds the figures of a place in the units in which the household writes
// them, so that its file stays readable.
func tidyWeather(p climate.Place, u measure.Units) climate.Place {
	if u != measure.US {
		return p
	}
	const mileM = measure.MPerFoot * 5280
	tenth := func(c float64) float64 { return measure.FtoC(math.Round(10*measure.CtoF(c)) / 10) }
	for m := range 12 {
		p.MaxC[m], p.MinC[m] = tenth(p.MaxC[m]), tenth(p.MinC[m])
		p.RainMM[m] = math.Round(100*p.RainMM[m]/measure.MMPerInch) / 100 * measure.MMPerInch
		p.WindMS[m] = math.Round(10*p.WindMS[m]*3600/mileM) / 10 * mileM / 3600 // as a holding file is read, so that it is written in mph
	}
	if p.ExtremeMinC != 0 {
		p.ExtremeMinC = tenth(p.ExtremeMinC)
	}
	p.AltitudeM = measure.MPerFoot * math.Round(p.AltitudeM/measure.MPerFoot)
	if p.Stray != nil {
		t := *p.Stray
		for _, months := range []*[12]float64{&t.DayC, &t.HighC, &t.LowC, &t.WeekC} {
			for m := range months {
				months[m] = math.Round(180*months[m]) / 100 / 1.8
			}
		}
		p.Stray = &t
	}
	return p
}
