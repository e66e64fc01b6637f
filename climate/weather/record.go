package weather

import (
	"fmt"
	"math"
	"slices"

	"henyear/measure"
)

// Kind is what a file was found to be.
type Kind string

// The kinds of file.
const (
	ByStation    Kind = "ghcn_by_station"  // one value a line: station, date, element, value, flags
	FixedWidth   Kind = "ghcn_fixed_width" // one month of one element a line
	USNormals    Kind = "us_normals"       // monthly normals of the United States
	TypicalYear  Kind = "epw"              // hourly typical year of building engineers
	DailyTable   Kind = "daily_table"      // one line a day
	HourlyTable  Kind = "hourly_table"     // one line an hour, or oftener
	MonthlyTable Kind = "monthly_table"    // one line a month of each year, or twelve normals
)

// Location is where the instruments stand.
type Location struct {
	LatitudeDeg  float64 `json:"latitude_deg"`  // north positive
	LongitudeDeg float64 `json:"longitude_deg"` // east positive
	AltitudeM    float64 `json:"altitude_m"`
}

// A Day is one civil day. A value that the file does not have is NaN.
type Day struct {
	Date        measure.Date
	HighC, LowC float64
	MeanC       float64 // (high + low)/2 where both are known, else as given
	HumidityPct float64 // daily mean, over water
	RainMM      float64 // snow melted
	WindMS      float64 // daily mean
}

// Units says in which units a table is written whose header is silent.
type Units string

// What a keeper may say of a file's units.
const (
	AsFound Units = ""       // found out from header and figures, or refused
	Metric  Units = "metric" // C, mm, m/s
	US      Units = "us"     // F, inches, miles an hour
	Tenths  Units = "tenths" // tenths of C, of mm, of m/s
)

// Options are what a reader needs beside the file.
type Options struct {
	Name    string       // of the file, for messages; "The file" when empty
	Today   measure.Date // later days are dropped; must be given
	Units   Units        // for columns whose unit the file does not state
	Station string       // which one, in a file of several stations
	At      *Location    // of the station, where the file is silent; else it wins over the file
	// MaxBytes bounds the size of the file; DefaultMaxBytes when 0. Memory does
	// not grow with the size of the file but with its days, some 150 bytes each
	// (600 while hours are being read).
	MaxBytes int64
}

// DefaultMaxBytes is the largest file that is read: 256 MB, a century of hourly
// readings with thirty columns.
const DefaultMaxBytes = 256 << 20

// A Note is one thing that the keeper should know about the file: a stable code,
// its arguments, and the sentence in English.
type Note struct {
	Code string         `json:"code"`
	Args map[string]any `json:"args,omitempty"`
	Text string         `json:"text"`
}

func note(code string, args map[string]any, format string, a ...any) Note {
	return Note{code, args, fmt.Sprintf(format, a...)}
}

// A Refusal is the error of this room: the file, or what was asked of it, cannot
// be had. Text says why and what to do.
type Refusal struct{ Note }

func (r *Refusal) Error() string { return r.Text }

// refuse builds a refusal from a predicate; Read puts the name of the file before
// it.
func refuse(code string, args map[string]any, format string, a ...any) *Refusal {
	return &Refusal{note(code, args, format, a...)}
}

// Dropped counts what was in the file and is not in the record.
type Dropped struct {
	Flagged    int `json:"flagged"`    // values that the service itself doubts
	Impossible int `json:"impossible"` // values beyond what was ever measured on earth
	Crossed    int `json:"crossed"`    // days whose high lies below their low; both left out
	Repeated   int `json:"repeated"`   // values given again, the same
	Conflict   int `json:"conflict"`   // values given again, other than before; the first is kept
	Future     int `json:"future"`     // lines dated after today
	Malformed  int `json:"malformed"`  // lines that cannot be read
	ThinDays   int `json:"thin_days"`  // days with too few hourly readings
}

