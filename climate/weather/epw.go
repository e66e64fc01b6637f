package weather

import (
	"bytes"
	"io"
)

// EPW: eight lines of head, the first of which begins with LOCATION and the last
// with DATA PERIODS, then a line of 35 fields an hour. Hour h covers h-1 to h, so
// that hour 24 ends its day. Months mostly come from different years.

// Fields of a line of data, from 0.
const (
	epwYear     = 0
	epwMonth    = 1
	epwDay      = 2
	epwHour     = 3
	epwTemp     = 6
	epwDew      = 7
	epwHumidity = 8
	epwWind     = 21
	epwRain     = 33
	epwLeast    = 22 // fields that a line must have
)

// typicalYear is the common year under which a typical year's days are filed.
const typicalYear = 2001

// epwLocation reports whether a line is the first of an EPW file.
func epwLocation(line []byte) bool { return bytes.HasPrefix(line, []byte("LOCATION,")) }

// readEPW reads the hours into days of one year.
func readEPW(in *lines, c *collector) (at place, name string, years map[int]bool, err error) {
	years = map[int]bool{}
	for {
		line, err := in.next()
		if err == io.EOF {
			return at, name, years, refuse("epw-cut", nil, "ends within the head of an EPW file; fetch it again.")
		}
		if err != nil {
			return at, name, years, err
		}
		if epwLocation(line) {
			at, name = epwPlace(line)
		}
		if bytes.HasPrefix(line, []byte("DATA PERIODS")) {
			break
		}
	}
	c.typical = true // the years of the months are not to be held against today
	var row [][]byte
	for {
		line, err := in.next()
		if err == io.EOF {
			return at, name, years, nil
		}
		if err != nil {
			return at, name, years, err
		}
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		c.rows++
		if c.hopeless() {
			return at, name, years, c.malformedRefusal(brokenRow{})
		}
		var whole bool
		row, whole = split(line, ',', row)
		if !whole || len(row) < epwLeast || !c.epwRow(row, years) {
			c.malformed(in.number)
		}
	}
}

func epwPlace(line []byte) (at place, name string) {
	row, _ := split(line, ',', nil)
	if len(row) < 10 {
		return at, ""
	}
	name = shortened(row[1])
	lat, first := number(row[6], false)
	lon, second := number(row[7], false)
	if first == value && second == value {
		at.set(lat, lon)
	}
	if alt, got := number(row[9], false); got == value {
		at.setAltitude(alt)
	}
	return at, name
}

func (c *collector) epwRow(row [][]byte, years map[int]bool) bool {
	year, ok1 := integer(row[epwYear])
	month, ok2 := integer(row[epwMonth])
	day, ok3 := integer(row[epwDay])
	hour, ok4 := integer(row[epwHour])
	if !ok1 || !ok2 || !ok3 || !ok4 || hour < 1 || hour > 24 || year < firstYear || year > lastYear {
		return false
	}
	m := moment{year: typicalYear, month: month, day: day, minute: (hour - 1) * 60}
	if month == 2 && day == 29 {
		return true // the usual year has none
	}
	if !m.real() {
		return false
	}
	years[year] = true
	readings := c.at(m)
	if readings == nil {
		return true
	}
	take := func(index int, q quantity, none float64) bool {
		if index >= len(row) {
			return true
		}
		v, got := number(row[index], false)
		if got == wrong {
			return false
		}
		if got == value && v < none {
			c.take(readings, q, v)
		}
		return true
	}
	good := take(epwTemp, mean, 99.9)
	good = take(epwDew, dew, 99.9) && good
	good = take(epwHumidity, humidity, 999) && good
	good = take(epwWind, wind, 999) && good
	return take(epwRain, rain, 999) && good
}
