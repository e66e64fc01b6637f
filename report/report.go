// Package report shows a plan: as text on a terminal, as drawings, and as files
// for a spreadsheet. It computes nothing about birds and reads or writes no
// files.
//
// A drawing is one SVG with its message in words and the table of the same
// figures, made by plain functions of the plan: the same input gives the same
// bytes, on a page, on paper and in a file. Whatever a drawing says by colour
// it says by pattern or by shape too, and the sentence in its description says
// it without eyes.
//
// Every text stands in words.toml under a code; figures are written through
// package measure before they reach a text.
package report

import (
	"henyear/measure"
	"henyear/plan"
)

// weekly collects one figure of every week.
func weekly(p *plan.Plan, pick func(plan.WeekRow) float64) []float64 {
	list := make([]float64, len(p.Weeks))
	for i, w := range p.Weeks {
		list[i] = pick(w)
	}
	return list
}

func highest(lists ...[]float64) float64 {
	high := 0.0
	for _, list := range lists {
		for _, v := range list {
			high = max(high, v)
		}
	}
	return high
}

func firstMonday(p *plan.Plan) measure.Date {
	if len(p.Weeks) == 0 {
		return p.From
	}
	return p.Weeks[0].Date
}

// extremes returns where the lowest and the highest value stand.
func extremes(values []float64) (low, high int) {
	for i, v := range values {
		if v < values[low] {
			low = i
		}
		if v > values[high] {
			high = i
		}
	}
	return low, high
}
