package weather

import (
	"math"
	"slices"

	"henyear/measure"
)

// A quantity is what is measured on a day.
type quantity int

const (
	high quantity = iota
	low
	mean
	dew
	humidity
	rain
	wind
	quantities
)

// earthly are the bounds of what was ever measured, a little beyond the records
// (C, %, mm a day, m/s as a daily mean): values outside are faults of reading or of
// units (key weather_records).
var earthly = [quantities]struct{ least, most float64 }{
	high: {-90, 57}, low: {-90, 57}, mean: {-90, 57}, dew: {-100, 40},
	humidity: {0, 110}, rain: {0, 1900}, wind: {0, 75},
}

// A cell gathers what a file says about one day.
type cell struct {
	values [quantities]float64
	has    [quantities]bool
	hours  *hours
}

// hours gathers the readings of one day.
type hours struct {
	seen        [(24*60 + 63) / 64]uint64 // minutes that had a reading
	n           int                       // readings of temperature
	high, low   float64
	sums        [quantities]float64 // mean holds the sum of the temperatures
	counts      [quantities]int
	anyReadings int
}

// A collector fills the calendar of a file.
type collector struct {
	options Options
	years   map[int]*[366]cell
	today   moment
	dropped Dropped
	rows    int // lines of data
	values  [quantities]int
	// unsure are the quantities whose unit the header leaves open: they are kept as
	// written until all are there.
	unsure  [quantities]bool
	sure    [quantities]bool
	worst   float64 // the first impossible temperature, for the message
	badLine int     // the first line that cannot be read
	// faces of the file that end in notes
	earlyHighs, timedHighs int // highs read before noon, and with any time
	greenwich              bool
	typical                bool
	monthly                bool // the rows are months: rain is a month's
}

func newCollector(o Options) *collector {
	return &collector{options: o, years: map[int]*[366]cell{},
		today: moment{year: o.Today.Year, month: int(o.Today.Month), day: o.Today.Day}}
}

// late reports whether the day lies after today.
func (c *collector) late(m moment) bool {
	t := c.today
	return m.year > t.year || m.year == t.year && (m.month > t.month || m.month == t.month && m.day > t.day)
}

// accept decides whether a line dated m is of use, and counts it when it is not.
func (c *collector) accept(m moment, line int) bool {
	if !m.real() {
		c.malformed(line)
		return false
	}
	if !c.typical && c.late(m) {
		c.dropped.Future++
		return false
	}
	return true
}

func (c *collector) malformed(line int) {
	c.dropped.Malformed++
	if c.badLine == 0 {
		c.badLine = line
	}
}

func (c *collector) cell(m moment) *cell {
	year := c.years[m.year]
	if year == nil {
		year = new([366]cell)
		c.years[m.year] = year
	}
	return &year[m.yearDay()]
}

// put notes a daily value in its final unit. m must be real.
func (c *collector) put(m moment, q quantity, v float64) {
	if !c.possible(q, v) {
		return
	}
	c.sure[q] = true
	c.set(m, q, v)
}

// putRaw notes a daily value whose unit is not known yet.
func (c *collector) putRaw(m moment, q quantity, v float64) {
	c.unsure[q] = true
	c.set(m, q, v)
}

func (c *collector) set(m moment, q quantity, v float64) {
	at := c.cell(m)
	switch {
	case !at.has[q]:
		at.values[q], at.has[q] = v, true
		c.values[q]++
	case at.values[q] == v:
		c.dropped.Repeated++
	default:
		c.dropped.Conflict++
	}
}

// possible checks a value against the bounds of the earth, and counts it when it
// lies outside.
func (c *collector) possible(q quantity, v float64) bool {
	most := earthly[q].most
	if c.monthly && q == rain {
		most *= 5
	}
	if v >= earthly[q].least && v <= most {
		return true
	}
	if q <= mean && c.worst == 0 {
		c.worst = v
	}
	c.dropped.Impossible++
	return false
}

// at opens the readings of a moment, or returns nil when that minute had one
// already.
func (c *collector) at(m moment) *hours {
	day := c.cell(m)
	if day.hours == nil {
		day.hours = new(hours)
	}
	minute := min(max(m.minute, 0), 24*60-1)
	bit := uint64(1) << (minute % 64)
	if day.hours.seen[minute/64]&bit != 0 {
		c.dropped.Repeated++
		return nil
	}
	day.hours.seen[minute/64] |= bit
	day.hours.anyReadings++
	return day.hours
}

