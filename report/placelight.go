package report

import (
	"math"
	"time"

	"henyear/climate"
	"henyear/holding"
	"henyear/measure"
)

// PlaceLight is the day through the year, and what lamps would do with it.
type PlaceLight struct {
	ShortestH    float64 `json:"shortest_sun_h"`
	LongestH     float64 `json:"longest_sun_h"`
	Shortest     string  `json:"shortest_week_of"`
	Longest      string  `json:"longest_week_of"`
	PolarNightWk int     `json:"weeks_without_sunrise"`
	PolarDayWk   int     `json:"weeks_without_sunset"`

	Lights      string            `json:"lights"` // what the holding says: none, possible, on
	FloorM2     float64           `json:"floor_m2"`
	Watts       float64           `json:"lamp_watts"`
	PowerPerKWh float64           `json:"power_per_kwh"` // in main units of money; 0 not told
	DayH        float64           `json:"day_held_h"`
	Programmes  []PlaceProgramme  `json:"programmes"`
	Months      []PlaceLampMonth  `json:"lamp_months"`
	Batches     []PlaceLampsBatch `json:"batches"`

	lamps climate.LampProgramme
}

// PlaceProgramme is a year of lamps that hold the day at so many hours, or at the
// longest day of the summer.
type PlaceProgramme struct {
	DayH float64 `json:"day_h"`
	// Longest: the day never falls again from midsummer's, 16 hours at most.
	Longest bool    `json:"held_at_longest"`
	LampH   float64 `json:"lamp_hours_a_year"`
	KWh     float64 `json:"kwh_a_year"`
	Cost    float64 `json:"cost_a_year"`
	// FallWeeks are weeks in which the day still grows shorter for hens in lay.
	FallWeeks int `json:"weeks_of_falling_day"`
}

// PlaceLampMonth is the lamps in the middle of a month. Times are hours of the
// clock on the wall; equal times mean no lamp.
type PlaceLampMonth struct {
	Month    int     `json:"month"`
	SunH     float64 `json:"sun_h"`
	WindowH  float64 `json:"window_h"`
	CivilH   float64 `json:"civil_h"`
	Sunrise  float64 `json:"sunrise_clock_h"`
	Sunset   float64 `json:"sunset_clock_h"`
	LampH    float64 `json:"lamp_h_a_day"`
	On       float64 `json:"lamp_on_clock_h"`
	Off      float64 `json:"lamp_off_clock_h"`
	KWh      float64 `json:"kwh_a_month"`
	Cost     float64 `json:"cost_a_month"`
	NoSunset bool    `json:"no_sunset"`
	NoRise   bool    `json:"no_sunrise"`
}

// PlaceLampsBatch is what lamps do for pullets hatched in the middle of a month.
type PlaceLampsBatch struct {
	HatchMonth int     `json:"hatch_month"`
	AgeWeeks   int     `json:"first_lamp_age_weeks"` // -1: the sun does it all
	From       string  `json:"first_lamp_week_of,omitempty"`
	StartH     float64 `json:"day_at_20_weeks_h"`
	ReachWeeks int     `json:"weeks_to_full_day"` // from the first lamp

	fromSlot int
}

// monthSlot is the slot about the middle of a month, 1 to 12.
func monthSlot(m int) int {
	day := time.Date(2025, time.Month(m), 15, 0, 0, 0, 0, time.UTC).YearDay()
	best := 0
	for slot := range measure.SlotsPerYear {
		if math.Abs(float64(measure.SlotMiddle(slot)-day)) < math.Abs(float64(measure.SlotMiddle(best)-day)) {
			best = slot
		}
	}
	return best
}

// ofMonth sums over the days of a month what is known by the day for each slot.
func ofMonth(m int, aDay func(slot int) float64) float64 {
	sum, n := 0.0, 0.0
	for slot := range measure.SlotsPerYear {
		if int(measure.SlotMonth(slot)) == m {
			sum += aDay(slot)
			n++
		}
	}
	return sum / n * float64(time.Date(2025, time.Month(m)+1, 0, 0, 0, 0, 0, time.UTC).Day())
}

// programmeDays are the days that keepers hold: 14 to 16 hours.
var programmeDays = []float64{14, 14.5, 15, 16}

