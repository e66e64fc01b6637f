package weather

import (
	"math"
	"slices"

	"henyear/climate"
)

// A Neighbour is a place of the catalogue seen from a station.
type Neighbour struct {
	Place   climate.Place `json:"-"`
	Name    string        `json:"name"`
	Country string        `json:"country"`
	Km      float64       `json:"km"`       // along the great circle
	HigherM float64       `json:"higher_m"` // of the station over the place
	// FarKm joins both: a metre of height counts as a kilometre, since a hundred
	// metres up and a hundred kilometres poleward are each about two thirds of a
	// degree colder (guess, key weather_nearest).
	FarKm float64 `json:"far_km"`
}

const earthRadiusKm = 6371

// greatCircleKm is the distance of two points on the globe.
func greatCircleKm(latA, lonA, latB, lonB float64) float64 {
	const rad = math.Pi / 180
	sinLat, sinLon := math.Sin((latB-latA)*rad/2), math.Sin((lonB-lonA)*rad/2)
	h := sinLat*sinLat + math.Cos(latA*rad)*math.Cos(latB*rad)*sinLon*sinLon
	return 2 * earthRadiusKm * math.Asin(math.Sqrt(min(1, h)))
}

// Nearest lists the most nearest places of the catalogue, nearest first, by distance
// and height together.
func Nearest(at Location, most int) []Neighbour {
	var list []Neighbour
	for _, p := range climate.Places() {
		n := Neighbour{Place: p, Name: p.Name, Country: p.Country, HigherM: at.AltitudeM - p.AltitudeM,
			Km: greatCircleKm(at.LatitudeDeg, at.LongitudeDeg, p.LatitudeDeg, p.LongitudeDeg)}
		n.FarKm = n.Km + math.Abs(n.HigherM)
		list = append(list, n)
	}
	slices.SortStableFunc(list, func(a, b Neighbour) int {
		switch {
		case a.FarKm < b.FarKm:
			return -1
		case a.FarKm > b.FarKm:
			return 1
		}
		return 0
	})
	return list[:max(0, min(most, len(list)))]
}

// LapseCPerKm is how much colder it is higher up on average (practice, the standard
// atmosphere; winter valleys do the opposite).
const LapseCPerKm = 6.5

// A Comparison holds a record against a place of the catalogue, month by month: the
// record's figure less the catalogue's. A month that either lacks is nil.
type Comparison struct {
	Neighbour
	HighC       [12]*float64 `json:"high_c"`
	LowC        [12]*float64 `json:"low_c"`
	RainMM      [12]*float64 `json:"rain_mm"`
	HumidityPct [12]*float64 `json:"humidity_pct"`
	WindMS      [12]*float64 `json:"wind_ms"`
	// YearC is the mean difference of temperature over the months, and HeightC the
	// part of it that the difference of height would make.
	YearC   float64 `json:"year_c"`
	HeightC float64 `json:"height_c"`
	Class   string  `json:"class"` // of the catalogue's place
	// ExtremeC is the record's mean coldest night less the catalogue's; nil when
	// either is not known.
	ExtremeC *float64 `json:"extreme_c"`
	Notes    []Note   `json:"notes"`
}

// Compare holds the record against the most nearest places of the catalogue. It
// needs the position.
func (r *Record) Compare(most int) ([]Comparison, error) {
	if r.At == nil {
		return nil, refuse("place-where", nil,
			"%s does not say where its station stands; give latitude, longitude and altitude.", r.subject())
	}
	months := r.Months()
	var coldest *Extremes
	if r.Normals == nil && !r.Typical {
		coldest = r.coldest(r.At.LatitudeDeg < 0)
	}
	var list []Comparison
	for _, n := range Nearest(*r.At, most) {
		list = append(list, compare(months, coldest, n))
	}
	return list, nil
}

func compare(months [12]Month, coldest *Extremes, n Neighbour) Comparison {
	c := Comparison{Neighbour: n, Class: n.Place.Class(), HeightC: -LapseCPerKm * n.HigherM / 1000}
	sum, count := 0.0, 0.0
	for m, month := range months {
		c.HighC[m] = less(month.HighC, n.Place.MaxC[m], true)
		c.LowC[m] = less(month.LowC, n.Place.MinC[m], true)
		c.RainMM[m] = less(month.RainMM, n.Place.RainMM[m], true)
		c.HumidityPct[m] = less(month.HumidityPct, n.Place.HumidityPct[m], n.Place.HumidityPct[m] > 0)
		c.WindMS[m] = less(month.WindMS, n.Place.WindMS[m], n.Place.WindMS[m] > 0)
		for _, d := range []*float64{c.HighC[m], c.LowC[m]} {
			if d != nil {
				sum += *d
				count++
			}
		}
	}
	if count > 0 {
		c.YearC = sum / count
	}
	if coldest != nil && coldest.Years >= yearsForExtreme && n.Place.ExtremeMinC != 0 {
		d := coldest.MeanC - n.Place.ExtremeMinC
		c.ExtremeC = &d
	}
	c.Notes = compareNotes(c, count > 0)
	return c
}

func less(f Figure, listed float64, known bool) *float64 {
	if !f.Known() || !known {
		return nil
	}
	d := f.Value - listed
	return &d
}

// farC is a difference of the yearly mean that distance, height and the milder
// decades since the catalogue's do not explain (guess, key weather_nearest).
const farC = 3

func compareNotes(c Comparison, warmthKnown bool) []Note {
	args := map[string]any{"place": c.Name, "km": math.Round(c.Km), "higher_m": math.Round(c.HigherM)}
	notes := []Note{note("compare-nearest", args,
		"%s (%s) is %.0f km off and the station %s; the catalogue's means are of 1961-1990, a map cell wide.",
		c.Name, c.Country, c.Km, heightWords(c.HigherM))}
	if warmthKnown && math.Abs(c.YearC-c.HeightC) > farC {
		notes = append(notes, note("compare-far", map[string]any{"place": c.Name, "c": c.YearC},
			"The year is %.1f C off that of %s, more than height and warmer decades explain; check the position and the units of the file.", c.YearC, c.Name))
	}
	return notes
}

func heightWords(m float64) string {
	switch {
	case m > 5:
		return note("", nil, "%.0f m higher", m).Text
	case m < -5:
		return note("", nil, "%.0f m lower", -m).Text
	}
	return "as high"
}
