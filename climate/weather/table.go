package weather

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
)

// longestPreamble is how many lines may stand before the header of a table.
const longestPreamble = 200

// A tableReader reads days, hours or months that stand in columns with names.
type tableReader struct {
	in       *lines
	c        *collector
	layout   layout
	stated   bool // the keeper gave a word
	row      [][]byte
	stations stations
	at       place
	name     string
	inHours  bool
	inDays   bool
	inMonths bool
	normals  bool // months without a year
	broken   brokenRow
	headLine int // of the latest header
}

// brokenRow remembers the first row that did not fit, for the message.
type brokenRow struct{ line, fields, width int }

func (t *tableReader) read() error {
	if err := t.preamble(); err != nil {
		return err
	}
	for {
		line, err := t.in.next()
		if err == io.EOF {
			return t.stations.refusal(t.c.options.Station)
		}
		if err != nil {
			return err
		}
		if err := t.line(line); err != nil {
			return err
		}
	}
}

// preamble reads up to the header, and picks up where the place lies on the way.
func (t *tableReader) preamble() error {
	beginning := ""
	for range longestPreamble {
		line, err := t.in.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		if beginning == "" {
			beginning = shortened(line)
		}
		if l, ok := layoutOf(line); ok {
			return t.begin(l)
		}
		t.at.fromPreamble(line)
	}
	return refuse("no-header", map[string]any{"beginning": beginning},
		"has no line that names its columns in a way that is known; a date and a high and low (for example date,high_c,low_c,rain_mm) are needed. It begins with %q.", beginning)
}

func shortened(line []byte) string {
	text := []rune(strings.ToValidUTF8(string(bytes.TrimSpace(line)), "?"))
	if len(text) > 60 {
		return string(text[:60]) + "..."
	}
	return string(text)
}

func (t *tableReader) begin(l layout) error {
	t.layout = l
	t.headLine = t.in.number
	ahead, err := t.in.head()
	if err != nil {
		return err
	}
	return t.layout.findOrder(ahead)
}

func (t *tableReader) line(line []byte) error {
	if len(bytes.TrimSpace(line)) == 0 || line[0] == '#' {
		return nil
	}
	var whole bool
	t.row, whole = split(line, t.layout.delimiter, t.row)
	if t.layout.again(t.row) || !t.layout.fits(t.row) {
		if l, ok := layoutOf(line); ok {
			return t.begin(l) // the header again, or a second table below the first
		}
	}
	if t.in.number == t.headLine+1 && !bytes.ContainsAny(line, "0123456789") {
		return nil // a line of units below the header
	}
	t.c.rows++
	if t.c.hopeless() {
		return t.c.malformedRefusal(t.broken)
	}
	if !whole || !t.layout.fits(t.row) {
		if t.broken.line == 0 {
			t.broken = brokenRow{t.in.number, len(t.row), t.layout.width}
		}
		t.c.malformed(t.in.number)
		return nil
	}
	if station := t.layout.field(roleStation, t.row); t.layout.has(roleStation) && !t.stations.wanted(station, t.c.options.Station) {
		return nil
	}
	m, ok := t.moment()
	if !ok {
		if l, ok := layoutOf(line); ok {
			t.c.rows--
			return t.begin(l)
		}
		t.c.malformed(t.in.number)
		return nil
	}
	t.where()
	return t.values(m)
}

// moment finds the date of the row. Months get their first day.
func (t *tableReader) moment() (moment, bool) {
	l := &t.layout
	var m moment
	ok := true
	switch {
	case l.has(roleDate):
		text := l.field(roleDate, t.row)
		m, ok = parseMoment(text, l.order)
		if ok && m.minute >= 0 && text[len(text)-1] == 'Z' {
			t.c.greenwich = true
		}
		t.inMonths = t.inMonths || ok && m.day == 0
	case l.has(roleYear):
		m, ok = t.fromParts()
	default:
		m, ok = t.fromParts()
		t.normals = true
	}
	if !ok {
		return m, false
	}
	if m.minute < 0 && l.has(roleHour) {
		if text := l.field(roleHour, t.row); len(text) > 0 {
			m.minute, ok = parseClock(text)
		}
	}
	if m.day == 0 {
		t.inMonths = true
		m.day = 1
	} else if t.inMonths {
		return m, false // days among months
	}
	return m, ok
}

// fromParts takes the date from columns of year, month and day.
func (t *tableReader) fromParts() (moment, bool) {
	l := &t.layout
	m := moment{year: typicalYear, minute: -1}
	good := true
	take := func(r role, into *int) {
		if l.has(r) {
			n, ok := integer(l.field(r, t.row))
			*into, good = n, good && ok
		}
	}
	take(roleYear, &m.year)
	if !l.has(roleYear) {
		take(roleEnd, &m.year)
	}
	take(roleMonth, &m.month)
	take(roleDay, &m.day)
	if l.has(roleDayOfYear) {
		n, ok := integer(l.field(roleDayOfYear, t.row))
		if !ok || !good || m.year < firstYear || m.year > lastYear || n < 1 || n > daysOfYear(m.year) {
			return m, false
		}
		d := onYearDay(m.year, n-1)
		m.month, m.day = int(d.Month), d.Day
	}
	return m, good && m.month >= 1 && m.month <= 12
}

