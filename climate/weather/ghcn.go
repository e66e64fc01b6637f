package weather

import (
	"bytes"
	"io"
	"strings"
)

// The daily files of the Global Historical Climatology Network hold whole numbers:
// tenths of C, of mm and of m/s. A value with a quality flag failed one of the
// network's checks and is left out; a missing day has no line, or -9999.

// elements are those read, with the quantity and whether its whole numbers are
// tenths.
var elements = map[string]struct {
	q      quantity
	tenths bool
}{
	"TMAX": {high, true}, "TMIN": {low, true}, "TAVG": {mean, true},
	"PRCP": {rain, true}, "AWND": {wind, true},
	"RHAV": {humidity, false}, "ADPT": {dew, true},
}

// ghcnMissing stands for a missing value.
const ghcnMissing = -9999

// putElement notes a whole number of an element that passed its quality check.
func (c *collector) putElement(m moment, q quantity, tenths bool, n int) {
	v := float64(n)
	if tenths {
		v /= 10
	}
	c.put(m, q, v)
}

// stationLine reports whether a line looks like one of a file by station: eleven
// letters and digits of the station, the date, four letters of the element, a whole number.
func stationLine(line []byte) bool {
	row, ok := split(line, ',', nil)
	if !ok || len(row) < 4 || len(row) > 8 {
		return false
	}
	_, number := signed(row[3])
	day, date := parseMoment(row[1], yearFirst)
	return len(row[0]) == 11 && date && day.day > 0 && len(row[2]) == 4 && number
}

// stationHeader reports whether a line is the header of newer files by station.
func stationHeader(line []byte) bool {
	if start := bytes.TrimLeft(line, "\" "); len(start) < 3 || start[0]|0x20 != 'i' || start[1]|0x20 != 'd' {
		return false
	}
	row, ok := split(line, ',', nil)
	return ok && len(row) >= 4 && strings.EqualFold(string(row[0]), "id") &&
		strings.EqualFold(string(row[1]), "date") && strings.EqualFold(string(row[2]), "element")
}

// readByStation reads lines of ID, DATE, ELEMENT, value, measurement flag, quality
// flag, source flag, time of observation.
func readByStation(in *lines, c *collector) (stations, error) {
	var row [][]byte
	var all stations
	for {
		line, err := in.next()
		if err == io.EOF {
			return all, all.refusal(c.options.Station)
		}
		if err != nil {
			return all, err
		}
		if len(bytes.TrimSpace(line)) == 0 || stationHeader(line) {
			continue
		}
		c.rows++
		if c.hopeless() {
			return all, c.malformedRefusal(brokenRow{})
		}
		var whole bool
		row, whole = split(line, ',', row)
		if !whole || len(row) < 4 || len(row[0]) == 0 || len(row[2]) != 4 {
			c.malformed(in.number)
			continue
		}
		if !all.wanted(row[0], c.options.Station) {
			continue
		}
		c.stationRow(row, in.number)
	}
}

func (c *collector) stationRow(row [][]byte, line int) {
	e, known := elements[string(row[2])]
	if !known {
		return
	}
	m, ok := parseMoment(row[1], yearFirst)
	n, number := signed(row[3])
	if !ok || m.day == 0 || !number || len(row) < 7 {
		c.malformed(line)
		return
	}
	if !c.accept(m, line) || n == ghcnMissing {
		return
	}
	if len(row[5]) > 0 {
		c.dropped.Flagged++
		return
	}
	if e.q == high && len(row) > 7 && len(row[7]) == 4 {
		c.timedHighs++
		if row[7][0] < '1' || row[7][0] == '1' && row[7][1] < '2' {
			c.earlyHighs++
		}
	}
	c.putElement(m, e.q, e.tenths, n)
}

// Columns of the fixed form: station 1-11, year 12-15, month 16-17, element 18-21,
// then for each day five of value and three flags (measurement, quality, source).
const (
	fixedHead  = 21
	fixedDay   = 8
	fixedWhole = fixedHead + 31*fixedDay
)

// fixedLine reports whether a line looks like one of the fixed form.
func fixedLine(line []byte) bool {
	if len(line) < fixedHead+5 || bytes.IndexByte(line[:fixedHead], ' ') >= 0 || bytes.IndexByte(line, ',') >= 0 {
		return false
	}
	_, year := integer(line[11:15])
	month, ok := integer(line[15:17])
	_, value := signed(line[fixedHead : fixedHead+5])
	return year && ok && month >= 1 && month <= 12 && value && isWord(line[17:21])
}

func isWord(text []byte) bool {
	for _, b := range text {
		if (b < 'A' || b > 'Z') && (b < '0' || b > '9') {
			return false
		}
	}
	return true
}

// readFixed reads the fixed form: a line is one month of one element.
func readFixed(in *lines, c *collector) (stations, error) {
	var all stations
	for {
		line, err := in.next()
		if err == io.EOF {
			return all, all.refusal(c.options.Station)
		}
		if err != nil {
			return all, err
		}
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		c.rows++
		if c.hopeless() {
			return all, c.malformedRefusal(brokenRow{})
		}
		if !fixedLine(line) {
			c.malformed(in.number)
			continue
		}
		if all.wanted(line[:11], c.options.Station) {
			c.fixedMonth(line, in.number)
		}
	}
}

func (c *collector) fixedMonth(line []byte, number int) {
	e, known := elements[string(line[17:21])]
	if !known {
		return
	}
	year, _ := integer(line[11:15])
	month, _ := integer(line[15:17])
	if first := (moment{year: year, month: month, day: 1}); !first.real() {
		c.malformed(number)
		return
	}
	damaged := false
	for day := 1; day <= 31; day++ {
		at := fixedHead + (day-1)*fixedDay
		if at+5 > len(line) {
			break // blanks at the end of a line may have been taken off
		}
		n, ok := signed(line[at : at+5])
		if !ok {
			damaged = true
			continue
		}
		m := moment{year: year, month: month, day: day}
		if n == ghcnMissing {
			continue // also stands for days that do not exist
		}
		if !m.real() {
			damaged = true
			continue
		}
		if c.late(m) {
			c.dropped.Future++
			continue
		}
		if at+6 < len(line) && line[at+6] != ' ' {
			c.dropped.Flagged++
			continue
		}
		c.putElement(m, e.q, e.tenths, n)
	}
	if damaged {
		c.malformed(number)
	}
}
