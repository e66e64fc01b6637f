package advise

import (
	"fmt"
	"math"
	"slices"

	"henyear/chance"
	"henyear/measure"
	"henyear/plan"
)

// levels are the margins of the curve in the order in which they are planned, in
// standard deviations of the eggs of a period (see docs/models/advise.md).
var levels = []plan.Margin{{}, {Eggs: 1}, {Eggs: 2}, {Eggs: 3}, {Eggs: 4}, {Eggs: -1}}

// refinements is how many plans more may be made between a margin that fails and
// the next that holds, or beyond the last.
const refinements = 2

// Beyond the levels, where none of them holds: a margin half as great again, and
// then a quarter more pullets hatched with the margin that was surest.
const (
	farther    = 6
	moreHatch  = 0.25
	tooCloseSD = 0.2 // margins nearer than that give the same plan
)

func plain(m plan.Margin) bool { return m.Eggs == 0 && m.Hatch == 0 }

// below reports whether margin a asks for less than b.
func below(a, b plan.Margin) bool {
	return a.Eggs < b.Eggs || a.Eggs == b.Eggs && a.Hatch < b.Hatch
}

// next is the margin to try after the levels: halfway between the last that fails
// and the first that holds; where all fail, beyond the last.
func (c *climb) next() (plan.Margin, bool) {
	first := slices.IndexFunc(c.points, func(p SafetyPoint) bool { return p.Meets })
	switch {
	case first < 0:
		return c.beyond()
	case first == 0:
		return plan.Margin{}, false
	}
	from, to := c.points[first-1].Margin, c.points[first].Margin
	if to.Eggs-from.Eggs < 2*tooCloseSD {
		return plan.Margin{}, false
	}
	return plan.Margin{Eggs: (from.Eggs + to.Eggs) / 2}, true
}

func (c *climb) beyond() (plan.Margin, bool) {
	last := c.points[len(c.points)-1].Margin
	if last.Eggs < farther {
		return plan.Margin{Eggs: farther}, true
	}
	best := &c.points[surest(c.points)]
	tried := slices.ContainsFunc(c.points, func(p SafetyPoint) bool { return p.Margin.Hatch > 0 })
	if tried || best.EggsSet == 0 {
		return plan.Margin{}, false
	}
	return plan.Margin{Eggs: best.Margin.Eggs, Hatch: moreHatch}, true
}

// lowerSpread is how far the eggs of each week may fall below those planned, as a
// share of them: from the plan's expectation down to what nineteen lives of twenty
// exceed, 1.645 standard deviations of a normal. It holds the lower side only,
// and what plan and simulation differ by on the mean: both are what makes a
// week short.
func lowerSpread(p *plan.Plan, o *chance.Odds) []float64 {
	out := make([]float64, len(p.Weeks))
	for t := range out {
		if t >= len(o.Weeks) {
			break
		}
		if e := p.Weeks[t].EggsExpected; e > 0 {
			out[t] = max(0, e-o.Weeks[t].Eggs.P05) / 1.645 / e
		}
	}
	return out
}

// pointOf sums one plan and its luck.
func pointOf(m plan.Margin, p *plan.Plan, o *chance.Odds) SafetyPoint {
	out := SafetyPoint{Margin: plan.Margin{Eggs: m.Eggs, Hatch: m.Hatch}, Plan: p, Odds: o,
		Risk: o.Risk.Share, RiskError: o.Risk.Error, Meets: o.Risk.Met,
		ExpectedCost: p.Cost, Bound: p.Bound, Gap: p.Gap, PlanStatus: p.Status}
	years := yearsOf(p)
	out.CashAYear, out.CashError = meanOf(o.Outcomes, func(x *chance.Outcome) float64 { return x.Cost / years })
	out.ShortWeeks, out.ShortWeekError = meanOf(o.Outcomes, func(x *chance.Outcome) float64 { return float64(x.ShortWeeks) / years })
	winters, eggs := 0.0, 0.0
	for _, y := range o.Years {
		if y.HensWinter.Mean > 0 {
			out.HensWinter += y.HensWinter.Mean
			out.PulletsWinter += y.Pullets.Mean
			winters++
		}
		if y.Part > 0.5 {
			out.WinterEggs += y.WinterEggs.Mean
			eggs++
		}
	}
	out.HensWinter /= max(1, winters)
	out.PulletsWinter /= max(1, winters)
	out.WinterEggs /= max(1, eggs)
	for _, b := range p.Batches {
		out.EggsSet += float64(b.EggsSet)
	}
	return out
}