// where takes the position from the columns of the first row that has one.
func (t *tableReader) where() {
	l := &t.layout
	if !t.at.known && l.has(roleLatitude) && l.has(roleLongitude) {
		lat, first := number(l.field(roleLatitude, t.row), l.delimiter != ',')
		lon, second := number(l.field(roleLongitude, t.row), l.delimiter != ',')
		if first == value && second == value {
			t.at.set(lat, lon)
		}
		if alt, got := number(l.field(roleAltitude, t.row), l.delimiter != ','); got == value && l.has(roleAltitude) {
			t.at.setAltitude(l.columns[l.by[roleAltitude]].unit.metric(alt))
		}
	}
	if t.name == "" && l.has(roleName) {
		t.name = shortened(l.field(roleName, t.row))
	}
}

// values notes what the row measured.
func (t *tableReader) values(m moment) error {
	if !t.c.accept(m, t.in.number) {
		return nil
	}
	t.c.monthly = t.inMonths
	l := &t.layout
	hourly := !t.inMonths && m.minute >= 0 && !l.has(roleHigh) && !l.has(roleLow)
	var readings *hours
	if hourly {
		t.inHours = true
		if readings = t.c.at(m); readings == nil {
			return nil
		}
	} else if !t.inMonths {
		t.inDays = true
	}
	bad := false
	for i := range l.columns {
		col := &l.columns[i]
		q, measured := col.role.measured()
		if !measured {
			continue
		}
		v, got := number(t.row[col.index], l.delimiter != ',')
		switch {
		case got == trace && q == rain:
			v = 0
		case got == missing || v == bareCode && t.noTenths(col):
			continue
		case got != value:
			bad = true
			continue
		}
		if t.doubted(col.role) {
			t.c.dropped.Flagged++
			continue
		}
		t.keep(m, readings, col, q, v)
	}
	if bad {
		t.c.malformed(t.in.number)
	}
	return nil
}

// noTenths reports whether a column is known to hold no tenths.
func (t *tableReader) noTenths(col *column) bool {
	if col.open {
		return t.stated && t.c.options.Units != Tenths
	}
	return col.unit != tenth
}

// keep stores one value: in its final unit, or as written where that is not known
// before the whole file is.
func (t *tableReader) keep(m moment, readings *hours, col *column, q quantity, v float64) {
	switch {
	case readings != nil && col.open:
		t.c.take(readings, q, t.openUnit(q).metric(v))
	case readings != nil:
		t.c.take(readings, q, col.unit.metric(v))
	case col.open && t.stated:
		t.c.put(m, q, t.openUnit(q).metric(v))
	case col.open:
		t.c.putRaw(m, q, v)
	default:
		t.c.put(m, q, col.unit.metric(v))
	}
}

// openUnit is the unit of a silent column by the keeper's word, else metric.
func (t *tableReader) openUnit(q quantity) unit { return unitBy(t.c.options.Units, q) }

func unitBy(u Units, q quantity) unit {
	switch {
	case q == humidity:
		return asIs
	case u == Tenths:
		return tenth
	case u == US && q == rain:
		return unitWords["in"]
	case u == US && q == wind:
		return unitWords["mph"]
	case u == US:
		return fahrenheit
	}
	return asIs
}

// doubted reports whether the service's own flags reject the value of a role.
func (t *tableReader) doubted(r role) bool {
	if t.inMonths {
		return false // flags of months mean other things
	}
	for i := range t.layout.columns {
		col := &t.layout.columns[i]
		if col.role != roleFlags || col.flags != r {
			continue
		}
		flag := t.row[col.index]
		switch col.manner {
		case "period": // a value of several days together
			n, got := number(flag, false)
			return got == value && n > 1
		case "list": // measurement flag, quality flag, source flag
			_, rest, _ := bytes.Cut(flag, []byte(","))
			quality, _, _ := bytes.Cut(rest, []byte(","))
			return len(bytes.TrimSpace(quality)) > 0
		case "letter":
			return len(flag) > 0 && flag[0] == 'M'
		case "digit": // 0 good, 1 suspect, 9 missing
			return len(flag) > 0 && flag[0] != '0'
		}
	}
	return false
}

// A place gathers the position from wherever the file gives it.
type place struct {
	Location
	known, altitude bool
	header          [][]byte    // a line of names whose figures come in the next line
	halves          [2]*float64 // latitude and longitude on lines of their own
}

func (p *place) set(lat, lon float64) {
	if lat >= -90 && lat <= 90 && lon >= -180 && lon <= 360 {
		if lon > 180 {
			lon -= 360
		}
		p.LatitudeDeg, p.LongitudeDeg, p.known = lat, lon, true
	}
}

func (p *place) setAltitude(m float64) {
	if m >= -450 && m <= 9000 {
		p.AltitudeM, p.altitude = m, true
	}
}