// A Record is what a weather file said, day by day or month by month.
type Record struct {
	Kind    Kind
	Name    string // of the file
	Station string // code and name as the file gives them
	At      *Location
	Days    []Day // by date, one each, only days with some value; nil for monthly files
	// Typical tells that Days are one year put together from months of several
	// years; their dates then lie in 2001 by agreement.
	Typical bool
	// Normals are the monthly means of a file that gives nothing else.
	Normals *[12]Month
	Dropped Dropped
	Notes   []Note
	// From and To are the first and last day that the summaries use. Read sets them
	// to the last thirty calendar years with data; see Use.
	From, To measure.Date
}

// NormalYears is how many years a normal is taken over (practice of the weather
// services, key weather_thirty_years).
const NormalYears = 30

// Figure is a mean over years: Value with its standard deviation from year to year
// and how many years it stands on. With no years Value means nothing.
type Figure struct {
	Value float64 `json:"value"`
	SD    float64 `json:"sd"` // 0 when Years is below 2, or not known
	Years int     `json:"years"`
}

// Known reports whether there is a value at all.
func (f Figure) Known() bool { return f.Years > 0 }

func figureOf(values []float64) Figure {
	mean, sd := meanSD(values)
	if len(values) == 0 {
		return Figure{}
	}
	return Figure{mean, sd, len(values)}
}

// meanSD is the mean and the standard deviation (divisor n-1) of values; NaN and 0
// without any.
func meanSD(values []float64) (mean, sd float64) {
	if len(values) == 0 {
		return math.NaN(), 0
	}
	for _, v := range values {
		mean += v
	}
	mean /= float64(len(values))
	if len(values) < 2 {
		return mean, 0
	}
	squares := 0.0
	for _, v := range values {
		squares += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(squares / float64(len(values)-1))
}

// Month is a calendar month of the usual year.
type Month struct {
	HighC       Figure `json:"high_c"`
	LowC        Figure `json:"low_c"`
	RainMM      Figure `json:"rain_mm"`
	HumidityPct Figure `json:"humidity_pct"`
	WindMS      Figure `json:"wind_ms"`
	FrostNights Figure `json:"frost_nights"` // nights with a low below 0 C
	HotDays     Figure `json:"hot_days"`     // days with a high above 32 C
}

// Use sets the years, first and last included, that summaries are made from. It
// refuses years of which the file has no day.
func (r *Record) Use(fromYear, toYear int) error {
	if r.Normals != nil || r.Typical {
		return refuse("period-fixed", nil, "%s has one usual year only, so that no years can be chosen.", r.subject())
	}
	if fromYear > toYear {
		fromYear, toYear = toYear, fromYear
	}
	first, last := r.Days[0].Date.Year, r.Days[len(r.Days)-1].Date.Year
	from, to := measure.Date{Year: fromYear, Month: 1, Day: 1}, measure.Date{Year: toYear, Month: 12, Day: 31}
	if len(r.between(from, to)) == 0 {
		return refuse("period-empty", map[string]any{"first": first, "last": last},
			"%s has no days from %d to %d; it runs from %d to %d.", r.subject(), fromYear, toYear, first, last)
	}
	r.From, r.To = from, to
	return nil
}

// used lists the days of the period in use.
func (r *Record) used() []Day { return r.between(r.From, r.To) }

func (r *Record) between(from, to measure.Date) []Day {
	before := func(d Day, at measure.Date) int {
		if d.Date.Before(at) {
			return -1
		}
		return 1
	}
	i, _ := slices.BinarySearchFunc(r.Days, from, before)
	j, _ := slices.BinarySearchFunc(r.Days, to.AddDays(1), before)
	return r.Days[i:max(i, j)]
}

func (r *Record) subject() string { return subject(r.Name) }

func subject(name string) string {
	if name == "" {
		return "The file"
	}
	return fmt.Sprintf("%q", name)
}
