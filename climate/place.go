// Package climate describes a place through the year: daylight, weekly
// temperature with its spread, humidity, rain and wind.
//
// What a keeper can know of a place is its latitude and twelve mean highs and
// lows; a catalogue of 153 places has them ready (Places, FindPlace). From these
// Place.Year works out a steady year of 52 slots. Three kinds of day are told
// apart, because hens answer to dim light: sunrise to sunset, the day of birds
// behind windows, and civil dawn to dusk outdoors.
//
// Normals are means over thirty years. What harms birds is the single night or
// afternoon far from the mean, so that each week also has the spread of its
// days, and the nights of frost and days of heat that follow from it. The spread
// is an estimate; two things keepers remember well, the coldest night of a usual
// winter and the number of days above 38 C, improve it.
package climate

// A Place is a point on the map with monthly normals. Index 0 is January.
type Place struct {
	Name         string
	Country      string
	LatitudeDeg  float64 // north positive
	LongitudeDeg float64 // east positive
	AltitudeM    float64
	MaxC         [12]float64 // mean daily high
	MinC         [12]float64 // mean daily low
	HumidityPct  [12]float64 // mean relative humidity over water
	RainMM       [12]float64
	WindMS       [12]float64 // mean wind at 10 m; zero when not known
	ExtremeMinC  float64     // mean of the coldest night of each year
	ClassKoppen  string      // for catalogue places; else computed by Class
	SourceKey    string
	// ExtremeSourceKey says where ExtremeMinC comes from; empty when it is not
	// given, and also when the keeper gave it. An ExtremeMinC of exactly zero
	// counts as not given.
	ExtremeSourceKey string
	// Stray is how the weather strays from its normals, from a record of this
	// place; nil takes what is usual at such a place.
	Stray       *Stray
	DaysAbove38 float64 // keeper's own count of days above 38 C, 0 when not given
	// From says where the figures come from, in the keeper's own words ("station on
	// the hill, 1991-2020"); empty when not told.
	From string
}

// Stray is how the weather of a place strays from its normals. Index 0 of the
// months is January; zero months and memories are not told, and what is usual at
// such a place stands in for them.
type Stray struct {
	DayC       [12]float64 // standard deviation of one day's mean
	HighC      [12]float64 // of one day's high
	LowC       [12]float64 // of one night's low
	WeekC      [12]float64 // of a week's mean
	WeekMemory float64     // correlation of a week's anomaly with that of the week before
	DayMemory  float64     // of a day's with that of the day before
	SourceKey  string
}

// Southern reports whether the place lies south of the equator.
func (p Place) Southern() bool { return p.LatitudeDeg < 0 }

// A WeekNormal is one slot of the steady year (52 equal parts from 1 January).
type WeekNormal struct {
	MeanC, MaxC, MinC float64 // daily mean, mean daily high, mean daily low
	SDDayC            float64 // standard deviation of one day's mean about MeanC
	SDHighC, SDLowC   float64 // of one day's high about MaxC, one night's low about MinC
	SDWeekC           float64 // of the week's mean from year to year; 0 when the place does not tell it
	HumidityPct       float64
	RainMM            float64 // a week
	WindMS            float64 // at 10 m
	SunH              float64 // sunrise to sunset
	CivilH            float64 // sun above -6 degrees: the day of birds outdoors
	WindowH           float64 // sun above -2 degrees: the day of birds behind windows
	FrostNights       float64 // expected nights of the week with a low below 0 C
	HotDays           float64 // expected days of the week with a high above 32 C
}

// Year is a place's steady year.
type Year [52]WeekNormal
