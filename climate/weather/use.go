package weather

import (
	"fmt"
	"math"
	"strings"

	"henyear/climate"
	"henyear/measure"
)

// Given is what the keeper says of the station beside its files. A nil figure was
// not given.
type Given struct {
	Name                                 string // of the place; empty takes what the file says
	LatitudeDeg, LongitudeDeg, AltitudeM *float64
}

// Check refuses a position that is given by half or lies off the globe.
func (g Given) Check() error {
	within := func(name string, v *float64, least, most float64) error {
		if v != nil && !(*v >= least && *v <= most) {
			return refuse("given-"+name, map[string]any{name: fmt.Sprint(*v)}, "A %s of %g is none; write a number from %g to %g.", name, *v, least, most)
		}
		return nil
	}
	if (g.LatitudeDeg == nil) != (g.LongitudeDeg == nil) {
		return refuse("given-half", nil, "Latitude and longitude go together; give both, or neither where the file has them.")
	}
	if err := within("latitude", g.LatitudeDeg, -90, 90); err != nil {
		return err
	}
	if err := within("longitude", g.LongitudeDeg, -180, 180); err != nil {
		return err
	}
	return within("altitude", g.AltitudeM, -450, 6000)
}

// Whole joins the records of one keeper's files and adds what was given beside
// them. Notes of several files bear the name of their file.
func Whole(records []*Record, g Given) (*Record, error) {
	if err := g.Check(); err != nil {
		return nil, err
	}
	r, err := joinAll(records)
	if err != nil {
		return nil, err
	}
	if g.Name != "" {
		r.Station = g.Name
	}
	switch {
	case g.LatitudeDeg != nil:
		at := Location{LatitudeDeg: *g.LatitudeDeg, LongitudeDeg: *g.LongitudeDeg}
		if r.At != nil {
			at.AltitudeM = r.At.AltitudeM
		}
		r.At = &at
	case g.AltitudeM != nil && r.At == nil:
		return nil, refuse("given-height", nil, "%s does not say where its station stands, and a height alone is no place; give latitude and longitude too.", r.subject())
	case r.At != nil:
		at := *r.At
		r.At = &at
	}
	switch {
	case r.At == nil:
	case g.AltitudeM != nil:
		r.At.AltitudeM = *g.AltitudeM
	case r.At.AltitudeM == 0:
		r.tell("no-altitude", nil, "No altitude was given, so that sea level is taken; say how high the station stands if that is wrong.")
	}
	return r, nil
}

func joinAll(records []*Record) (*Record, error) {
	if len(records) == 1 {
		r := *records[0]
		return &r, nil
	}
	named := make([]*Record, len(records))
	stations := map[string]bool{}
	var first, other string
	for i, r := range records {
		copied := *r
		copied.Notes = nil
		for _, n := range r.Notes {
			n.Text = r.subject() + ": " + n.Text
			copied.Notes = append(copied.Notes, n)
		}
		named[i] = &copied
		if r.Station != "" && !stations[r.Station] {
			stations[r.Station] = true
			if first == "" {
				first = r.Station
			} else if other == "" {
				other = r.Station
			}
		}
	}
	out, err := Join(named...)
	if err == nil && other != "" {
		out.tell("join-stations", map[string]any{"first": first, "other": other},
			"The files are of several stations (%s and %s); they were joined as one, with the first counting where both have a day.", first, other)
	}
	return out, err
}

// Far is how far two stations are from each other: kilometres along the great
// circle, and a kilometre for each metre of height (key weather_nearest).
func Far(a, b Location) float64 {
	return greatCircleKm(a.LatitudeDeg, a.LongitudeDeg, b.LatitudeDeg, b.LongitudeDeg) + math.Abs(a.AltitudeM-b.AltitudeM)
}

// LendsKm is how far off, by Far, a place may be that lends a figure.
const LendsKm = borrowKm

