package climate

import (
	"fmt"
	"math"

	"henyear/measure"
)

// Lamps lengthen the short days of winter, and hens lay on. Three rules of the
// trade bound them: a day of 14 to 16 hours, longer by no more than half an hour
// each week; never a shorter day for hens in lay, or they stop and moult; and no
// longer day before a pullet is 20 weeks old, or she lays too soon and too small.
// The sun keeps no rules, so every week also says when it breaks one by itself.
//
// A zero field asks for its default.
type Lamps struct {
	LatitudeDeg float64
	DayH        float64 // the day to hold, 8 to 18; DefaultLampDayH when zero
	// MostH is the longest day that lamps give, to hold what the sun gave at
	// midsummer; 16 when zero (organic rules allow no more).
	MostH float64
	// SunDeg is the altitude of the sun at which the hens' own day begins and
	// ends; SunUpDeg when zero.
	SunDeg float64
	// EveningShare is the part of lamplight given after dusk, 0 to 1. Morning light
	// is the default: hens then go to roost by daylight and none is caught off the
	// perch when a lamp goes out.
	EveningShare float64
	// HoldLongest keeps a flock in lay at the longest day it has had, up to
	// MostH; else the day falls with the sun until lamps catch it at DayH.
	HoldLongest bool
	Watts       float64 // of all lamps; zero takes WattsM2 and FloorM2
	WattsM2     float64 // DefaultWattsM2 when zero
	FloorM2     float64
	// NoonH is the clock time of solar noon: 12 when zero; see ClockNoonH.
	NoonH float64
}

const (
	DefaultLampDayH = 14.5
	DefaultWattsM2  = 0.4 // light-emitting diodes, about 10 lux at the birds' heads
	LampsMostH      = 16.0
	LampStepH       = 0.5 // the most by which lamps lengthen the day in a week
	LampsFromWeeks  = 20  // age before which lamps lengthen no day
	// RearingH is the day that lamps give growing birds where the sun gives less:
	// enough to eat and drink by, too short to bring on lay (guess).
	RearingH = 8.0
)

// LampWeek is one week of a light programme. Times are hours of the clock, 0 to
// 24; a lamp that does not burn has equal times. A morning lamp goes off when the
// sun is up, an evening lamp goes on at dusk; let them overlap daylight a little.
type LampWeek struct {
	Slot     int // of the steady year, 0 to 51
	AgeWeeks int // of the batch; -1 for a flock of all ages
	NaturalH float64
	SunriseH float64
	SunsetH  float64
	DayH     float64 // what the birds see
	LampH    float64 // hours of lamplight a day

	MorningOnH, MorningOffH float64
	EveningOnH, EveningOffH float64
	KWh                     float64 // of the week
	RiseH                   float64 // against the week before
	// Note is empty, "rearing" where lamps only give growing birds light to eat
	// by, "ramp" while lamps lengthen the day, "hold" while they hold it,
	// "sun-rises-fast" where the sun alone lengthens the day by more than
	// LampStepH, "sun-falls" where a day longer than lamps give grows shorter.
	Note string
}

// LampProgramme is a run of weeks of lamps, and what they come to.
type LampProgramme struct {
	Weeks    []LampWeek
	KWh      float64
	HoursOn  float64 // lamp hours of all weeks
	LampDays float64 // days on which a lamp burns
}

// Check tells what in the programme cannot be done.
func (l Lamps) Check() error {
	switch {
	case math.IsNaN(l.LatitudeDeg) || math.Abs(l.LatitudeDeg) > 90:
		return fmt.Errorf("the latitude must lie between -90 and 90 degrees, not %g", l.LatitudeDeg)
	case l.DayH != 0 && !(l.DayH >= 8 && l.DayH <= 18):
		return fmt.Errorf("a lamp day is between 8 and 18 hours, not %g; hens in lay want 14 to 16", l.DayH)
	case !(l.EveningShare >= 0 && l.EveningShare <= 1):
		return fmt.Errorf("the evening's part of the lamplight is between 0 and 1, not %g", l.EveningShare)
	case l.Watts < 0 || l.WattsM2 < 0 || l.FloorM2 < 0:
		return fmt.Errorf("watts and floor cannot be below zero")
	}
	return nil
}

func orElse(value, instead float64) float64 {
	if value == 0 || math.IsNaN(value) {
		return instead
	}
	return value
}

func (l Lamps) dayH() float64   { return min(18, max(8, orElse(l.DayH, DefaultLampDayH))) }
func (l Lamps) mostH() float64  { return max(l.dayH(), orElse(l.MostH, LampsMostH)) }
func (l Lamps) sunDeg() float64 { return orElse(l.SunDeg, SunUpDeg) }

func (l Lamps) watts() float64 {
	if l.Watts > 0 {
		return l.Watts
	}
	return orElse(l.WattsM2, DefaultWattsM2) * max(0, l.FloorM2)
}

