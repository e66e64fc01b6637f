package plan

import (
	"fmt"
	"math"

	"henyear/solve"
)

// useColumns are what becomes of eggs and meat in one period.
type useColumns struct {
	short, spare, carry, freeze, thaw, eaten, butcherDays solve.Col
	sales                                                 []solve.Col
	promised                                              []solve.Col
	overHouse, overMinutes, overBirds                     solve.Col
	margin                                                marginColumns
}

// addUse writes what becomes of eggs, meat, room and work in each period.
func (pr *programme) addUse() {
	inf := math.Inf(1)
	n := len(pr.g.periods)
	pr.use = make([]useColumns, n)
	shop := pr.h.Prices.ShopEggsPerDozen / 12
	for p := range pr.g.periods {
		per := pr.g.periods[p]
		u := &pr.use[p]
		need, sales := pr.eggNeed(p)
		pr.m.SetRowBounds(pr.eggs[p], need, need)
		name := func(what string) string { return fmt.Sprintf("%s_%02d", what, p) }
		u.short = pr.m.Column(name("short"), failure*shop, 0, inf)
		u.spare = pr.m.Column(name("spare"), 0, 0, inf)
		u.carry = pr.m.Column(name("carry"), 0, 0, pr.keepWeeks(p)*pr.weeklyNeed(p+1))
		pr.m.Add(pr.eggs[p], u.short, 1)
		pr.m.Add(pr.eggs[p], u.spare, -1)
		pr.m.Add(pr.eggs[p], u.carry, -1)
		if next, ok := pr.nextPeriod(p); ok {
			pr.m.Add(pr.eggs[next], u.carry, 1)
		}
		for i, s := range sales {
			col := pr.m.Column(name(fmt.Sprintf("sell%d", i)), -s.price/12, 0, s.eggs)
			pr.m.Add(pr.eggs[p], col, -1)
			u.sales = append(u.sales, col)
			if s.promised {
				r := pr.m.Row(name(fmt.Sprintf("promise%d", i)), s.eggs, inf)
				miss := pr.m.Column(name(fmt.Sprintf("miss%d", i)), failure*shop, 0, inf)
				pr.m.Add(r, col, 1)
				pr.m.Add(r, miss, 1)
				u.promised = append(u.promised, miss)
			}
		}
		u.overHouse = pr.m.Column(name("crowded"), overHousePrice, 0, inf)
		pr.m.Add(pr.house[p], u.overHouse, -1)
		pr.m.Add(pr.shelter[p], u.overHouse, -1)
		u.overMinutes = pr.m.Column(name("busy"), overMinutesPrice, 0, inf)
		pr.m.Add(pr.minutes[p], u.overMinutes, -1)
		u.overBirds = none
		if pr.adults != nil {
			u.overBirds = pr.m.Column(name("toomany"), overBirdsPrice, 0, inf)
			pr.m.Add(pr.adults[p], u.overBirds, -1)
		}
		pr.addButcherDays(p, per, u)
	}
	pr.addFrozenEggs()
	pr.addFreezer()
	pr.addTableNeed()
	pr.addEndState()
	for p := range pr.g.periods {
		pr.addMargin(p)
	}
}

type eggSale struct {
	eggs, price float64
	promised    bool
}

// eggNeed sums the household's need over the weeks of a period, and what
// customers take.
func (pr *programme) eggNeed(p int) (need float64, sales []eggSale) {
	per := pr.g.periods[p]
	for t := per.first; t < per.first+per.weeks; t++ {
		if !pr.away(t) {
			need += pr.h.Needs.EggsPerWeek(int(pr.monthOf(t)))
		}
	}
	for _, s := range pr.h.Needs.EggSales {
		e := eggSale{price: s.PricePerDozen, promised: s.Promised}
		for t := per.first; t < per.first+per.weeks; t++ {
			if s.Months[int(pr.monthOf(t))-1] {
				e.eggs += 12 * s.DozensPerWeek
			}
		}
		sales = append(sales, e)
	}
	return need, sales
}

// keepWeeks is for how many weeks of the next period eggs may be kept over. In
// all they are used within five weeks of being laid.
func (pr *programme) keepWeeks(p int) float64 { return max(1, 5-float64(pr.g.periods[p].weeks)) }

func (pr *programme) weeklyNeed(p int) float64 {
	p %= len(pr.g.periods)
	need, sales := pr.eggNeed(p)
	for _, s := range sales {
		need += s.eggs
	}
	return need / float64(pr.g.periods[p].weeks)
}

func (pr *programme) nextPeriod(p int) (int, bool) {
	if p+1 < len(pr.g.periods) {
		return p + 1, true
	}
	return 0, pr.g.cyclic
}

// addFrozenEggs lets spare eggs of spring be frozen for cooking in winter, for
// nine months at most and no more than the share of the need that the keeper
// accepts.
func (pr *programme) addFrozenEggs() {
	share := pr.h.Needs.FrozenEggShare
	if share <= 0 || pr.h.Means.FreezerL <= 0 || pr.g.cyclic {
		return
	}
	inf := math.Inf(1)
	stock := solve.Col(none)
	for p := range pr.g.periods {
		u := &pr.use[p]
		need, _ := pr.eggNeed(p)
		u.freeze = pr.m.Column(fmt.Sprintf("freeze_%02d", p), 0.01, 0, inf)
		u.thaw = pr.m.Column(fmt.Sprintf("thaw_%02d", p), 0, 0, share*need)
		level := pr.m.Column(fmt.Sprintf("frozen_%02d", p), 0, 0, inf)
		pr.m.Add(pr.eggs[p], u.freeze, -1)
		pr.m.Add(pr.eggs[p], u.thaw, 1)
		r := pr.m.Row(fmt.Sprintf("frozeneggs_%02d", p), 0, 0)
		pr.m.Add(r, level, 1)
		pr.m.Add(r, u.freeze, -1)
		pr.m.Add(r, u.thaw, 1)
		if stock != none {
			pr.m.Add(r, stock, -1)
		}
		fresh := pr.m.Row(fmt.Sprintf("ninemonths_%02d", p), inf*-1, 0)
		pr.m.Add(fresh, level, 1)
		for q := p; q >= 0 && pr.g.periods[p].first-pr.g.periods[q].first < 39; q-- {
			pr.m.Add(fresh, pr.use[q].freeze, -1)
		}
		pr.frozenLevel = append(pr.frozenLevel, level)
		stock = level
	}
}