// Stray is the spread month by month, as a place keeps it: standard deviations as
// root mean squares over the days of each month, to a hundredth of a degree, and the
// two persistences, none below zero; all within what a place may have.
func (s *Spread) Stray() *climate.Stray {
	months := func(slotted [slots]float64) (out [12]float64) {
		var days [12]float64
		for day := range 365 {
			m := onYearDay(typicalYear, day).Month - 1
			sd := slotted[slotOf(day)]
			out[m] += sd * sd
			days[m]++
		}
		for m := range out {
			out[m] = min(climate.MostStrayC, max(climate.LeastStrayC, math.Round(100*math.Sqrt(out[m]/days[m]))/100))
		}
		return out
	}
	memory := func(rho float64) float64 { return math.Round(1000*min(climate.MostMemory, max(0, rho))) / 1000 }
	t := &climate.Stray{DayC: months(s.DaySDC), HighC: months(s.HighSDC), LowC: months(s.LowSDC), WeekC: months(s.WeekSDC),
		WeekMemory: memory(s.Persistence), DayMemory: memory(s.DayPersistence), SourceKey: s.SourceKey}
	for m := range 12 {
		t.WeekC[m] = min(t.WeekC[m], t.DayC[m]) // the same where one day is like the next
	}
	return t
}

// Planned is Place with what a record of days knows beyond its normals: how the
// weather strays, and the days above 38 C. Humidity and wind that some months lack
// are filled by the rules of package climate, those that all lack are left out; the
// notes say so.
func (r *Record) Planned() (climate.Place, []Note, error) {
	p, notes, err := r.Place()
	if err != nil {
		return p, notes, err
	}
	if p.HumidityPct != [12]float64{} {
		p.HumidityPct = p.Humidity()
		for m := range p.HumidityPct {
			p.HumidityPct[m] = math.Round(p.HumidityPct[m])
		}
	}
	if p.WindMS != [12]float64{} {
		for m := range p.WindMS {
			if p.WindMS[m] == 0 {
				p.WindMS[m] = climate.DefaultWindMS
			}
		}
	}
	spread, err := r.Spread()
	if err != nil {
		notes = append(notes, note("place-spread-usual", nil, "How the weather strays from its normals is taken as usual at such a place, since the file cannot tell."))
		return p, notes, nil
	}
	p.Stray = spread.Stray()
	if spread.Rough {
		notes = append(notes, note("place-spread-rough", map[string]any{"years": spread.Years}, "How the weather strays from its normals stands on %.0f years; from fifteen on it is sound.", spread.Years))
	}
	if heat := heatOf(seriesOf(r.used(), false), p.Southern()); heat != nil {
		p.DaysAbove38 = math.Round(10*heat.Above38AYear.Value) / 10
	}
	return p, notes, nil
}

// A ColdNight is the coldest night of one winter.
type ColdNight struct {
	On    measure.Date `json:"on"`
	TempC float64      `json:"temp_c"`
}

// ColdestNights lists the coldest night of every winter that is whole enough to
// count, by date; none of a typical year or a table of months.
func (r *Record) ColdestNights() []ColdNight {
	if r.Normals != nil || r.Typical {
		return nil
	}
	begins := 7
	if r.southern(r.Months()) {
		begins = 1
	}
	values := seriesOf(r.used(), false)
	list, on := yearExtremes(values, values.low, -1, begins, peakAfter(begins))
	nights := make([]ColdNight, len(list))
	for i := range list {
		nights[i] = ColdNight{on[i], -list[i]}
	}
	return nights
}

// Degrees reads a latitude or longitude as a keeper writes it: 52.1, -31.2, 31.2 S,
// 5,6 E. plus and minus are the letters that may follow it.
func Degrees(text, plus, minus string) (float64, error) {
	figure := strings.ToUpper(strings.Join(strings.Fields(strings.ReplaceAll(text, "°", " ")), ""))
	sign := 1.0
	switch {
	case strings.HasSuffix(figure, minus):
		figure, sign = strings.TrimSuffix(figure, minus), -1
	case strings.HasSuffix(figure, plus):
		figure = strings.TrimSuffix(figure, plus)
	}
	v, ok := plainNumber([]byte(figure), strings.Contains(figure, ","))
	if !ok || sign < 0 && v < 0 {
		return 0, refuse("given-degrees", map[string]any{"text": shortened([]byte(text))},
			"%q is no position; write degrees with decimals, for example 52.1 or 31.2 %s.", shortened([]byte(text)), minus)
	}
	return sign * v, nil
}
