package weather

import (
	"math"

	"henyear/climate"
	"henyear/measure"
)

const (
	slots = measure.SlotsPerYear
	// daysForWeek of the seven days must be there for the mean of a week.
	daysForWeek = 5
	// Spread needs whole years to compare: below yearsForSpread there is none,
	// below yearsForTrust it is rough (guesses, key weather_limits).
	yearsForSpread = 5
	yearsForTrust  = 15
	// fewDays is the share of a year that may lack from a whole number of years.
	fewDays = 0.25
	// Neighbouring weeks are pooled, with weights that fall on a line to zero, since
	// thirty winters give one week thirty values only (guess, key weather_pooling).
	poolSD          = 5 // slots to where the weight is zero
	poolPersistence = 9
)

// Spread is how the weather of a place strays from its usual course: what a
// simulation of years needs beside the normals. The usual course is the smooth one
// of climate.Place.Year, made from the record's own months, so that course plus
// spread is the weather. Index is the slot of the steady year.
type Spread struct {
	DaySDC  [slots]float64 `json:"day_sd_c"`  // of one day's mean about the course
	HighSDC [slots]float64 `json:"high_sd_c"` // of one day's high
	LowSDC  [slots]float64 `json:"low_sd_c"`  // of one night's low
	WeekSDC [slots]float64 `json:"week_sd_c"` // of a week's mean
	// WeekPersistence is the correlation of a week's deviation with that of the week
	// before it.
	WeekPersistence [slots]float64 `json:"week_persistence"`
	// Persistence is the same over all weeks, DayPersistence that from day to day;
	// each with its standard error.
	Persistence      float64 `json:"persistence"`
	PersistenceSE    float64 `json:"persistence_se"`
	DayPersistence   float64 `json:"day_persistence"`
	DayPersistenceSE float64 `json:"day_persistence_se"`
	Years            float64 `json:"years"` // of days that stand behind it
	Rough            bool    `json:"rough"` // fewer than fifteen years
	SourceKey        string  `json:"source"`
}

// SpreadKey is the source of a spread and of a place out of a weather file.
const SpreadKey = "weather_file"

// NextWeek walks a simulation on by one week: from the deviation of the last week,
// in standard deviations, and a standard normal draw, to the deviation of the week
// in the slot (0 to 51). Times WeekSDC it is in C.
func (s *Spread) NextWeek(slot int, last, draw float64) float64 {
	rho := s.WeekPersistence[slot]
	return rho*last + math.Sqrt(1-rho*rho)*draw
}

// slotOf is the slot in which a day of the year (0 to 365) falls.
func slotOf(yearDay int) int { return min(slots-1, int(float64(yearDay)/measure.DaysPerSlot)) }

// course is a smooth yearly course given at the middles of the slots.
type course [slots]float64

// on is its value on a day of the year (0 to 365), on a line between the middles.
func (c *course) on(yearDay int) float64 {
	at := (float64(yearDay)+0.5)/measure.DaysPerSlot - 0.5
	i := int(math.Floor(at))
	share := at - float64(i)
	return c[(i+slots)%slots]*(1-share) + c[(i+1+slots)%slots]*share
}

// coursesOf are the smooth courses of mean, high and low through twelve months.
func coursesOf(months [12]Month) (mean, high, low course, ok bool) {
	var p climate.Place
	for m := range months {
		if !months[m].HighC.Known() || !months[m].LowC.Known() {
			return mean, high, low, false
		}
		p.MaxC[m], p.MinC[m] = months[m].HighC.Value, months[m].LowC.Value
	}
	for i, w := range p.Year() {
		mean[i], high[i], low[i] = w.MeanC, w.MaxC, w.MinC
	}
	return mean, high, low, true
}

// sums are sums for a standard deviation about zero and for a correlation with the
// value before.
type sums struct{ n, squares, pairs, products, before, now float64 }

func (s *sums) add(v float64) {
	if given(v) {
		s.n++
		s.squares += v * v
	}
}

func (s *sums) pair(before, now float64) {
	if given(before) && given(now) {
		s.pairs++
		s.products += before * now
		s.before += before * before
		s.now += now * now
	}
}

