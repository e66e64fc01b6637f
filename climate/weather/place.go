package weather

import (
	"fmt"
	"math"

	"henyear/climate"
	"henyear/measure"
)

// placeOf puts months into a place without position; ok is false unless all have
// high and low.
func placeOf(months [12]Month) (p climate.Place, ok bool) {
	ok = true
	for m, month := range months {
		ok = ok && month.HighC.Known() && month.LowC.Known()
		p.MaxC[m], p.MinC[m] = month.HighC.Value, month.LowC.Value
		p.RainMM[m] = month.RainMM.Value
		p.HumidityPct[m], p.WindMS[m] = month.HumidityPct.Value, month.WindMS.Value
	}
	return p, ok
}

// borrowKm is how far off, in the measure of Nearest, a place of the catalogue may
// be whose rain stands in (guess, key weather_nearest).
const borrowKm = 400

// Place turns the record into a place as the planner takes it: monthly normals of
// the period in use to a tenth of a degree and of a millimetre, and the mean coldest
// night where fifteen winters tell it. Humidity and wind that the file lacks are left
// to the rules of package climate; rain that it lacks is taken from the nearest place
// of the catalogue. The notes say what was done. It needs the position (of the file,
// or in Options.At) and highs and lows of all months.
func (r *Record) Place() (climate.Place, []Note, error) {
	months := r.Months()
	p, ok := placeOf(months)
	if !ok {
		return climate.Place{}, nil, refuse("place-months", nil,
			"%s lacks the highs or lows of %s; a place needs both for all twelve months.", r.subject(), lacking(months))
	}
	if r.At == nil {
		return climate.Place{}, nil, refuse("place-where", nil,
			"%s does not say where its station stands; give latitude, longitude and altitude.", r.subject())
	}
	p.Name = r.Station
	if p.Name == "" {
		p.Name = r.Name
	}
	p.LatitudeDeg, p.LongitudeDeg, p.AltitudeM = r.At.LatitudeDeg, r.At.LongitudeDeg, r.At.AltitudeM
	p.SourceKey = SpreadKey
	var notes []Note
	say := func(code string, args map[string]any, format string, a ...any) {
		notes = append(notes, note(code, args, format, a...))
	}
	if err := r.placeRain(&p, months, say); err != nil {
		return climate.Place{}, nil, err
	}
	r.placeAir(&p, months, say)
	p.ClassKoppen = climate.Koppen(p)
	r.placeExtreme(&p, say)
	r.placeYears(months, say)
	roundPlace(&p)
	if err := p.Validate(); err != nil {
		return climate.Place{}, nil, refuse("place-untrue", nil, "%s gives a place that cannot be: %v.", r.subject(), err)
	}
	return p, notes, nil
}

func lacking(months [12]Month) string {
	var names []string
	for m, month := range months {
		if !month.HighC.Known() || !month.LowC.Known() {
			names = append(names, measure.Date{Year: typicalYear, Month: 1, Day: 1}.AddDays(daysBefore[m]).Month.String())
		}
	}
	switch n := len(names); n {
	case 12:
		return "all months"
	case 1:
		return names[0]
	default:
		return fmt.Sprintf("%d months, the first %s", n, names[0])
	}
}

type sayer func(code string, args map[string]any, format string, a ...any)

// placeRain borrows the months of rain that the record lacks.
func (r *Record) placeRain(p *climate.Place, months [12]Month, say sayer) error {
	lack := 0
	for _, m := range months {
		if !m.RainMM.Known() {
			lack++
		}
	}
	if lack == 0 {
		return nil
	}
	near := Nearest(*r.At, 1)[0]
	if near.FarKm > borrowKm {
		return refuse("place-rain", map[string]any{"place": near.Place.Name, "km": math.Round(near.Km)},
			"%s has no rain for %d months, and the nearest place of the catalogue, %s, is too far off (%.0f km, %+.0f m) to lend its own; join a file of rain.", r.subject(), lack, near.Place.Name, near.Km, near.HigherM)
	}
	for m := range months {
		if !months[m].RainMM.Known() {
			p.RainMM[m] = near.Place.RainMM[m]
		}
	}
	say("place-rain-borrowed", map[string]any{"place": near.Place.Name, "months": lack},
		"The file has no rain for %d months; that of %s, %.0f km off, stands in.", lack, near.Place.Name, near.Km)
	return nil
}

