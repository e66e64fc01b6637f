package advise

import (
	"fmt"
	"math"
	"strings"

	"henyear/measure"
	"henyear/plan"
)

// words says what a change is worth in money a year, and what to do with the
// figure.
func words(w plan.Worth, base *plan.Plan, remark string) string {
	years := yearsOf(base)
	low, high := whole(base.Currency, w.Low/years), whole(base.Currency, w.High/years)
	nothing := whole(base.Currency, 0)
	switch {
	case high == nothing:
		return fmt.Sprintf("Worth less than %s a year.", whole(base.Currency, 1))
	case !w.Known:
		return fmt.Sprintf("Less than we can tell: at most %s a year.", high)
	case low == high:
		return join(fmt.Sprintf("Worth about %s a year.", high), remark)
	case low == nothing:
		return join(fmt.Sprintf("Worth something, at most %s a year.", high), remark)
	}
	low = strings.TrimSuffix(low, " "+base.Currency.Code)
	return join(fmt.Sprintf("Worth between %s and %s a year.", low, high), remark)
}

// keptWords says what the plan that stands gains by a change.
func keptWords(i Improvement, base *plan.Plan) string {
	if !i.KeptKnown {
		return "The plan that stands cannot be carried out as it is with it: its weeks would be others."
	}
	nothing := whole(base.Currency, 0)
	switch amount := whole(base.Currency, math.Abs(i.Kept)/yearsOf(base)); {
	case i.Kept == 0 || amount == nothing:
		return "The plan that stands, carried out as it is, neither gains nor loses money by it."
	case i.Kept > 0:
		return fmt.Sprintf("The plan that stands, carried out as it is, costs %s a year less with it.", amount)
	default:
		return fmt.Sprintf("The plan that stands, carried out as it is, costs %s a year more with it.", amount)
	}
}

func join(sentence, remark string) string { return strings.TrimSpace(sentence + " " + remark) }

func whole(c measure.Currency, amount float64) string { return c.FormatWhole(c.Minor(amount)) }

// yearsOf is the length of a plan in years, a week at least.
func yearsOf(p *plan.Plan) float64 {
	return float64(max(7, p.To.DaysSince(p.From)+1)) / measure.DaysPerYear
}

// size writes a quantity in the keeper's units, to two digits.
func size(u measure.Units, q measure.Quantity, metric float64) string {
	v, unit := u.Show(q, metric)
	return fmt.Sprintf("%g %s", measure.Significant(v, 2), unit)
}

// costWords says what a change may cost to make.
func costWords(base *plan.Plan, i Improvement) string {
	if !i.Guessed {
		return fmt.Sprintf("It costs %s by your own figure.", whole(base.Currency, i.CostLow))
	}
	low := strings.TrimSuffix(whole(base.Currency, i.CostLow), " "+base.Currency.Code)
	return fmt.Sprintf("It may cost between %s and %s to make: a guess; put in your own figure.", low, whole(base.Currency, i.CostHigh))
}