// take adds a reading; q is mean for the air temperature.
func (c *collector) take(h *hours, q quantity, v float64) {
	if !c.possible(q, v) {
		return
	}
	if q == mean {
		if h.n == 0 {
			h.high, h.low = v, v
		}
		h.high, h.low = max(h.high, v), min(h.low, v)
		h.n++
		c.values[mean]++
	}
	h.sums[q] += v
	h.counts[q]++
}

// each calls do for every day with something in it, in the order of the calendar.
func (c *collector) each(do func(year, yearDay int, at *cell)) {
	years := make([]int, 0, len(c.years))
	for y := range c.years {
		years = append(years, y)
	}
	slices.Sort(years)
	for _, y := range years {
		for d := range daysOfYear(y) {
			at := &c.years[y][d]
			if at.hours != nil || at.has != [quantities]bool{} {
				do(y, d, at)
			}
		}
	}
}

// fewReadings is the share of the usual number of readings below which a day is
// left out, and leastReadings the number below which highs and lows cannot be
// told from readings at all (guesses, key weather_limits).
const (
	fewReadings   = 0.8
	leastReadings = 8
)

// daysFromHours turns readings into daily values, where the file gives none itself.
func (c *collector) daysFromHours() {
	tally := map[int]int{}
	c.each(func(_, _ int, at *cell) {
		if at.hours != nil {
			tally[at.hours.anyReadings]++
		}
	})
	usual, most := 0, 0
	for n, days := range tally {
		if days > most || days == most && n > usual {
			usual, most = n, days
		}
	}
	least := max(leastReadings, int(fewReadings*float64(usual)+0.5))
	c.each(func(_, _ int, at *cell) {
		h := at.hours
		if h == nil {
			return
		}
		offer := func(q quantity, v float64) {
			if !at.has[q] {
				at.values[q], at.has[q] = v, true
			}
		}
		if h.n >= least {
			offer(high, h.high)
			offer(low, h.low)
			offer(mean, h.sums[mean]/float64(h.n))
		} else {
			c.dropped.ThinDays++
		}
		for _, q := range []quantity{dew, humidity, wind} {
			if h.counts[q] >= least {
				offer(q, h.sums[q]/float64(h.counts[q]))
			}
		}
		if h.counts[rain] >= least {
			offer(rain, h.sums[rain])
		}
		at.hours = nil
	})
}

// days builds the list of days out of the calendar.
func (c *collector) days() []Day {
	var list []Day
	c.each(func(year, yearDay int, at *cell) {
		if at.has[high] && at.has[low] && at.values[high] < at.values[low] {
			at.has[high], at.has[low] = false, false
			c.dropped.Crossed++
		}
		if d := dayOf(onYearDay(year, yearDay), at); !d.empty() {
			list = append(list, d)
		}
	})
	return list
}

func dayOf(date measure.Date, at *cell) Day {
	get := func(q quantity) float64 {
		if !at.has[q] {
			return nan
		}
		return at.values[q]
	}
	d := Day{Date: date, HighC: get(high), LowC: get(low), MeanC: get(mean),
		HumidityPct: min(100, get(humidity)), RainMM: get(rain), WindMS: get(wind)}
	if at.has[high] && at.has[low] {
		d.MeanC = (d.HighC + d.LowC) / 2
	}
	if !at.has[humidity] && at.has[dew] && given(d.MeanC) {
		d.HumidityPct = humidityOf(d.MeanC, at.values[dew])
	}
	return d
}

func given(v float64) bool { return v == v }

// empty reports whether nothing is known of the day.
func (d Day) empty() bool {
	return !given(d.HighC) && !given(d.LowC) && !given(d.MeanC) && !given(d.HumidityPct) && !given(d.RainMM) && !given(d.WindMS)
}

// humidityOf is the relative humidity over water, in percent, of air at tempC with
// the dew point dewC (FAO Irrigation and Drainage Paper 56, equation 11).
func humidityOf(tempC, dewC float64) float64 {
	return min(100, 100*vapourKPa(dewC)/vapourKPa(tempC))
}

func vapourKPa(tempC float64) float64 { return 0.6108 * math.Exp(17.27*tempC/(tempC+237.3)) }
