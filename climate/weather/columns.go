package weather

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"strings"
	"sync"
	"unicode/utf8"
)

// The names of columns that are known, with what they hold and the unit that the
// service uses when the header gives none ("?" where services differ).
//
//go:embed data/columns.csv
var columnsCSV []byte

// A role is what a column is for.
type role int

const (
	noRole role = iota
	roleStation
	roleName
	roleLatitude
	roleLongitude
	roleAltitude
	roleDate
	roleYear
	roleMonth
	roleDay
	roleDayOfYear
	roleHour
	roleEnd // last year of a row of normals
	roleHigh
	roleLow
	roleAir // temperature of the hour, or the mean of the day
	roleDew
	roleHumidity
	roleRain
	roleWind
	roleFlags
	roles
)

var roleNames = map[string]role{
	"station": roleStation, "name": roleName, "latitude": roleLatitude, "longitude": roleLongitude, "altitude": roleAltitude,
	"date": roleDate, "year": roleYear, "month": roleMonth, "day": roleDay, "dayofyear": roleDayOfYear, "hour": roleHour, "end": roleEnd,
	"high": roleHigh, "low": roleLow, "air": roleAir, "dew": roleDew, "humidity": roleHumidity, "rain": roleRain, "wind": roleWind,
}

// measured tells which quantity a role holds.
func (r role) measured() (quantity, bool) {
	switch r {
	case roleHigh:
		return high, true
	case roleLow:
		return low, true
	case roleAir:
		return mean, true
	case roleDew:
		return dew, true
	case roleHumidity:
		return humidity, true
	case roleRain:
		return rain, true
	case roleWind:
		return wind, true
	}
	return 0, false
}

// A unit turns a figure of a file into C, mm, % or m/s: figure*times + plus.
type unit struct{ times, plus float64 }

var (
	asIs       = unit{1, 0}
	fahrenheit = unit{1 / 1.8, -32 / 1.8}
	tenth      = unit{0.1, 0}
)

func (u unit) metric(v float64) float64 {
	if u == tenth {
		return v / 10 // -172 becomes -17.2 exactly
	}
	return v*u.times + u.plus
}

// unitWords are the ways to write a unit, in small letters without degree signs and
// blanks.
var unitWords = map[string]unit{
	"c": asIs, "degc": asIs, "celsius": asIs, "degreec": asIs, "degreescelsius": asIs, "degreecelsius": asIs, "deg.c": asIs,
	"f": fahrenheit, "degf": fahrenheit, "fahrenheit": fahrenheit, "degreef": fahrenheit, "degreesfahrenheit": fahrenheit,
	"k": {1, -273.15}, "kelvin": {1, -273.15},
	"0.1c": tenth, "0.1mm": tenth, "0.1m/s": tenth, "0.1degc": tenth,
	"mm": asIs, "millimetres": asIs, "millimeters": asIs, "mm/day": asIs, "mm/d": asIs, "kg/m2": asIs,
	"cm": {10, 0}, "in": {25.4, 0}, "inch": {25.4, 0}, "inches": {25.4, 0}, "0.01in": {0.254, 0}, "0.1in": {2.54, 0},
	"m/s": asIs, "ms": asIs, "ms-1": asIs, "m/sec": asIs,
	"km/h": {1 / 3.6, 0}, "kmh": {1 / 3.6, 0}, "kph": {1 / 3.6, 0}, "kmph": {1 / 3.6, 0},
	"mph": {0.44704, 0}, "mp/h": {0.44704, 0}, "mi/h": {0.44704, 0},
	"kn": {1852.0 / 3600, 0}, "kt": {1852.0 / 3600, 0}, "kts": {1852.0 / 3600, 0}, "knots": {1852.0 / 3600, 0},
	"%": asIs, "percent": asIs, "pct": asIs,
	"m": asIs, "ft": {0.3048, 0}, "feet": {0.3048, 0},
}

func unitOf(text string) (unit, bool) {
	text = strings.ToLower(text)
	text = strings.NewReplacer("°", "", "º", "", "\ufffd", "", "â", "", " ", "").Replace(text)
	u, ok := unitWords[text]
	return u, ok
}

// A known column is a line of the table of names.
type known struct {
	role   role
	unit   unit
	open   bool   // services differ in the unit
	flags  role   // the column whose values these flags judge
	manner string // how: list, letter, digit, period
}

var knownColumns = sync.OnceValues(func() (map[string]known, error) {
	rows, err := csv.NewReader(bytes.NewReader(columnsCSV)).ReadAll()
	if err != nil {
		return nil, err
	}
	table := make(map[string]known, len(rows))
	for _, row := range rows[1:] {
		k := known{unit: asIs}
		if words := strings.Fields(row[1]); words[0] == "flags" {
			k.role, k.flags, k.manner = roleFlags, roleNames[words[1]], words[2]
		} else {
			k.role = roleNames[row[1]]
		}
		switch {
		case row[2] == "?":
			k.open = true
		case row[2] != "":
			k.unit, _ = unitOf(row[2])
		}
		table[row[0]] = k
	}
	return table, nil
})

// A column of a table at hand.
type column struct {
	known
	name  string // as the header writes it
	index int
}

// recognise finds what a header field stands for. A unit in brackets at its end
// decides over the unit that the service uses by habit; so does one tied to the
// name, as in high_f.
func recognise(field string, index int) (column, bool) {
	table, err := knownColumns()
	if err != nil {
		panic(err) // the table is embedded and checked by a test
	}
	c := column{name: strings.TrimSpace(field), index: index}
	name, inBrackets := cutUnit(c.name)
	var found bool
	if c.known, found = table[plainName(name)]; !found {
		c.known, found = table[plainName(c.name)]
	}
	if !found {
		stem, tail := cutTail(plainName(c.name))
		if u, ok := unitOf(tail); ok {
			if c.known, found = table[stem]; found {
				c.unit, c.open = u, false
			}
		}
	}
	if !found {
		return c, false
	}
	if inBrackets != "" {
		u, ok := unitOf(inBrackets)
		if !ok {
			return c, false
		}
		c.unit, c.open = u, false
	}
	return c, true
}

// cutUnit parts "Max Temp (°C)" into its name and what stands in the last brackets,
// if that is a unit.
func cutUnit(field string) (name, inBrackets string) {
	for _, pair := range []string{"()", "[]"} {
		open := strings.LastIndexByte(field, pair[0])
		if open > 0 && strings.HasSuffix(field, pair[1:]) {
			inside := field[open+1 : len(field)-1]
			if _, ok := unitOf(inside); ok {
				return strings.TrimSpace(field[:open]), inside
			}
		}
	}
	return field, ""
}

// cutTail parts tmax_degc at its last underscore.
func cutTail(name string) (stem, tail string) {
	i := strings.LastIndexByte(name, '_')
	if i <= 0 {
		return name, ""
	}
	return name[:i], name[i+1:]
}

// plainName is a column's name in small letters and digits, with one underscore for
// everything between.
func plainName(name string) string {
	var b strings.Builder
	gap := false
	for _, r := range strings.ToLower(name) {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			if gap && b.Len() > 0 {
				b.WriteByte('_')
			}
			gap = false
			b.WriteRune(r)
			continue
		}
		gap = r != utf8.RuneError || gap
	}
	return b.String()
}
