package weather

import (
	"bytes"
	"io"
	"strings"
)

// Monthly normals of the United States: a row a month with named columns, in F and
// inches. The edition of 1991-2020 writes decimal points; that of 1981-2010 whole
// numbers in tenths of F and hundredths of an inch, with columns of ATTRIBUTES. Both
// have special codes: -7777 is rain that rounds to zero, -5555, -6666, -8888 and
// -9999 are none at all.

// normalColumn names what is read.
type normalColumn struct {
	name   string
	pick   func(m *Month) *Figure
	metric func(v float64, tenths bool) float64
}

func fromF(v float64, tenths bool) float64 {
	if tenths {
		v /= 10
	}
	return fahrenheit.metric(v)
}

func fromInches(v float64, hundredths bool) float64 {
	if hundredths {
		v /= 100
	}
	return v * 25.4
}

func fromDays(v float64, tenths bool) float64 {
	if tenths {
		v /= 10
	}
	return v
}

// Nights at or below 32 F stand for nights of frost, days at or above 90 F (32.2 C)
// for hot days.
var normalColumns = []normalColumn{
	{"MLY-TMAX-NORMAL", func(m *Month) *Figure { return &m.HighC }, fromF},
	{"MLY-TMIN-NORMAL", func(m *Month) *Figure { return &m.LowC }, fromF},
	{"MLY-PRCP-NORMAL", func(m *Month) *Figure { return &m.RainMM }, fromInches},
	{"MLY-TMIN-AVGNDS-LSTH032", func(m *Month) *Figure { return &m.FrostNights }, fromDays},
	{"MLY-TMAX-AVGNDS-GRTH090", func(m *Month) *Figure { return &m.HotDays }, fromDays},
}

// normalHeader reports whether a line names the columns of monthly normals.
func normalHeader(line []byte) bool {
	return bytes.Contains(line, []byte("MLY-TMAX-NORMAL")) || bytes.Contains(line, []byte("MLY-TMIN-NORMAL"))
}

// otherNormals names editions that are not monthly.
func otherNormals(line []byte) bool {
	for _, other := range []string{"DLY-TMAX-NORMAL", "DLY-TMIN-NORMAL", "HLY-TEMP-NORMAL", "ANN-TMAX-NORMAL"} {
		if bytes.Contains(line, []byte(other)) {
			return true
		}
	}
	return false
}

// A normalTable holds where the columns of a file of normals stand.
type normalTable struct {
	index map[string]int
	width int
	// The edition of whole numbers has a column of attributes for each value.
	whole bool
}

func normalTableOf(header []byte) (normalTable, bool) {
	row, ok := split(header, ',', nil)
	t := normalTable{index: map[string]int{}, width: len(row)}
	for i, f := range row {
		name := strings.ToUpper(string(f))
		if _, twice := t.index[name]; !twice {
			t.index[name] = i
		}
		t.whole = t.whole || strings.HasSuffix(name, "_ATTRIBUTES")
	}
	_, date := t.index["DATE"]
	return t, ok && date
}

func (t normalTable) field(name string, row [][]byte) []byte {
	if i, ok := t.index[name]; ok {
		return row[i]
	}
	return nil
}

// month finds the month of a row, in a column of its own or as the end of the date.
func (t normalTable) month(row [][]byte) (int, bool) {
	text := t.field("MONTH", row)
	if text == nil {
		text = t.field("DATE", row)
		if i := bytes.LastIndexByte(text, '-'); i >= 0 {
			text = text[i+1:]
		}
	}
	n, ok := integer(text)
	return n, ok && n >= 1 && n <= 12
}

// readNormals reads the twelve months.
func readNormals(in *lines, c *collector) (months [12]Month, all stations, at place, name string, err error) {
	line, err := in.next()
	if err != nil {
		return months, all, at, name, err
	}
	t, ok := normalTableOf(line)
	if !ok {
		return months, all, at, name, refuse("no-header", nil, "names no column DATE; give the file of monthly normals as the service writes it.")
	}
	var row [][]byte
	for {
		line, err := in.next()
		if err == io.EOF {
			return months, all, at, name, all.refusal(c.options.Station)
		}
		if err != nil {
			return months, all, at, name, err
		}
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		c.rows++
		if c.hopeless() {
			return months, all, at, name, c.malformedRefusal(brokenRow{})
		}
		var whole bool
		row, whole = split(line, ',', row)
		if !whole || len(row) != t.width {
			c.malformed(in.number)
			continue
		}
		if station := t.field("STATION", row); station != nil && !all.wanted(station, c.options.Station) {
			continue
		}
		month, ok := t.month(row)
		if !ok {
			c.malformed(in.number)
			continue
		}
		t.where(row, &at, &name)
		t.take(row, &months[month-1], c)
	}
}

func (t normalTable) where(row [][]byte, at *place, name *string) {
	if *name == "" {
		*name = shortened(t.field("NAME", row))
	}
	if at.known {
		return
	}
	lat, first := number(t.field("LATITUDE", row), false)
	lon, second := number(t.field("LONGITUDE", row), false)
	if first == value && second == value {
		at.set(lat, lon)
	}
	if alt, got := number(t.field("ELEVATION", row), false); got == value {
		at.setAltitude(alt)
	}
}

func (t normalTable) take(row [][]byte, m *Month, c *collector) {
	for _, col := range normalColumns {
		v, got := number(t.field(col.name, row), false)
		if got != value {
			continue
		}
		rainy := col.name == "MLY-PRCP-NORMAL"
		switch {
		case v == -7777: // too little to count
			v = 0
		case v <= -5555:
			continue
		}
		if flag := t.field("MEAS_FLAG_"+col.name, row); len(flag) > 0 && flag[0] == 'M' {
			continue
		}
		v = col.metric(v, t.whole)
		if rainy && (v < 0 || v > 3000) || !rainy && !c.possible(high, v) {
			continue
		}
		figure := col.pick(m)
		if figure.Known() {
			if figure.Value == v {
				c.dropped.Repeated++
			} else {
				c.dropped.Conflict++
			}
			continue
		}
		years, ok := integer(t.field("YEARS_"+col.name, row))
		if !ok || years == 0 {
			years = NormalYears
		}
		*figure = Figure{Value: v, Years: years}
	}
}