func (r *Record) placeAir(p *climate.Place, months [12]Month, say sayer) {
	humid, windy := 0, 0
	for _, m := range months {
		if !m.HumidityPct.Known() {
			humid++
		}
		if !m.WindMS.Known() {
			windy++
		}
	}
	if humid > 0 {
		say("place-humidity-estimated", map[string]any{"months": humid}, "The file has no humidity for %d months; it is estimated from the nights' lows.", humid)
	}
	if windy > 0 {
		say("place-wind-default", map[string]any{"months": windy}, "The file has no wind for %d months; a mean wind of %g m/s is taken.", windy, climate.DefaultWindMS)
	}
}

func (r *Record) placeExtreme(p *climate.Place, say sayer) {
	var coldest *Extremes
	if r.Normals == nil && !r.Typical {
		coldest = r.coldest(p.Southern())
	}
	if coldest == nil || coldest.Years < yearsForExtreme {
		say("place-extreme-estimated", nil, "The file has fewer than %d whole winters; the coldest night of a usual year is estimated from the coldest month (%.0f C).", yearsForExtreme, p.ExtremeMin())
		return
	}
	p.ExtremeMinC, p.ExtremeSourceKey = coldest.MeanC, SpreadKey
	if math.Abs(p.ExtremeMinC) < 0.05 {
		p.ExtremeMinC = -0.1 // exactly zero means "not given"
	}
}

// coldest are the coldest nights of the winters in use.
func (r *Record) coldest(southern bool) *Extremes {
	begins := 7
	if southern {
		begins = 1
	}
	values := seriesOf(r.used(), r.Typical)
	list, on := yearExtremes(values, values.low, -1, begins, peakAfter(begins))
	return extremesOf(list, on, -1)
}

// yearsForMean is how many years a mean of months needs before it is given without a
// warning (key weather_completeness).
const yearsForMean = 10

func (r *Record) placeYears(months [12]Month, say sayer) {
	if r.Normals != nil || r.Typical {
		return
	}
	least := months[0].HighC.Years
	for _, m := range months {
		least = min(least, m.HighC.Years, m.LowC.Years)
	}
	if least < yearsForMean {
		say("place-few-years", map[string]any{"years": least},
			"Some months stand on %d years only; a mean of so few can lie a degree or two from that of thirty.", least)
	}
}

func roundPlace(p *climate.Place) {
	tenth := func(v float64) float64 { return math.Round(v*10) / 10 }
	for m := range 12 {
		p.MaxC[m], p.MinC[m] = tenth(p.MaxC[m]), tenth(p.MinC[m])
		p.RainMM[m], p.WindMS[m] = tenth(p.RainMM[m]), tenth(p.WindMS[m])
		p.HumidityPct[m] = math.Round(p.HumidityPct[m])
	}
	p.ExtremeMinC = tenth(p.ExtremeMinC)
}

// Year is the steady year of the place with what the record measured in it: the
// courses and day lengths of Place.Year, and where the record has the spread of its
// days, that spread with the measured nights of frost and hot days. The notes are
// those of Place.
func (r *Record) Year() (climate.Year, []Note, error) {
	p, notes, err := r.Place()
	if err != nil {
		return climate.Year{}, nil, err
	}
	y := p.Year()
	spread, err := r.Spread()
	if err != nil {
		return y, notes, nil
	}
	weeks := weeksOf(r.used(), r.Months())
	for i := range y {
		y[i].SDDayC, y[i].SDHighC, y[i].SDLowC = spread.DaySDC[i], spread.HighSDC[i], spread.LowSDC[i]
		y[i].SDWeekC = spread.WeekSDC[i]
		if weeks != nil {
			y[i].FrostNights, y[i].HotDays = around(weeks, i)
		}
	}
	return y, notes, nil
}

// around is the mean of frost nights and hot days of a week and its neighbours,
// which takes out most of the accidents of thirty years and shifts nothing.
func around(weeks []Week, i int) (frost, hot float64) {
	for k, weight := range []float64{0.25, 0.5, 0.25} {
		w := weeks[(i+k-1+slots)%slots]
		frost += weight * w.FrostNights
		hot += weight * w.HotDays
	}
	return frost, hot
}
