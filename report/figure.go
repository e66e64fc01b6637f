package report

import (
	"math"
	"strings"

	"henyear/measure"
)

// Number writes x with the given number of decimals and a thin space between
// thousands, and a real minus sign. It never writes NaN: a figure that does not
// exist is a dash.
func Number(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	text := measure.Round(math.Abs(x), decimals)
	whole, fraction, _ := strings.Cut(text, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "\u202f" + whole[i:]
	}
	if fraction != "" {
		whole += "." + fraction
	}
	if x < 0 && strings.Trim(text, "0.") != "" {
		whole = "−" + whole
	}
	return whole
}

// Quantity writes a metric figure in the reader's units, with the unit.
func Quantity(u measure.Units, q measure.Quantity, metric float64, decimals int) string {
	v, unit := u.Show(q, metric)
	return Number(v, decimals) + "\u00a0" + unit
}

// Unit is the name of the reader's unit for a quantity.
func Unit(u measure.Units, q measure.Quantity) string {
	_, unit := u.Show(q, 0)
	return unit
}

// Amount writes a sum in main units of money, whole: 1 204 EUR.
func Amount(c measure.Currency, amount float64) string {
	if math.IsNaN(amount) || math.IsInf(amount, 0) {
		return "–"
	}
	return Number(amount, 0) + "\u00a0" + c.Code
}

// AmountFine writes a sum in main units of money with its decimals.
func AmountFine(c measure.Currency, amount float64) string {
	if math.IsNaN(amount) || math.IsInf(amount, 0) {
		return "–"
	}
	return Number(amount, c.Exponent) + "\u00a0" + c.Code
}

// Percent writes a share as a percentage with one decimal below ten.
func Percent(share float64) string {
	decimals := 0
	if math.Abs(share) < 0.0995 {
		decimals = 1
	}
	return Number(share*100, decimals) + "\u00a0%"
}

// DayMonth writes a date without its year, for a place where the year is known.
func DayMonth(d measure.Date) string {
	if d.IsZero() {
		return "–"
	}
	return Number(float64(d.Day), 0) + " " + d.Month.String()
}

// Day writes a date with its year, and a dash when it was not given.
func Day(d measure.Date) string {
	if d.IsZero() {
		return "–"
	}
	return d.Words()
}

// Limit writes a limit of the plan with its unit, in the reader's units.
func Limit(u measure.Units, limit float64, unit string) string {
	quantity, known := map[string]measure.Quantity{"m2": measure.AreaM2, "kg": measure.MassKg, "l": measure.VolumeL}[unit]
	if known {
		limit, unit = u.Show(quantity, limit)
	}
	decimals := 0
	if limit < 10 && math.Abs(limit-math.Round(limit)) > 0.05 {
		decimals = 1
	}
	return Number(limit, decimals) + "\u00a0" + unit
}