func (a *PlaceAnswer) light(h *holding.Holding) {
	l := &a.Light
	sun := slotted(a.year, func(w climate.WeekNormal) float64 { return w.SunH })
	short, long := extremes(sun)
	*l = PlaceLight{ShortestH: sun[short], LongestH: sun[long], Shortest: slotDate(short), Longest: slotDate(long),
		Lights: h.Means.Lights, PowerPerKWh: h.Prices.PowerPerKWh, DayH: climate.DefaultLampDayH}
	for _, hours := range sun {
		switch {
		case hours <= 0:
			l.PolarNightWk++
		case hours >= 24:
			l.PolarDayWk++
		}
	}
	for _, house := range h.Means.Houses {
		l.FloorM2 += house.AreaM2
	}
	l.Watts = climate.DefaultWattsM2 * l.FloorM2
	for _, hours := range programmeDays {
		l.programme(a.place.LatitudeDeg, hours, false)
	}
	l.programme(a.place.LatitudeDeg, l.DayH, true)
	l.lamps = a.lampsFor(l.DayH).Year()
	l.months(a, h)
	l.batches(a)
}

func (a *PlaceAnswer) lampsFor(dayH float64) climate.Lamps {
	return climate.Lamps{LatitudeDeg: a.place.LatitudeDeg, DayH: dayH, FloorM2: a.Light.FloorM2}
}

func (l *PlaceLight) programme(latitude, hours float64, longest bool) {
	y := climate.Lamps{LatitudeDeg: latitude, DayH: hours, FloorM2: l.FloorM2, HoldLongest: longest}.Year()
	p := PlaceProgramme{DayH: hours, Longest: longest, LampH: y.HoursOn, KWh: y.KWh, Cost: y.KWh * l.PowerPerKWh}
	for _, w := range y.Weeks {
		if w.RiseH < -1e-9 {
			p.FallWeeks++
		}
	}
	l.Programmes = append(l.Programmes, p)
}

// months sets the lamps to the clock on the wall: the sun's noon there, summer time
// included.
func (l *PlaceLight) months(a *PlaceAnswer, h *holding.Holding) {
	zone, err := time.LoadLocation(h.TimeZone)
	if err != nil {
		zone = time.UTC
	}
	watts := 0.0
	if l.FloorM2 > 0 {
		watts = l.Watts
	}
	for m := 1; m <= 12; m++ {
		slot := monthSlot(m)
		_, offset := time.Date(2025, time.Month(m), 15, 12, 0, 0, 0, zone).Zone()
		noon := climate.ClockNoonH(slot, a.place.LongitudeDeg, float64(offset)/3600)
		w := l.lamps.Weeks[slot]
		clock := func(sunTime float64) float64 { return math.Mod(sunTime+noon-12+48, 24) }
		row := PlaceLampMonth{Month: m, SunH: w.NaturalH, WindowH: a.year[slot].WindowH, CivilH: a.year[slot].CivilH,
			Sunrise: clock(w.SunriseH), Sunset: clock(w.SunsetH), LampH: w.LampH, On: clock(w.MorningOnH), Off: clock(w.MorningOffH),
			NoSunset: w.NaturalH >= 24, NoRise: w.NaturalH <= 0}
		row.KWh = watts / 1000 * ofMonth(m, func(slot int) float64 { return l.lamps.Weeks[slot].LampH })
		row.Cost = row.KWh * l.PowerPerKWh
		l.Months = append(l.Months, row)
	}
}

func (l *PlaceLight) batches(a *PlaceAnswer) {
	lamps := a.lampsFor(l.DayH)
	for m := 1; m <= 12; m++ {
		weeks := lamps.Batch(monthSlot(m), 72).Weeks
		b := PlaceLampsBatch{HatchMonth: m, AgeWeeks: -1, StartH: weeks[climate.LampsFromWeeks].NaturalH}
		for _, w := range weeks[climate.LampsFromWeeks:] {
			if w.LampH <= 1e-9 {
				continue
			}
			if b.AgeWeeks < 0 {
				b.AgeWeeks, b.fromSlot, b.From = w.AgeWeeks, w.Slot, slotDay(w.Slot, 0).Format("--01-02")
			}
			if w.DayH >= l.DayH-1e-9 {
				b.ReachWeeks = w.AgeWeeks - b.AgeWeeks
				break
			}
		}
		l.Batches = append(l.Batches, b)
	}
}