// location is nil unless latitude and longitude are known.
func (p *place) location() *Location {
	if !p.known {
		return nil
	}
	at := p.Location
	return &at
}

var (
	coordinates = regexp.MustCompile(`(?i)\blat(?:itude)?[ :=]+(-?\d+(?:\.\d+)?)[ ,;]+lon(?:gitude)?[ :=]+(-?\d+(?:\.\d+)?)`)
	aboveSea    = regexp.MustCompile(`(?i)(-?\d+(?:\.\d+)?) *m(?:et(?:er|re)s)? amsl|elevation.*= *(-?\d+(?:\.\d+)?) *met(?:er|re)s`)
)

// fromPreamble picks a position out of a line above the table: in words, or as a
// line of names with a line of figures below it.
func (p *place) fromPreamble(line []byte) {
	if p.header != nil {
		p.fromFigures(line)
		p.header = nil
		return
	}
	text := string(line)
	if found := coordinates.FindStringSubmatch(text); found != nil {
		lat, _ := strconv.ParseFloat(found[1], 64)
		lon, _ := strconv.ParseFloat(found[2], 64)
		p.set(lat, lon)
	}
	if found := aboveSea.FindStringSubmatch(text); found != nil {
		alt, _ := strconv.ParseFloat(found[1]+found[2], 64)
		p.setAltitude(alt)
	}
	fields, _ := split(line, ',', nil)
	if len(fields) == 2 {
		p.fromPair(fields[0], fields[1])
	}
	names := [2]bool{}
	for i, f := range fields {
		if c, ok := recognise(string(f), i); ok {
			names[0] = names[0] || c.role == roleLatitude
			names[1] = names[1] || c.role == roleLongitude
		}
	}
	if names[0] && names[1] {
		for _, f := range fields {
			p.header = append(p.header, bytes.Clone(f))
		}
	}
}

// fromPair takes a name and its figure on a line of their own.
func (p *place) fromPair(name, figure []byte) {
	c, ok := recognise(string(name), 0)
	v, got := number(figure, false)
	if !ok || got != value {
		return
	}
	switch c.role {
	case roleLatitude:
		p.halves[0] = &v
	case roleLongitude:
		p.halves[1] = &v
	case roleAltitude:
		p.setAltitude(v)
	}
	if p.halves[0] != nil && p.halves[1] != nil {
		p.set(*p.halves[0], *p.halves[1])
	}
}

func (p *place) fromFigures(line []byte) {
	fields, _ := split(line, ',', nil)
	var lat, lon float64
	var hasLat, hasLon bool
	for i, name := range p.header {
		if i >= len(fields) {
			break
		}
		c, ok := recognise(string(name), i)
		v, got := number(fields[i], false)
		if !ok || got != value {
			continue
		}
		switch c.role {
		case roleLatitude:
			lat, hasLat = v, true
		case roleLongitude:
			lon, hasLon = v, true
		case roleAltitude:
			p.setAltitude(v)
		}
	}
	if hasLat && hasLon {
		p.set(lat, lon)
	}
}

// stations watches over the stations of a file: one is read.
type stations struct {
	names []string // in the order met, up to mostStations
	met   map[string]bool
	last  string
	found bool // the one asked for
}

const mostStations = 12

// wanted reports whether a line of this station is to be read.
func (s *stations) wanted(station []byte, asked string) bool {
	if string(station) != s.last || s.met == nil {
		s.last = shortened(station)
		if s.met == nil {
			s.met = map[string]bool{}
		}
		if !s.met[s.last] && len(s.names) < mostStations {
			s.met[s.last] = true
			s.names = append(s.names, shortened(station))
		}
	}
	if asked != "" {
		wanted := strings.EqualFold(s.last, asked)
		s.found = s.found || wanted
		return wanted
	}
	return s.last == s.first()
}

func (s *stations) first() string {
	if len(s.names) == 0 {
		return ""
	}
	return s.names[0]
}

// chosen is the station that was read.
func (s *stations) chosen(asked string) string {
	if asked != "" {
		return asked
	}
	return s.first()
}

// refusal says which stations there are when the file has several and none was
// named, or when the one named is not among them.
func (s *stations) refusal(asked string) error {
	list := strings.Join(s.names, ", ")
	if len(s.names) == mostStations {
		list += " and perhaps others"
	}
	if asked == "" {
		if len(s.names) > 1 {
			return refuse("several-stations", map[string]any{"stations": s.names},
				"has several stations: %s; say which one is wanted.", list)
		}
		return nil
	}
	if s.found {
		return nil
	}
	if len(s.names) == 0 {
		return refuse("no-stations", nil, "does not name its station, so that %q cannot be chosen.", asked)
	}
	return refuse("station-absent", map[string]any{"stations": s.names}, "has no station %q; it has %s.", asked, list)
}

func (b brokenRow) sentence() string {
	return fmt.Sprintf("line %d has %d fields where the line of names has %d; perhaps the fields are divided in two ways, or figures have a decimal comma", b.line, b.fields, b.width)
}
