package weather

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"henyear/measure"
)

// settleUnits finds the unit of columns that do not state it. One and the same
// order form delivers tenths of C, C or F under the same names, so the figures
// decide, where they can:
//
//	almost all above 200                          kelvin
//	whole numbers beyond -80 or 125               tenths of C
//	decimals, 60 and less                         C
//	60 to 115, decimals or a whole year           F, unless days span more than 45
//	whole numbers, a whole year, 50 and less      C
//
// at the 1st and 99th of a hundred figures; else the file is refused and the keeper
// asked. Weather of every place of the catalogue, written in each way, is read right
// or asked about. Rain and wind go with the temperatures: tenths with tenths, inches and
// miles an hour with F, mm and m/s with C.
func (r *Record) settleUnits(t *tableReader, c *collector) error {
	if c.unsure == [quantities]bool{} {
		return nil
	}
	names := strings.Join(t.layout.unsureNames(), ", ")
	args := map[string]any{"columns": names}
	for q := range quantities {
		if c.unsure[q] && c.sure[q] {
			return refuse("units-mixed", args, "has one and the same column with and without a unit; divide it into two files.")
		}
	}
	found, why, ok := c.openUnits(t.inMonths)
	if !ok {
		return refuse("units-unknown", args,
			"does not say in which units its columns %s are, and the figures fit more than one; say whether they are metric (C, mm), us (F, inches) or tenths (of C and mm).", names)
	}
	c.convert(found)
	args["units"] = string(found)
	r.tell("units-found", args, "The file does not state the units of %s; they were taken as %s, because %s.", names, unitNames[found], why)
	return nil
}

const kelvin Units = "kelvin"

var unitNames = map[Units]string{Metric: "C, mm and m/s", US: "F, inches and miles an hour", Tenths: "tenths of C, of mm and of m/s", kelvin: "kelvin"}

// openUnits judges the temperatures that wait for a unit. Without any, rain and
// wind alone cannot tell.
func (c *collector) openUnits(months bool) (u Units, why string, ok bool) {
	figures, days, ranges, whole := c.openFigures()
	if len(figures) == 0 {
		return AsFound, "", false
	}
	least, most := figures[len(figures)/100], figures[len(figures)-1-len(figures)/100]
	span := fmt.Sprintf("they run from %g to %g", least, most)
	aYear := days >= 300 || months && days >= 12
	switch {
	case least > 200 && most < 340 && !whole:
		return kelvin, span, true
	case whole && (most > 125 || least < -80):
		return Tenths, span + " in whole numbers", true
	case most > 115 || least < -80 || quantile(ranges, 0.5) > 45:
		return AsFound, "", false
	case most > 60 && (!whole || aYear):
		return US, span, true
	case !whole:
		return Metric, span + " with decimals", true
	case aYear && most <= 50:
		return Metric, span + " through the year", true
	}
	return AsFound, "", false
}

// openFigures lists the waiting temperatures in order, on how many days of the year
// they fall, high less low of the days in order, and whether all are whole numbers.
func (c *collector) openFigures() (figures []float64, days int, ranges []float64, whole bool) {
	whole = true
	var seen [366]bool
	c.each(func(_, yearDay int, at *cell) {
		if c.unsure[high] && c.unsure[low] && at.has[high] && at.has[low] {
			ranges = append(ranges, at.values[high]-at.values[low])
		}
		for _, q := range []quantity{high, low, mean, dew} {
			if c.unsure[q] && at.has[q] {
				v := at.values[q]
				figures = append(figures, v)
				whole = whole && v == math.Trunc(v)
				if !seen[yearDay] {
					seen[yearDay] = true
					days++
				}
			}
		}
	})
	slices.Sort(figures)
	slices.Sort(ranges)
	return figures, days, ranges, whole
}

