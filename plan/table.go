package plan

import (
	"fmt"
	"math"

	"henyear/bird"
	"henyear/measure"
	"henyear/solve"
)

// meatApart is the age until which meat birds live whatever their fate.
func meatApart(s *slot) int { return max(4, int(s.breed.ButcherWeeksLow)-1) }

func cocksApart(s *slot) int {
	if s.meatOnly {
		return meatApart(s)
	}
	return partWeeks
}

func (pr *programme) tableEntries(col solve.Col, p int, live, kg float64) {
	pr.m.Add(pr.butcher[p], col, live)
	pr.m.Add(pr.freezerLevel[p], col, -live*kg)
	if kg >= pr.h.Needs.TableBirdMinKg {
		pr.m.Add(pr.table[pr.g.periods[p].year], col, live)
	}
}

// saleRow bounds what can be sold of one kind of bird in a year.
func (pr *programme) saleRow(i, year int) solve.Row {
	return pr.yearRow(i, year, func() float64 { return float64(pr.h.Needs.BirdSales[i].PerYear) * pr.part(year) })
}

// addMeatFates writes what becomes of the cockerels of a batch (or of either sex
// of meat birds): eaten at one of the ages that the breed and the kitchen allow,
// sold, given away, or kept as breeding cocks.
func (pr *programme) addMeatFates(s *slot, c *batchColumns, sex bird.Sex) {
	o, unit := s.cocks, s.unitCocks
	if sex == bird.Hen {
		o, unit = s.hens, s.unitHens
	}
	started := pr.m.Row(fmt.Sprintf("%ss_%s", sex, s.id), 0, 0)
	pr.m.Add(started, c.units, -unit)
	if sex == bird.Cock {
		c.cocksGo = started
	} else {
		c.hensGo = started
	}
	apart := s.hatch + cocksApart(s)
	grown := s.from == boughtCock || s.from == onHand && -s.hatch >= breedCockWeeks
	end := false
	for _, t := range pr.butcherWeeks(s, grown) {
		u, ok := pr.g.in(t)
		if !ok {
			end = true
			continue
		}
		if !pr.h.Means.WillKill {
			continue
		}
		live, kg := alive(o, t-s.hatch), dressed(o, t-s.hatch)
		col := pr.m.Column(fmt.Sprintf("eat%s_%s_%d", sex, s.id, t), 0, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		pr.clear()
		pr.live(o, s.breed, sex, s.hatch, max(apart, s.arrive, pr.zero()), t, 1, s.from.underHen())
		pr.post(col)
		pr.tableEntries(col, pr.g.of[u], live, kg)
		c.meat = append(c.meat, fate{col: col, week: t, sex: sex, what: "table", kg: kg, live: live})
	}
	if end && !pr.g.cyclic {
		// Still growing when the horizon ends.
		col := pr.m.Column(fmt.Sprintf("grow%s_%s", sex, s.id), 0, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		pr.clear()
		pr.live(o, s.breed, sex, s.hatch, max(apart, s.arrive, 0), pr.g.weeks, 1, s.from.underHen())
		pr.post(col)
		c.given = append(c.given, fate{col: col, week: pr.g.weeks, sex: sex, what: "kept to the end", kg: 0, live: alive(o, pr.g.weeks-s.hatch)})
	}
	if sex == bird.Hen {
		return
	}
	pr.addCockerelLeaves(s, c, started, apart)
	if s.meatOnly {
		return
	}
	pr.addBreedingCocks(s, c, started, grown)
}

func (pr *programme) zero() int {
	if pr.g.cyclic {
		return math.MinInt32
	}
	return 0
}

// butcherWeeks lists the weeks, at most four, in which birds of a slot may be
// eaten: inside the breed's window, one in each period.
func (pr *programme) butcherWeeks(s *slot, grown bool) []int {
	low, high := int(s.breed.ButcherWeeksLow), int(s.breed.ButcherWeeksHigh)
	switch {
	case grown:
		// An old cock may go with the first butcher day, or at the next culls; one
		// that is bought serves first.
		if s.from == boughtCock {
			return nil
		}
		if pr.g.cyclic {
			return nil // a steady year has nobody on hand
		}
		return []int{pr.atHome(pr.g.periods[1].first)}
	case s.meatOnly:
		high = min(high, 10)
		if s.breed.GrowthClass != "fast meat" {
			high = int(s.breed.ButcherWeeksHigh)
		}
	default:
		low, high = max(low, 14), min(max(high, low+4), 24)
	}
	first := max(s.hatch+low, 0)
	if pr.g.cyclic {
		first = s.hatch + low
	}
	last := max(s.hatch+high, first)
	var weeks []int
	for t := first; t <= last && len(weeks) < 4; t++ {
		u, ok := pr.g.in(t)
		if !ok {
			weeks = append(weeks, t)
			break
		}
		if s.breed.GrowthClass == "fast meat" && pr.book.Week(pr.g.slot[u]).DayMaxC > finishBelowC {
			continue
		}
		if u == pr.butcherWeek(pr.g.of[u]) || t == last && len(weeks) == 0 && !pr.away(t) {
			weeks = append(weeks, t)
		}
	}
	return weeks
}

// butcherWeek is the week of a period in which everybody of it is butchered, so
// that a butcher day in the programme is a day on the calendar: the first in which
// the keeper is at home. -1 where there is none.
func (pr *programme) butcherWeek(p int) int {
	per := pr.g.periods[p]
	for t := per.first; t < per.first+per.weeks; t++ {
		if !pr.away(t) {
			return t
		}
	}
	return -1
}

// Fast meat birds are not finished in weeks with a mean daily high above this
// without cooling (common practice).
const finishBelowC = 32

// addCockerelLeaves lets cockerels go alive: sold, or taken by others.
func (pr *programme) addCockerelLeaves(s *slot, c *batchColumns, started solve.Row, apart int) {
	u, ok := pr.g.in(max(apart, pr.zero()))
	if !ok {
		return
	}
	t := max(apart, pr.zero())
	p := pr.g.of[u]
	live := alive(s.cocks, t-s.hatch)
	for i, sale := range pr.h.Needs.BirdSales {
		if sale.Kind != "cockerel" {
			continue
		}
		col := pr.m.Column(fmt.Sprintf("sellcockerel_%s_%d", s.id, i), -sale.Price*live, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		pr.m.Add(pr.saleRow(i, pr.g.periods[p].year), col, live)
		c.sold = append(c.sold, fate{col: col, week: t, sex: bird.Cock, what: "sold as cockerel", kg: 0, live: live, price: sale.Price})
	}
	if !pr.h.Means.WillKill {
		col := pr.m.Column("givecockerel_"+s.id, 0, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		pr.m.Add(pr.takenRow(pr.g.periods[p].year), col, live)
		c.given = append(c.given, fate{col: col, week: t, sex: bird.Cock, what: "given", kg: 0, live: live})
	}
}

func (pr *programme) takenRow(year int) solve.Row {
	return pr.yearRow(limitTaken, year, func() float64 { return float64(pr.h.Means.CockerelsTaken) })
}

func (pr *programme) addButcherDays(p int, per period, u *useColumns) {
	perDay := float64(max(1, pr.h.Means.ButcherBirdsADay))
	name := fmt.Sprintf("butcherdays_%02d", p)
	switch {
	case !pr.h.Means.WillKill || pr.h.Means.ButcherDaysAYear == 0 || pr.periodAway(per):
		u.butcherDays = pr.m.Column(name, 0, 0, 0)
	case pr.g.cyclic:
		u.butcherDays = pr.m.Column(name, 0, 0, float64(per.weeks))
	default:
		u.butcherDays = pr.m.Whole(name, butcherDayCost, 0, float64(min(per.weeks, 2)))
	}
	pr.m.Add(pr.butcher[p], u.butcherDays, -perDay)
	pr.m.Add(pr.daysRow(per.year), u.butcherDays, 1)
}

// A butcher day costs scalding water, ice and bags, so a day is not held for
// one bird (guess, main unit of money).
const butcherDayCost = 3

func (pr *programme) periodAway(per period) bool {
	for t := per.first; t < per.first+per.weeks; t++ {
		if !pr.away(t) {
			return false
		}
	}
	return true
}

func (pr *programme) daysRow(year int) solve.Row {
	return pr.yearRow(limitDays, year, func() float64 { return math.Ceil(float64(pr.h.Means.ButcherDaysAYear) * pr.part(year)) })
}

// Freezer space: a kilogram of whole birds takes 3 litres, packing leaves 85 %
// of the nominal volume, frozen beaten eggs take 0.06 litres an egg.
const (
	freezerLPerKg  = 3 / 0.85
	freezerLPerEgg = 0.06 / 0.85
)

// addFreezer keeps the frozen birds within the freezer. The household eats them
// down at its own pace, at most twice as fast as the need.
func (pr *programme) addFreezer() {
	inf := math.Inf(1)
	perWeek := pr.tableKgPerYear() / measure.SlotsPerYear
	n := len(pr.g.periods)
	pr.stock = make([]solve.Col, n)
	for p := range pr.g.periods {
		pr.stock[p] = pr.m.Column(fmt.Sprintf("meat_%02d", p), 0, 0, inf)
	}
	for p, per := range pr.g.periods {
		u := &pr.use[p]
		most := 2 * perWeek * float64(per.weeks)
		if perWeek == 0 {
			most = 1.5 * float64(per.weeks)
		}
		u.eaten = pr.m.Column(fmt.Sprintf("eaten_%02d", p), 0, 0, most)
		pr.m.Add(pr.freezerLevel[p], pr.stock[p], 1)
		pr.m.Add(pr.freezerLevel[p], u.eaten, 1)
		before := solve.Col(none)
		switch {
		case p > 0:
			before = pr.stock[p-1]
		case pr.g.cyclic:
			before = pr.stock[n-1]
		}
		if before != none {
			pr.m.Add(pr.freezerLevel[p], before, -1)
		}
		// Fullest just after the butcher day at the beginning of the period: what is
		// left at its end and what is eaten in it.
		full := pr.m.Row(fmt.Sprintf("freezerfull_%02d", p), -inf, pr.h.Means.FreezerL)
		pr.m.Add(full, pr.stock[p], freezerLPerKg)
		pr.m.Add(full, u.eaten, freezerLPerKg)
		if pr.frozenLevel != nil {
			pr.m.Add(full, pr.frozenLevel[p], freezerLPerEgg)
		}
		pr.full = append(pr.full, full)
		pr.gift = append(pr.gift, pr.m.Column(fmt.Sprintf("meatgiven_%02d", p), 0.5, 0, inf))
		pr.m.Add(pr.freezerLevel[p], pr.gift[p], 1)
	}
}

// tableKgPerYear is the dressed meat that the household means to eat.
func (pr *programme) tableKgPerYear() float64 {
	n := pr.h.Needs
	if n.TableKg > 0 {
		return n.TableKg
	}
	return n.TableBirds * tableBirdKg
}

// A table bird of an old breed: dressed weight used where birds are counted
// (keepers plan 1.3-1.8 kg; common practice).
const tableBirdKg = 1.6

func (pr *programme) tableBirdsPerYear() float64 {
	if pr.h.Needs.TableBirds > 0 {
		return pr.h.Needs.TableBirds
	}
	return pr.h.Needs.TableKg / tableBirdKg
}

func (pr *programme) addTableNeed() {
	price := failure * pr.h.Prices.ShopChickenPerKg * tableBirdKg
	pr.tableShort = map[int]solve.Col{}
	for _, y := range pr.years {
		need := pr.tableBirdsPerYear() * pr.part(y)
		pr.m.SetRowBounds(pr.table[y], need, math.Inf(1))
		// Without a bound of its own: where nothing may be butchered, the need itself
		// would fit only to the last digit of a rounded coefficient.
		pr.tableShort[y] = pr.m.Column(fmt.Sprintf("noroast_%d", y), price, 0, math.Inf(1))
		pr.m.Add(pr.table[y], pr.tableShort[y], 1)
	}
}

// addChickSales lets chicks of a hatch be sold in the week after it, as hatched.
// A chick sold takes its share of both sexes, and the keep that the batch reckons
// for it, off the holding.
func (pr *programme) addChickSales(s *slot, c *batchColumns) {
	if !s.from.eggs() || s.meatOnly || c.hensGo < 0 || c.cocksGo < 0 {
		return
	}
	u, ok := pr.g.in(s.hatch)
	if !ok {
		return
	}
	for i, sale := range pr.h.Needs.BirdSales {
		if sale.Kind != "chick" {
			continue
		}
		col := pr.m.Column(fmt.Sprintf("sellchick_%s_%d", s.id, i), -sale.Price, 0, math.Inf(1))
		pr.clear()
		pr.live(s.hens, s.breed, bird.Hen, s.hatch, s.hatch+1, s.pulletsJoin(), -0.5, s.from.underHen())
		pr.live(s.cocks, s.breed, bird.Cock, s.hatch, s.hatch+1, s.hatch+partWeeks, -0.5, s.from.underHen())
		pr.post(col)
		pr.m.Add(c.hensGo, col, 0.5)
		pr.m.Add(c.cocksGo, col, 0.5)
		pr.m.Add(pr.saleRow(i, pr.g.periods[pr.g.of[u]].year), col, 1)
		c.chicks = append(c.chicks, fate{col: col, week: s.hatch + 1, sex: bird.Hen, what: "sold as chick", kg: 0, live: 1, price: sale.Price})
	}
}
