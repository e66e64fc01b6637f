package climate

import (
	"fmt"
	"math"
	"time"

	"henyear/measure"
)

// What the spread of a place may be: less than a tenth of a degree no weather has,
// and more than 15 C no place (guesses; the greatest in the rule of Place.Year is
// 8.5 C).
const (
	LeastStrayC, MostStrayC = 0.1, 15
	LeastMemory, MostMemory = -0.5, 0.98
	weekOverDay             = 1.1 // a week's mean strays less than a day; records round
)

// WeekAboveDay is the first month (0 is January) in which the mean of a week is told
// to stray more than that of a day, which cannot be; -1 when there is none.
func (t *Stray) WeekAboveDay() int {
	for m := range 12 {
		if t.DayC[m] > 0 && t.WeekC[m] > weekOverDay*t.DayC[m] {
			return m
		}
	}
	return -1
}

// faults says what cannot be true; months that are zero are not told.
func (t *Stray) faults() []error {
	var list []error
	for _, part := range []struct {
		name   string
		months [12]float64
	}{{"a day's mean", t.DayC}, {"a day's high", t.HighC}, {"a night's low", t.LowC}, {"a week's mean", t.WeekC}} {
		for m, v := range part.months {
			if v != 0 && !(v >= LeastStrayC && v <= MostStrayC) {
				list = append(list, fmt.Errorf("%s: a spread of %g C of %s is outside %g to %d C", time.Month(m+1), v, part.name, LeastStrayC, MostStrayC))
			}
		}
	}
	for _, v := range []float64{t.WeekMemory, t.DayMemory} {
		if math.IsNaN(v) || v < LeastMemory || v > MostMemory {
			list = append(list, fmt.Errorf("a memory of %g is outside %g to %g", v, LeastMemory, MostMemory))
		}
	}
	if m := t.WeekAboveDay(); m >= 0 {
		list = append(list, fmt.Errorf("%s: the mean of a week cannot stray more (%g C) than one day (%g C)", time.Month(m+1), t.WeekC[m], t.DayC[m]))
	}
	return list
}

// orTold is the weekly course of a spread told for all twelve months, or usual.
func orTold(months [12]float64, usual [measure.SlotsPerYear]float64) [measure.SlotsPerYear]float64 {
	for _, v := range months {
		if !(v > 0) {
			return usual
		}
	}
	course := weekly(months)
	for i := range course {
		course[i] = max(LeastStrayC, course[i]) // the smooth course may dip between two months
	}
	return course
}