func (s *sums) plus(t sums, weight float64) {
	s.n += weight * t.n
	s.squares += weight * t.squares
	s.pairs += weight * t.pairs
	s.products += weight * t.products
	s.before += weight * t.before
	s.now += weight * t.now
}

func (s *sums) sd() float64 {
	if s.n == 0 {
		return 0
	}
	return math.Sqrt(s.squares / s.n)
}

// correlation of neighbours, and its standard error in a series that decays by it.
func (s *sums) correlation() (rho, se float64) {
	if s.before <= 0 || s.now <= 0 {
		return 0, 0
	}
	rho = s.products / math.Sqrt(s.before*s.now)
	return rho, math.Sqrt((1 - rho*rho) / s.pairs)
}

// pooled adds up each slot and its neighbours, with weights that fall to zero at
// reach.
func pooled(raw [slots]sums, reach int) (out [slots]sums) {
	for i := range out {
		for k := -reach + 1; k < reach; k++ {
			out[i].plus(raw[(i+k+slots)%slots], 1-math.Abs(float64(k))/float64(reach))
		}
	}
	return out
}

// Spread works out how days and weeks stray. It needs five years of days; a typical
// year and a table of months have none. The error says so.
func (r *Record) Spread() (*Spread, error) {
	if r.Normals != nil || r.Typical {
		return nil, refuse("spread-none", nil, "%s has one usual year only; how far years stray from it cannot be told.", r.subject())
	}
	days := r.used()
	n := 0
	for _, d := range days {
		if given(d.MeanC) {
			n++
		}
	}
	years := float64(n) / measure.DaysPerYear
	if years < yearsForSpread-fewDays {
		return nil, refuse("spread-short", map[string]any{"years": years},
			"%s has %.1f years of days; how far years stray from the usual can be told from five, well from fifteen.", r.subject(), years)
	}
	mean, high, low, ok := coursesOf(monthsOf(days))
	if !ok {
		return nil, refuse("spread-months", nil, "%s lacks highs or lows of whole months of the year.", r.subject())
	}
	s := spreadOf(seriesOf(days, false), mean, high, low)
	s.Years, s.Rough, s.SourceKey = years, years < yearsForTrust-fewDays, SpreadKey
	return s, nil
}

func spreadOf(values series, mean, high, low course) *Spread {
	var day, top, bottom, week [slots]sums
	var allDays, allWeeks sums
	lastDay, lastWeek := nan, nan
	weekSum, weekDays := 0.0, 0
	year, yearDay := values.first.Year, values.first.YearDay()-1
	for i := range values.mean {
		slot := slotOf(yearDay)
		off := values.mean[i] - mean.on(yearDay)
		day[slot].add(off)
		top[slot].add(values.high[i] - high.on(yearDay))
		bottom[slot].add(values.low[i] - low.on(yearDay))
		allDays.pair(lastDay, off)
		lastDay = off
		if given(off) {
			weekSum += off
			weekDays++
		}
		if yearDay++; yearDay == daysOfYear(year) {
			year, yearDay = year+1, 0
		}
		if next := slotOf(yearDay); next != slot {
			weekOff := nan
			if weekDays >= daysForWeek {
				weekOff = weekSum / float64(weekDays)
			}
			week[slot].add(weekOff)
			week[slot].pair(lastWeek, weekOff)
			allWeeks.pair(lastWeek, weekOff)
			lastWeek, weekSum, weekDays = weekOff, 0, 0
		}
	}
	s := &Spread{}
	s.Persistence, s.PersistenceSE = allWeeks.correlation()
	s.DayPersistence, s.DayPersistenceSE = allDays.correlation()
	day, top, bottom = pooled(day, poolSD), pooled(top, poolSD), pooled(bottom, poolSD)
	weekSD, weekPairs := pooled(week, poolSD), pooled(week, poolPersistence)
	for i := range slots {
		s.DaySDC[i], s.HighSDC[i], s.LowSDC[i], s.WeekSDC[i] = day[i].sd(), top[i].sd(), bottom[i].sd(), weekSD[i].sd()
		rho, _ := weekPairs[i].correlation()
		s.WeekPersistence[i] = min(0.95, max(-0.95, rho))
	}
	return s
}