// Lamps draws the day through the year with the lamps that hold it, morning light,
// about the sun's noon.
func (a *PlaceAnswer) Lamps() Drawing {
	l := &a.Light
	weeks := l.lamps.Weeks
	table := Table{Caption: say("lamps.caption", Number(l.DayH, 1)), Head: []Column{{say("column.week_of"), true}, {say("lamps.sun"), false}, {say("lamps.lamp"), false}, {say("lamps.day"), false}, {say("lamps.rise"), false}}}
	for i, w := range weeks {
		table.Rows = append(table.Rows, []string{slotDate(i), Hours(w.NaturalH), Hours(w.LampH), Hours(w.DayH), signedMinutes(w.RiseH)})
	}
	return draw("lamps", say("lamps.title"), l.lampWords(a.Currency), table, func(p *pen) {
		top := p.legend(0, 2, []key{{"sun", say("lamps.key.sun"), false}, {"hot", say("lamps.key.lamp"), false}, {"dark", say("daylight.key.night"), false}})
		f := frame{left: pick(p, 40, 34), right: p.width - 2, top: top + 18, low: 0, high: 24}
		f.bottom = f.top + pick(p, 220, 190)
		p.rect("dark", f.left, f.top, f.right-f.left, f.bottom-f.top)
		at := func(get func(climate.LampWeek) float64) []float64 {
			list := make([]float64, len(weeks))
			for i, w := range weeks {
				list[i] = get(w)
			}
			return list
		}
		p.path("sun", f.blocks(at(func(w climate.LampWeek) float64 { return 12 - w.NaturalH/2 }), at(func(w climate.LampWeek) float64 { return 12 + w.NaturalH/2 })))
		p.path("hot", f.blocks(at(func(w climate.LampWeek) float64 { return max(0, lampFrom(w)) }), at(func(w climate.LampWeek) float64 { return lampFrom(w) + w.LampH })))
		// Far north a lamp that ends at a late sunrise begins the evening before.
		p.path("hot", f.blocks(at(func(w climate.LampWeek) float64 { return 24 + min(0, lampFrom(w)) }), at(func(climate.LampWeek) float64 { return 24 })))
		p.text("label", "start", 0, f.top-9, say("daylight.unit"))
		for _, t := range []float64{0, 6, 12, 18, 24} {
			p.line("rule", f.left, f.y(t), f.right, f.y(t))
			p.text("label", "end", f.left-6, f.y(t)+4, Number(t, 0))
		}
		p.months(f)
		p.height = f.bottom + 24
		p.slots = &slots{f.left, f.right, f.top, f.bottom, len(weeks)}
	})
}

// lampFrom is the hour, the sun's noon being 12, at which the lamp of a week goes on.
func lampFrom(w climate.LampWeek) float64 {
	if w.NaturalH <= 0 {
		return 12 - w.LampH/2
	}
	return 12 - w.NaturalH/2 - w.LampH
}

func (l *PlaceLight) lampWords(c measure.Currency) string {
	kwh, hours := l.lamps.KWh, l.lamps.HoursOn
	first := say("lamps.message", Number(l.DayH, 1), Number(hours, 0))
	if l.FloorM2 <= 0 {
		return first + " " + say("lamps.message.nohouse")
	}
	power := say("lamps.message.power", Number(l.Watts, 1), kWh(kwh))
	if l.PowerPerKWh > 0 {
		power += " " + say("lamps.message.cost", AmountFine(c, kwh*l.PowerPerKWh), AmountFine(c, l.PowerPerKWh))
	} else {
		power += " " + say("lamps.message.noprice")
	}
	return first + " " + power
}

func kWh(x float64) string {
	if x < 9.95 {
		return Number(x, 1) + "\u00a0kWh"
	}
	return Number(x, 0) + "\u00a0kWh"
}

// signedMinutes writes a change of the day as +12 min.
func signedMinutes(h float64) string {
	m := math.Round(h * 60)
	sign := ""
	if m > 0 {
		sign = "+"
	}
	return sign + Number(m, 0) + "\u00a0min"
}

// Clock writes an hour of the clock as 5:40.
func Clock(h float64) string {
	minutes := int(math.Round(h*60)) % (24 * 60)
	if minutes < 0 {
		minutes += 24 * 60
	}
	return time.Date(2025, 1, 1, 0, minutes, 0, 0, time.UTC).Format("15:04")
}

