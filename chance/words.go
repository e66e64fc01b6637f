package chance

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// words tells the odds in plain sentences, the most wanted first.
func (w *World) words(o *Odds) []Sentence {
	var out []Sentence
	say := func(code string, args map[string]any, format string, v ...any) {
		out = append(out, Sentence{Code: code, Args: args, Text: fmt.Sprintf(format, v...)})
	}
	r := &o.Risk
	switch {
	case r.Met:
		say("risk_met", map[string]any{"share": r.Share, "accepted": r.Accepted, "weeks": r.ShortWeeksAllowed},
			"In %s more than %s are short of eggs; you accept %s.", inYears(r.Share), shortWeeks(r.ShortWeeksAllowed), ofHundred(r.Accepted))
	default:
		say("risk_not_met", map[string]any{"share": r.Share, "accepted": r.Accepted, "weeks": r.ShortWeeksAllowed},
			"In %s more than %s are short of eggs; that is more than the %s you accept.", inYears(r.Share), shortWeeks(r.ShortWeeksAllowed), ofHundred(r.Accepted))
	}
	if y := w.usualYear(); y >= 0 {
		year := &o.Years[y]
		low, lowMonth := w.leanest(o, y)
		if lowMonth >= 0 {
			name := time.Month(lowMonth).String()
			say("least_month", map[string]any{"year": year.Year, "eggs": low, "month": lowMonth},
				"9 years in 10 the leanest month, %s, gives at least %.0f eggs a week.", name, low)
		}
		say("year_eggs", map[string]any{"year": year.Year, "low": year.Eggs.P05, "high": year.Eggs.P95},
			"In %d the flock lays between %.0f and %.0f eggs, 9 times in 10.", year.Year, year.Eggs.P05, year.Eggs.P95)
		say("year_cost", map[string]any{"year": year.Year, "low": year.Cost.P05, "high": year.Cost.P95, "currency": o.Currency.Code},
			"It costs between %.0f and %.0f %s in that year, eggs bought included and sales taken off, 9 times in 10.", year.Cost.P05, year.Cost.P95, o.Currency.Code)
		say("winter_hens", map[string]any{"year": year.Year, "low": year.HensWinter.P05, "high": year.HensWinter.P95},
			"Between %.0f and %.0f hens go into that winter.", year.HensWinter.P05, year.HensWinter.P95)
	}
	for i := range o.Chance {
		e := &o.Chance[i]
		if e.Code == "short_week" || e.Code == "short_month" || e.Year < 0.005 {
			continue
		}
		say("chance_"+e.Code, map[string]any{"share_a_year": e.Year, "share": e.Share}, "%s: %s.", capital(e.What), inYearsShort(e.Year))
	}
	o.Poor.Words = w.poorWords(&o.Poor)
	return out
}

// usualYear is the second whole year of the plan, when the flock is the plan's own
// and its end is not yet near; the first, where there is only one.
func (w *World) usualYear() int {
	whole := -1
	for y := range w.years {
		if w.part(y) > 0.95 {
			if whole >= 0 {
				return y
			}
			whole = y
		}
	}
	if whole >= 0 {
		return whole
	}
	for y := range w.years {
		if w.judged(y) {
			return y
		}
	}
	return -1
}

// leanest is the month of a year with the least eggs a week, and the eggs a week
// that nine lives in ten reach in it. It reads the tenth percentile between the
// fifth and the twenty-fifth.
func (w *World) leanest(o *Odds, y int) (eggsAWeek float64, month int) {
	month = -1
	for m := range o.Months {
		at := &o.Months[m]
		if at.Year != w.years[y] {
			continue
		}
		weeks := 0.0
		for t := range w.weeks {
			if w.months[t] == m {
				weeks++
			}
		}
		if weeks < 4 {
			continue
		}
		tenth := (0.75*at.Eggs.P05 + 0.25*at.Eggs.P25) / weeks
		if month < 0 || tenth < eggsAWeek {
			eggsAWeek, month = tenth, at.Month
		}
	}
	return eggsAWeek, month
}

func (w *World) poorWords(p *Poor) []Sentence {
	if p.Years == 0 {
		return nil
	}
	if p.ShortWeeks < 0.5 {
		return []Sentence{{Code: "no_poor_years", Text: "Even in the worst twentieth of years hardly a week is short."}}
	}
	out := []Sentence{{Code: "poor_years", Args: map[string]any{"short_weeks": p.ShortWeeks, "bought": p.Bought},
		Text: fmt.Sprintf("In the worst twentieth of years %.0f weeks are short and %.0f eggs are bought.", p.ShortWeeks, p.Bought)}}
	told := 0
	for _, c := range p.Causes {
		if told == 3 || c.Poor-c.All < 0.05 {
			break
		}
		told++
		out = append(out, Sentence{Code: "poor_" + c.Code, Args: map[string]any{"poor": c.Poor, "all": c.All},
			Text: fmt.Sprintf("In %s of them %s (in all years: %s).", ofHundred(c.Poor), c.What, ofHundred(c.All))})
	}
	return out
}

func shortWeeks(k int) string {
	if k == 1 {
		return "1 week"
	}
	return fmt.Sprintf("%d weeks", k)
}

// ofHundred writes a share as a percentage, with a figure after the point only
// where it would else be nought.
func ofHundred(share float64) string {
	switch p := 100 * share; {
	case p == 0:
		return "none"
	case p < 0.95:
		return fmt.Sprintf("%.1f %%", p)
	default:
		return fmt.Sprintf("%.0f %%", p)
	}
}

// inYears writes a share of years as a keeper would say it.
func inYears(share float64) string {
	switch {
	case share <= 0:
		return "no year of those simulated"
	case share < 0.095:
		return fmt.Sprintf("1 year in %.0f", math.Round(1/share))
	case share > 0.995:
		return "every year"
	}
	n := math.Max(1, math.Round(10*share))
	if n == 1 {
		return "1 year in 10"
	}
	return fmt.Sprintf("%.0f years in 10", n)
}

func inYearsShort(share float64) string {
	if share < 0.002 {
		return "hardly ever"
	}
	return inYears(share)
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
