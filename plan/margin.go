package plan

import (
	"fmt"
	"math"

	"henyear/solve"
)

// Margin is safety bought on purpose: what the planner aims at beyond the
// expected need. The zero value is the plain plan. Reported needs, shortfalls and
// costs of a plan are those of the true need, whatever its margin.
type Margin struct {
	// Eggs is how many standard deviations of a period's eggs are aimed at beyond
	// its need; below zero plans more boldly than the expectation.
	Eggs float64 `json:"eggs_sd"`

	// Hatch is by how much more is hatched than the layers counted on it ask for:
	// 0.2 asks for a fifth more pullets reared for each that joins.
	Hatch float64 `json:"hatch_share"`

	// Spread is the standard deviation of the usable eggs of each week of the plan,
	// as a share of the eggs expected, one figure a week of the plan as simulation
	// found it; without it the planner reckons one itself (see ownSpread).
	Spread []float64 `json:"-"`
}

// MarginUse is the margin that a plan was asked for, and what came of it, in eggs
// over the whole plan.
type MarginUse struct {
	Eggs   float64 `json:"eggs_sd"`     // as in Margin
	Hatch  float64 `json:"hatch_share"` // as in Margin
	Aimed  float64 `json:"aimed_eggs"`  // beyond the need, from the margin
	Behind float64 `json:"behind_eggs"` // of them not to be had, or not at any price; short eggs count too
	Dared  float64 `json:"dared_eggs"`  // of the need, left to luck by a bold plan
}

// missedMargin is what an egg of the margin that is not there costs the search,
// in prices of an egg at the shop. An egg that the household lacks costs it three;
// as much again for one that it would lack in a poor year makes the margin a need
// like any other, so that the number of spreads alone says how safe a plan is.
// It is no money and never part of a plan's Cost.
const missedMargin = failure

// marginColumns are the eggs of one period by which a plan stays behind its
// margin, and those of the need that a bold plan does not count.
type marginColumns struct {
	behind, dared solve.Col
	aimed         float64 // eggs
}

// addMargin asks that what is left of the eggs of period p when the table has been
// served, whatever becomes of it (sold, carried on, frozen, spare), is as much as
// the margin; each that is not costs the search missedMargin. All of that is there
// to be eaten in a poor year, since the table comes before customers and store. With
// a margin below zero so many of the eggs missing are forgiven instead.
func (pr *programme) addMargin(p int) {
	u := &pr.use[p]
	u.margin = marginColumns{behind: none, dared: none}
	k := pr.opt.Margin.Eggs
	need, _ := pr.eggNeed(p)
	if k == 0 || pr.g.cyclic || need == 0 {
		return
	}
	eggs := k * pr.needSpread(p)
	shop := pr.h.Prices.ShopEggsPerDozen / 12
	if k < 0 {
		u.margin.dared = pr.m.Column(fmt.Sprintf("dared_%02d", p), 0, 0, min(need, -eggs))
		pr.m.Add(pr.eggs[p], u.margin.dared, 1)
		return
	}
	u.margin.behind = pr.m.Column(fmt.Sprintf("behind_%02d", p), missedMargin*shop, 0, math.Inf(1))
	u.margin.aimed = eggs
	r := pr.m.Row(fmt.Sprintf("margin_%02d", p), eggs, math.Inf(1))
	pr.m.Add(r, u.margin.behind, 1)
	pr.m.Add(r, u.short, -1) // bought eggs are no margin
	pr.m.Add(r, u.spare, 1)
	pr.m.Add(r, u.carry, 1)
	for _, col := range u.sales {
		pr.m.Add(r, col, 1)
	}
	if pr.frozenLevel != nil {
		pr.m.Add(r, u.freeze, 1)
	}
}

// needSpread is the standard deviation of the eggs of a period in which flock and
// season just give the need: the spread of each week, as a share of its eggs, times
// the need of the week. The weeks of a period are good or poor together, so theirs
// add up without a root.
func (pr *programme) needSpread(p int) float64 {
	per := pr.g.periods[p]
	sum := 0.0
	for t := per.first; t < per.first+per.weeks; t++ {
		need := pr.tableEggs(t)
		if s := pr.opt.Margin.Spread; t < len(s) {
			sum += s[t] * need
		} else {
			sum += pr.ownSpread(t, need) * need
		}
	}
	return sum
}

// ownSpread is the spread of the eggs of week t as a share of them, where no
// simulation has told it: so many hens as give the need then, at the rate of hens in
// their second year or a third of an egg a week at least, each egg a chance, the hens
// unlike each other, and all of them under one year's luck.
func (pr *programme) ownSpread(t int, need float64) float64 {
	if need <= 0 || len(pr.stocks) == 0 {
		return 0
	}
	st := pr.stocks[0]
	rate := max(1.0/3, pr.book.AdultEggs(st.breed, st.strain, pr.g.slotOf(t)))
	hens := need / rate
	return math.Sqrt(eggVariance(hens, rate/7)+math.Pow(sharedYearCV*need, 2)) / need
}

// eggVariance is the variance of the eggs of a week of so many hens, each of which
// lays on a day with chance p: that of the chances, and that of hens unlike each other.
func eggVariance(hens, p float64) float64 {
	p = min(1, p)
	return 7*hens*p*(1-p) + hens*49*betweenHenRateSD*betweenHenRateSD*min(1, 2*p)
}

// reared is how many pullets are hatched for each that joins, with the margin.
func (o Options) reared(usual float64) float64 { return usual * (1 + max(0, o.Margin.Hatch)) }

// paidForSafety is what the margin adds to the objective of an answer beyond the
// true cost (what is behind the margin), and what it hides of it (needs dared).
func (a answer) paidForSafety() (added, hidden float64) {
	price := failure * a.pr.h.Prices.ShopEggsPerDozen / 12
	for p := range a.pr.use {
		m := a.pr.use[p].margin
		if m.behind != none {
			added += a.pr.m.Cost(m.behind) * a.x[m.behind]
		}
		if m.dared != none {
			hidden += price * a.x[m.dared]
		}
	}
	return added, hidden
}

// marginUse sums what came of the margin.
func (a answer) marginUse() (out MarginUse) {
	out.Eggs, out.Hatch = a.pr.opt.Margin.Eggs, a.pr.opt.Margin.Hatch
	for p := range a.pr.use {
		m := a.pr.use[p].margin
		if m.behind != none {
			out.Aimed += m.aimed
			out.Behind += a.x[m.behind]
		}
		if m.dared != none {
			out.Dared += a.x[m.dared]
		}
	}
	return out
}

// trueCost turns an objective, or a bound on it, into money of the true need: a bound
// so turned says that no plan which stays no farther behind its margin costs less.
func (a answer) trueCost(objective float64) float64 {
	added, hidden := a.paidForSafety()
	return objective - added + hidden
}