// LampTable is the lamps month by month.
func (a *PlaceAnswer) LampTable() Table {
	l := &a.Light
	t := Table{Caption: say("lamps.months.caption", Number(l.DayH, 1)), Head: []Column{{say("place.month"), true}, {say("lamps.on"), false}, {say("lamps.off"), false}, {say("lamps.rises"), false}, {say("lamps.sets"), false}, {say("lamps.sun"), false}, {say("lamps.kwh"), false}}}
	cost := l.PowerPerKWh > 0 && l.FloorM2 > 0
	if cost {
		t.Head = append(t.Head, Column{say("lamps.cost", a.Currency.Code), false})
	}
	for _, m := range l.Months {
		on, off := say("lamps.none"), say("lamps.none")
		if m.LampH > 1.0/120 {
			on, off = Clock(m.On), Clock(m.Off)
		}
		rises, sets := Clock(m.Sunrise), Clock(m.Sunset)
		switch {
		case m.NoRise:
			rises, sets = say("lamps.no_rise"), say("lamps.no_rise")
		case m.NoSunset:
			rises, sets = say("lamps.no_set"), say("lamps.no_set")
		}
		energy := "–"
		if l.FloorM2 > 0 {
			energy = Number(m.KWh, 1)
		}
		row := []string{time.Month(m.Month).String(), on, off, rises, sets, Hours(m.SunH), energy}
		if cost {
			row = append(row, Number(m.Cost, a.Currency.Exponent))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// ProgrammeTable sets the days that lamps may hold side by side.
func (a *PlaceAnswer) ProgrammeTable() Table {
	l := &a.Light
	t := Table{Caption: say("lamps.programmes"), Head: []Column{{say("lamps.held"), true}, {say("lamps.hours_year"), false}, {say("lamps.kwh"), false}}}
	cost := l.PowerPerKWh > 0 && l.FloorM2 > 0
	if cost {
		t.Head = append(t.Head, Column{say("lamps.cost", a.Currency.Code), false})
	}
	t.Head = append(t.Head, Column{say("lamps.falls"), false})
	for _, p := range l.Programmes {
		name := say("lamps.hold", Number(p.DayH, 1))
		if p.Longest {
			name = say("lamps.hold.longest")
		}
		energy := "–"
		if l.FloorM2 > 0 {
			energy = Number(p.KWh, 1)
		}
		row := []string{name, Number(p.LampH, 0), energy}
		if cost {
			row = append(row, Number(p.Cost, a.Currency.Exponent))
		}
		t.Rows = append(t.Rows, append(row, Number(float64(p.FallWeeks), 0)))
	}
	return t
}

// BatchTable is when pullets of each month get their first lamp.
func (a *PlaceAnswer) BatchTable() Table {
	t := Table{Caption: say("lamps.batches"), Head: []Column{{say("lamps.hatched"), true}, {say("lamps.at20"), false}, {say("lamps.first"), true}, {say("lamps.age"), false}, {say("lamps.reach"), false}}}
	for _, b := range a.Light.Batches {
		row := []string{time.Month(b.HatchMonth).String(), Hours(b.StartH), say("lamps.never"), "–", "–"}
		if b.AgeWeeks >= 0 {
			row = []string{row[0], row[1], slotDate(b.fromSlot), Number(float64(b.AgeWeeks), 0), Number(float64(b.ReachWeeks), 0)}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// LightWords says what is unusual about the light of the place.
func (a *PlaceAnswer) LightWords() []string {
	l := &a.Light
	var out []string
	switch {
	case l.PolarNightWk > 0 || l.PolarDayWk > 0:
		out = append(out, say("light.polar", Number(float64(l.PolarNightWk), 0), Number(float64(l.PolarDayWk), 0)))
	case l.LongestH-l.ShortestH < 2:
		out = append(out, say("light.even", Hours(l.ShortestH), Hours(l.LongestH)))
	}
	if a.place.Southern() {
		out = append(out, say("light.south", l.Shortest, l.Longest))
	}
	falls := 0
	for _, p := range l.Programmes {
		if !p.Longest && p.DayH == l.DayH {
			falls = p.FallWeeks
		}
	}
	if falls > 0 {
		out = append(out, say("light.falls", Number(float64(falls), 0), Number(l.DayH, 1)))
	}
	switch l.Lights {
	case "none":
		out = append(out, say("light.none"))
	case "possible":
		out = append(out, say("light.possible"))
	case "on":
		out = append(out, say("light.on"))
	}
	return out
}