// meanOf is the mean of a figure over replicates and its standard error.
func meanOf(list []chance.Outcome, figure func(*chance.Outcome) float64) (mean, standardError float64) {
	n := float64(len(list))
	if n == 0 {
		return 0, 0
	}
	sum, squares := 0.0, 0.0
	for i := range list {
		x := figure(&list[i])
		sum += x
		squares += x * x
	}
	mean = sum / n
	return mean, math.Sqrt(max(0, squares/n-mean*mean) / n)
}

// surer sums the curve so far.
func (c *climb) surer() *Surer {
	last := &c.points[0]
	out := &Surer{Format: SurerFormat, Holding: c.h.Name, AsOf: last.Plan.AsOf, From: last.Plan.From, To: last.Plan.To,
		Currency: c.h.Currency, Units: c.h.Units, ShortWeeksAllowed: c.h.Needs.RiskShortWeeks, Accepted: c.h.Needs.RiskShare,
		Replicates: last.Odds.Replicates, Seed: last.Odds.Seed, Points: slices.Clone(c.points), Plain: -1, Status: "complete"}
	out.judge()
	out.Plan, out.Odds = out.Points[out.Chosen].Plan, out.Points[out.Chosen].Odds
	out.Limits = c.limits(out)
	out.Summary = c.summary(out)
	out.Seconds = c.seconds()
	return out
}

// judge names the points, sets each beside the plain one, and chooses.
func (s *Surer) judge() {
	s.Surest = surest(s.Points)
	s.Chosen = -1
	for i := range s.Points {
		p := &s.Points[i]
		if plain(p.Margin) {
			s.Plain = i
		}
		if p.Meets && (s.Chosen < 0 || p.CashAYear < s.Points[s.Chosen].CashAYear) {
			s.Chosen = i
		}
	}
	s.Reachable = s.Chosen >= 0
	if !s.Reachable {
		s.Chosen = s.Surest
	}
	s.Points[s.Chosen].Chosen = true
	safer := 0
	for i := range s.Points {
		p := &s.Points[i]
		switch {
		case plain(p.Margin):
			p.Name = "plain"
		case p.Margin.Eggs < 0:
			p.Name = "bold"
		default:
			safer++
			p.Name = fmt.Sprintf("safer %d", safer)
		}
		p.Dominated = slices.ContainsFunc(s.Points, func(q SafetyPoint) bool {
			return q.Risk <= p.Risk && q.CashAYear <= p.CashAYear && (q.Risk < p.Risk || q.CashAYear < p.CashAYear)
		})
		if s.Plain >= 0 {
			p.MoreCash, p.MoreCashError = paired(p.Odds.Outcomes, s.Points[s.Plain].Odds.Outcomes, yearsOf(p.Plan))
		}
	}
	if n := s.bolds(); n > 1 {
		for i := range n {
			s.Points[i].Name = fmt.Sprintf("bold %d", n-i)
		}
	}
}

func (s *Surer) bolds() int {
	n := 0
	for _, p := range s.Points {
		if p.Margin.Eggs < 0 {
			n++
		}
	}
	return n
}

// surest is the cheapest of the points whose risk is the smallest, as far as the
// simulation can tell: within a standard error of it.
func surest(points []SafetyPoint) int {
	least := 0
	for i := range points {
		if points[i].Risk < points[least].Risk {
			least = i
		}
	}
	best := least
	for i := range points {
		p, b := &points[i], &points[best]
		if p.Risk <= points[least].Risk+points[least].RiskError && (p.CashAYear < b.CashAYear || p.CashAYear == b.CashAYear && p.Risk < b.Risk) {
			best = i
		}
	}
	return best
}

// paired is the mean cash a year that one plan costs more than another in the same
// luck, and its standard error.
func paired(a, b []chance.Outcome, years float64) (mean, standardError float64) {
	if len(a) != len(b) {
		return 0, 0
	}
	more := make([]chance.Outcome, len(a))
	for i := range a {
		more[i].Cost = (a[i].Cost - b[i].Cost) / years
	}
	return meanOf(more, func(x *chance.Outcome) float64 { return x.Cost })
}

// firstOwnEgg is the day by which half the pullets of the first batch that was not
// on hand have begun to lay; the day after the plan where there is none.
func firstOwnEgg(p *plan.Plan) measure.Date {
	day := p.To.AddDays(1)
	for _, b := range p.Batches {
		if b.Source != "on hand" && !b.FirstEgg.IsZero() && b.FirstEgg.Before(day) && layers(b) > 0.5 {
			day = b.FirstEgg
		}
	}
	return day
}

func layers(b plan.Batch) float64 {
	n := 0.0
	for _, f := range b.Fates {
		if f.What == "layer" {
			n += f.Birds
		}
	}
	return n
}