func (l Lamps) naturalH(slot int) float64 {
	slot = (slot%measure.SlotsPerYear + measure.SlotsPerYear) % measure.SlotsPerYear
	return DayLengthH(l.LatitudeDeg, measure.SlotMiddle(slot), l.sunDeg())
}

func (l Lamps) longestH() float64 {
	longest := 0.0
	for slot := range measure.SlotsPerYear {
		longest = max(longest, l.naturalH(slot))
	}
	return longest
}

// Year is the programme of a flock of all ages that is in lay the year round: the
// day never falls below DayH. With HoldLongest it never falls below the longest
// day of the year, 16 hours at most. It has 52 weeks from 1 January.
func (l Lamps) Year() LampProgramme {
	floor := l.dayH()
	if l.HoldLongest {
		floor = max(floor, min(l.mostH(), l.longestH()))
	}
	day := func(slot int) float64 { return max(l.naturalH(slot), floor) }
	y := LampProgramme{}
	for slot := range measure.SlotsPerYear {
		y.add(l, l.week(slot, -1, day(slot), day(slot-1)))
	}
	return y
}

// Batch is the programme of birds hatched in a slot of the steady year, from
// hatch for a number of weeks (520 at most). Before 20 weeks lamps give no more
// than RearingH; from then on they lengthen the day by half an hour a week up to
// DayH and never let it fall again, save where the sun alone gave more than
// MostH. Sums cover the whole span of weeks.
func (l Lamps) Batch(hatchSlot, weeks int) LampProgramme {
	y := LampProgramme{}
	before := max(l.naturalH(hatchSlot-1), RearingH)
	for age := range min(520, max(0, weeks)) {
		natural := l.naturalH(hatchSlot + age)
		day := max(natural, RearingH)
		if age >= LampsFromWeeks {
			wish := max(before, min(before+LampStepH, l.dayH()))
			day = max(natural, min(l.mostH(), wish))
		}
		slot := ((hatchSlot+age)%measure.SlotsPerYear + measure.SlotsPerYear) % measure.SlotsPerYear
		y.add(l, l.week(slot, age, day, before))
		before = day
	}
	return y
}

func (y *LampProgramme) add(l Lamps, w LampWeek) {
	w.KWh = l.watts() / 1000 * w.LampH * measure.DaysPerSlot
	y.KWh += w.KWh
	y.HoursOn += w.LampH * measure.DaysPerSlot
	if w.LampH > 0 {
		y.LampDays += measure.DaysPerSlot
	}
	y.Weeks = append(y.Weeks, w)
}

const sameH = 1e-9

// week sets the lamps of one week about the sun's own day. In the polar night the
// lamps make a day about noon.
func (l Lamps) week(slot, age int, dayH, beforeH float64) LampWeek {
	natural := l.naturalH(slot)
	noon := orElse(l.NoonH, 12)
	w := LampWeek{Slot: slot, AgeWeeks: age, NaturalH: natural, DayH: dayH, RiseH: dayH - beforeH}
	w.LampH = max(0, dayH-natural)
	evening := min(1, max(0, l.EveningShare)) * w.LampH
	rise, set := noon-natural/2, noon+natural/2
	if natural == 0 {
		rise = noon + w.LampH/2 - evening
		set = rise
	}
	w.SunriseH, w.SunsetH = clockH(noon-natural/2), clockH(noon+natural/2)
	w.MorningOnH, w.MorningOffH = clockH(rise-(w.LampH-evening)), clockH(rise)
	w.EveningOnH, w.EveningOffH = clockH(set), clockH(set+evening)
	w.Note = note(w, age)
	return w
}

func note(w LampWeek, age int) string {
	lit := w.LampH > sameH
	switch {
	case lit && age >= 0 && age < LampsFromWeeks:
		return "rearing"
	case lit && w.RiseH > sameH:
		return "ramp"
	case lit && w.RiseH >= -sameH:
		return "hold"
	case w.RiseH > LampStepH+sameH:
		return "sun-rises-fast"
	case w.RiseH < -sameH && (age < 0 || age >= LampsFromWeeks):
		return "sun-falls"
	}
	return ""
}

func clockH(h float64) float64 {
	h = math.Mod(h, 24)
	if h < 0 {
		h += 24
	}
	return h
}

// ClockNoonH is the clock time at which the sun stands highest in a slot, for a
// longitude (east positive) and the hours by which the clock is ahead of UTC.
func ClockNoonH(slot int, longitudeDeg, aheadH float64) float64 {
	day := measure.SlotMiddle((slot%measure.SlotsPerYear + measure.SlotsPerYear) % measure.SlotsPerYear)
	return clockH(12 - longitudeDeg/15 + aheadH - commonYear[(day-1)%365].equationMin/60)
}