// convert turns what was kept as written into metric units, and drops what turns
// out impossible.
func (c *collector) convert(u Units) {
	c.each(func(_, _ int, at *cell) {
		for q := range quantities {
			if !c.unsure[q] || !at.has[q] {
				continue
			}
			by := unitBy(u, q)
			if u == kelvin && (q <= dew) {
				by = unitWords["k"]
			}
			if at.values[q] == bareCode && u != Tenths {
				at.has[q] = false
				continue
			}
			at.values[q] = by.metric(at.values[q])
			at.has[q] = c.possible(q, at.values[q])
		}
	})
}

// mostImpossible is the share of impossible temperatures above which the unit, not
// the instrument, is at fault (guess, key weather_limits).
const mostImpossible = 0.01

// plausible refuses files whose figures cannot be what they are said to be.
func (c *collector) plausible() error {
	temps := c.values[high] + c.values[low] + c.values[mean]
	if n := c.dropped.Impossible; n >= 3 && c.worst != 0 && float64(n) > mostImpossible*float64(temps+n) {
		return refuse("units-wrong", map[string]any{"values": n, "example": c.worst},
			"has %d values that are not on this earth, the first a temperature of %.4g C; are its units other than they seem (F, kelvin, or tenths)? State the units.", n, c.worst)
	}
	all := 0
	for _, n := range c.values {
		all += n
	}
	if n := c.dropped.Conflict; n > 20 && n > all/20 {
		return refuse("conflict", map[string]any{"values": n},
			"gives %d values for days that had another value already; are two stations mixed in it, or hours without their time?", n)
	}
	return nil
}

// Bounds beyond which a change of the mean is one of units: between years of a
// station (C), and between the 30 days before and after a day. The mean of a year
// has never moved by half as much, the mean of a month by three quarters. From C to
// F it jumps by 32 + 0.8 C (guess, key weather_limits).
const (
	yearJumpC = 15
	jumpC     = 30
	jumpDays  = 30
)

// mixedUnits refuses a series that jumps from one unit to another.
func mixedUnits(days []Day) error {
	byYear := map[int][]float64{}
	for _, d := range days {
		if given(d.MeanC) {
			byYear[d.Date.Year] = append(byYear[d.Date.Year], d.MeanC)
		}
	}
	coldest, warmest := 0, 0
	means := map[int]float64{}
	for year, values := range byYear {
		if len(values) < 330 {
			continue
		}
		means[year], _ = meanSD(values)
		if coldest == 0 || means[year] < means[coldest] || means[year] == means[coldest] && year < coldest {
			coldest = year
		}
		if warmest == 0 || means[year] > means[warmest] || means[year] == means[warmest] && year < warmest {
			warmest = year
		}
	}
	if means[warmest]-means[coldest] > yearJumpC {
		return refuse("units-mixed", map[string]any{"cold": coldest, "warm": warmest},
			"has a mean of %.1f C in %d and of %.1f C in %d; it seems to mix Celsius and Fahrenheit.", means[coldest], coldest, means[warmest], warmest)
	}
	return jump(days)
}

// jump looks for a day before and after which the mean of a month differs by more
// than weather can.
func jump(days []Day) error {
	var values []float64
	var dates []measure.Date
	for _, d := range days {
		if given(d.MeanC) {
			values, dates = append(values, d.MeanC), append(dates, d.Date)
		}
	}
	before, after := 0.0, 0.0
	for i := range values {
		if i >= 2*jumpDays {
			before -= values[i-2*jumpDays]
		}
		if i >= jumpDays {
			before += values[i-jumpDays]
			after -= values[i-jumpDays]
		}
		after += values[i]
		if i < 2*jumpDays-1 {
			continue
		}
		from, to := dates[i-2*jumpDays+1], dates[i]
		if math.Abs(after-before) > jumpC*jumpDays && to.DaysSince(from) < 2*jumpDays+10 {
			at := dates[i-jumpDays+1]
			return refuse("units-mixed", map[string]any{"date": at.String()},
				"jumps from a mean of %.1f C to %.1f C about %s; it seems to mix Celsius and Fahrenheit.", before/jumpDays, after/jumpDays, at.Words())
		}
	}
	return nil
}
