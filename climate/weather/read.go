package weather

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"

	"henyear/measure"
)

var nan = math.NaN()

// Read reads a weather file to its end and says what was in it. It finds out the
// kind from the content. The error is a *Refusal, whose text a keeper can act on;
// with it comes no record: nothing is half-read. Options.Today must be a date.
func Read(from io.Reader, o Options) (*Record, error) {
	r, err := read(from, o)
	if err == nil {
		return r, nil
	}
	var told *Refusal
	if !errors.As(err, &told) {
		told = refuse("unreadable", nil, "could not be read: %v.", err)
	}
	told.Text = subject(o.Name) + " " + told.Text
	if told.Args == nil {
		told.Args = map[string]any{}
	}
	told.Args["name"] = o.Name
	return nil, told
}

func read(from io.Reader, o Options) (*Record, error) {
	if o.Today.IsZero() {
		return nil, refuse("no-today", nil, "cannot be read without the date of today.")
	}
	in, err := openText(from, o.MaxBytes)
	if err != nil {
		return nil, err
	}
	head, err := in.head()
	if err != nil {
		return nil, err
	}
	c := newCollector(o)
	var r *Record
	switch first := firstLine(head); {
	case epwLocation(first):
		r, err = fromEPW(in, c)
	case normalHeader(first):
		r, err = fromNormals(in, c)
	case otherNormals(first):
		return nil, refuse("other-normals", nil, "holds daily, hourly or yearly normals; fetch the monthly normals of the station.")
	case stationHeader(first), stationLine(first):
		r, err = fromStations(ByStation, readByStation, in, c)
	case fixedLine(first):
		r, err = fromStations(FixedWidth, readFixed, in, c)
	default:
		r, err = fromTable(in, c)
	}
	if err != nil {
		return nil, err
	}
	return r.finish(in, c)
}

// firstLine is the first line with something in it.
func firstLine(head []byte) []byte {
	head = bytes.TrimLeft(head, " \t\r\n\ufeff")
	if end := bytes.IndexAny(head, "\r\n"); end >= 0 {
		head = head[:end]
	}
	return head
}

func fromEPW(in *lines, c *collector) (*Record, error) {
	at, name, years, err := readEPW(in, c)
	if err != nil {
		return nil, err
	}
	c.daysFromHours()
	r := &Record{Kind: TypicalYear, Station: name, At: at.location(), Typical: true}
	r.tell("hourly", nil, hourlyNote)
	r.tellYears(slices.Sorted(maps.Keys(years)))
	return r, nil
}

func fromStations(kind Kind, reader func(*lines, *collector) (stations, error), in *lines, c *collector) (*Record, error) {
	all, err := reader(in, c)
	if err != nil {
		return nil, err
	}
	return &Record{Kind: kind, Station: all.chosen(c.options.Station)}, nil
}

func fromNormals(in *lines, c *collector) (*Record, error) {
	months, all, at, name, err := readNormals(in, c)
	if err != nil {
		return nil, err
	}
	return &Record{Kind: USNormals, Station: joined(all.chosen(c.options.Station), name), At: at.location(), Normals: &months}, nil
}

func fromTable(in *lines, c *collector) (*Record, error) {
	t := &tableReader{in: in, c: c, stated: c.options.Units != AsFound}
	if err := t.read(); err != nil {
		return nil, err
	}
	if err := c.tooBroken(t.broken); err != nil {
		return nil, err
	}
	r := &Record{Kind: DailyTable, Station: joined(t.stations.chosen(c.options.Station), t.name), At: t.at.location()}
	if t.inHours {
		r.Kind = HourlyTable
		c.daysFromHours()
		r.tell("hourly", nil, hourlyNote)
	}
	if err := r.settleUnits(t, c); err != nil {
		return nil, err
	}
	if t.inMonths {
		r.Kind = MonthlyTable
		months := c.months(t.normals)
		r.Normals = &months
	}
	for _, name := range t.layout.idle {
		r.tell("column-idle", map[string]any{"column": name}, "The column %q was passed over, because an earlier one holds the same.", name)
	}
	return r, nil
}

const hourlyNote = "Highs and lows come from readings at fixed times, which miss the true peaks by half a degree to a degree; nothing was added for that."

// tellYears says which years an EPW file is made of.
func (r *Record) tellYears(years []int) {
	args := map[string]any{"years": years}
	switch len(years) {
	case 0:
	case 1:
		r.tell("epw-one-year", args, "The file holds the hours of the single year %d, not of a usual one.", years[0])
	default:
		r.tell("epw-typical", args, "The file is a typical year put together from months of %d years between %d and %d; it has usual weather, but neither the extremes nor the spread of real years.",
			len(years), years[0], years[len(years)-1])
	}
}

func joined(code, name string) string {
	switch {
	case code == "":
		return name
	case name == "":
		return code
	}
	return code + " " + name
}

func (r *Record) tell(code string, args map[string]any, format string, a ...any) {
	r.Notes = append(r.Notes, note(code, args, format, a...))
}

// finish checks the whole and writes the notes.
func (r *Record) finish(in *lines, c *collector) (*Record, error) {
	o := c.options
	r.Name = o.Name
	if in.cut && c.dropped.Malformed > 0 && c.badLine == in.number {
		c.dropped.Malformed--
		r.tell("cut", map[string]any{"line": in.number}, "The file breaks off in the middle of line %d; fetch it again if years are missing at its end.", in.number)
	}
	if err := c.tooBroken(brokenRow{}); err != nil {
		return nil, err
	}
	if r.Normals == nil {
		r.Days = c.days()
		if r.Kind == TypicalYear {
			r.dropSilentRain()
		}
	}
	r.Dropped = c.dropped
	if err := c.plausible(); err != nil {
		return nil, err
	}
	if err := r.anything(c); err != nil {
		return nil, err
	}
	if err := mixedUnits(r.Days); err != nil {
		return nil, err
	}
	if o.At != nil {
		at := *o.At
		r.At = &at
	}
	r.period()
	r.tellReading(in, c)
	return r, nil
}

// dropSilentRain takes the rain away from a typical year that has none in any hour:
// most makers leave the field at zero.
func (r *Record) dropSilentRain() {
	sum := 0.0
	for _, d := range r.Days {
		if given(d.RainMM) {
			sum += d.RainMM
		}
	}
	if sum > 0 {
		return
	}
	for i := range r.Days {
		r.Days[i].RainMM = nan
	}
	r.tell("epw-rain", nil, "The file gives no rain in any hour; that is taken as rain not given, since most files of this kind leave it out.")
}

// anything refuses a file without any value.
func (r *Record) anything(c *collector) error {
	if r.Normals != nil {
		for _, m := range r.Normals {
			if m.HighC.Known() || m.LowC.Known() {
				return nil
			}
		}
	}
	if len(r.Days) > 0 {
		return nil
	}
	args := map[string]any{"rows": c.rows, "future": c.dropped.Future, "flagged": c.dropped.Flagged}
	switch {
	case c.rows == 0:
		return refuse("no-rows", args, "names its columns but has no line of figures.")
	case c.dropped.Future > 0 && c.dropped.Future+c.dropped.Malformed >= c.rows:
		return refuse("all-future", args, "has only days after today (%s); a forecast is no record.", c.options.Today)
	}
	return refuse("all-missing", args, "has %d lines of figures, but not one value that can be used: all are missing, flagged as doubtful, or impossible.", c.rows)
}

// period sets the years in use: the last thirty with data.
func (r *Record) period() {
	if len(r.Days) == 0 {
		return
	}
	last := r.Days[len(r.Days)-1].Date.Year
	r.To = measure.Date{Year: last, Month: 12, Day: 31}
	first := max(r.Days[0].Date.Year, last-NormalYears+1)
	// A last year that has only begun does not push a whole one out.
	if end := r.Days[len(r.Days)-1].Date; end.Month < 12 && last-NormalYears >= r.Days[0].Date.Year {
		first = last - NormalYears
	}
	r.From = measure.Date{Year: first, Month: 1, Day: 1}
}

// hopeless stops reading a file of which half cannot be read.
func (c *collector) hopeless() bool {
	return c.dropped.Malformed > 1000 && c.dropped.Malformed > c.rows/2
}

// mostMalformed is the share of lines that may be unreadable before the file is
// refused (guess, key weather_limits).
const mostMalformed = 0.1

func (c *collector) tooBroken(b brokenRow) error {
	if c.dropped.Malformed > 0 && float64(c.dropped.Malformed) > mostMalformed*float64(c.rows) {
		return c.malformedRefusal(b)
	}
	return nil
}

func (c *collector) malformedRefusal(b brokenRow) error {
	why := fmt.Sprintf("the first is line %d", c.badLine)
	if b.line > 0 {
		why = b.sentence()
	}
	return refuse("malformed", map[string]any{"lines": c.dropped.Malformed, "first": c.badLine},
		"has %d lines of %d that cannot be read: %s.", c.dropped.Malformed, c.rows, why)
}
