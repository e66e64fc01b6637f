package plan

import (
	"fmt"
	"math"

	"henyear/bird"
	"henyear/hatch"
	"henyear/measure"
	"henyear/solve"
)

// addLayers writes the chain of stages in which the hens of a batch are kept as
// layers. A stage column counts hens *started*, so what died on the way is in
// the course already, and each stage is at most the one before it: the
// difference is what the keeper takes out between the two.
func (pr *programme) addLayers(s *slot, c *batchColumns) {
	join := s.pulletsJoin()
	if s.from == onHand || s.from == boughtStarted {
		join = max(s.arrive, s.hatch+joinWeeks)
	}
	begin := join
	if !pr.g.cyclic {
		if begin >= pr.g.weeks {
			return // too young to decide within the horizon
		}
		begin = max(begin, 0)
	}
	started := pr.m.Row("hens_"+s.id, 0, 0)
	pr.m.Add(started, c.units, -s.unitHens)

	from := begin
	last := begin + 1
	if !pr.g.cyclic {
		last = pr.g.weeks
	}
	first := true
	for k := 0; ; k++ {
		to := pr.nextCull(from)
		if s.from == onHand && first && begin == 0 && pr.g.periods[0].weeks < to {
			to = pr.g.periods[1].first // hens on hand may go with the first butcher day
		}
		if pr.g.cyclic {
			if from-s.hatch >= oldestHenWeeks {
				break
			}
		} else if from >= last {
			break
		}
		col := pr.m.Column(fmt.Sprintf("lay_%s_%d", s.id, k), 0, 0, math.Inf(1))
		pr.clear()
		pr.live(s.hens, s.breed, bird.Hen, s.hatch, from, to, 1, false)
		pr.post(col)
		pr.breederEntries(s, col, from, to)
		if first {
			pr.m.Add(started, col, 1)
			pr.chooseFrom(s, c.units, col, alive(s.hens, join-s.hatch))
		} else {
			r := pr.m.Row(fmt.Sprintf("keep_%s_%d", s.id, k), math.Inf(-1), 0)
			pr.m.Add(r, col, 1)
			pr.m.Add(r, c.layers[k-1].col, -1)
			pr.cullEntries(s, c.layers[k-1].col, col, from)
			pr.addBetter(s, c, c.layers[k-1].col, col, from, to, k)
		}
		c.layers = append(c.layers, stage{col, from, to})
		first = false
		from = to
	}
	pr.closeChain(s, c, from)
	pr.addPulletFates(s, c, started, join)
}

// Rear more than is wanted, to choose from (common practice): 1.3 pullets hatched
// for each that joins the layers, which covers losses and the tenth that is
// small, crooked or late; three cockerels for each breeding cock. Bought pullet
// chicks were chosen by their sex already and need a tenth more.
const (
	pulletsReared     = 1.3
	pulletChicksTaken = 1.2
	cockerelsReared   = 3.0
)

// chooseFrom bounds the pullets that join the layers.
func (pr *programme) chooseFrom(s *slot, units, joins solve.Col, live float64) {
	reared := pulletsReared
	switch s.from {
	case onHand, boughtStarted:
		return
	case boughtPulletChicks:
		reared = pulletChicksTaken
	}
	r := pr.m.Row("choose_"+s.id, math.Inf(-1), 0)
	pr.m.Add(r, joins, live)
	pr.m.Add(r, units, -s.unitHens/reared)
}

// Hens older than this are not kept on in a steady year.
const oldestHenWeeks = 186

// closeChain lets the last stage of a steady year end under the knife; in a
// calendar plan what is alive at the end is kept.
func (pr *programme) closeChain(s *slot, c *batchColumns, end int) {
	if pr.g.cyclic && len(c.layers) > 0 {
		pr.cullEntries(s, c.layers[len(c.layers)-1].col, none, end)
	}
}

// cullEntries sends the difference between two stages to the pot in week t.
func (pr *programme) cullEntries(s *slot, before, after solve.Col, t int) {
	if !pr.h.Means.WillKill {
		return // sold or kept; see addPulletFates for who takes them
	}
	u, ok := pr.g.in(t)
	if !ok {
		return
	}
	p := pr.g.of[u]
	a := alive(s.hens, t-s.hatch)
	kg := dressed(s.hens, t-s.hatch)
	put := func(col solve.Col, sign float64) {
		if col == none {
			return
		}
		pr.m.Add(pr.butcher[p], col, sign*a)
		pr.m.Add(pr.freezerLevel[p], col, -sign*a*kg)
		if kg >= pr.h.Needs.TableBirdMinKg {
			pr.m.Add(pr.table[pr.g.periods[p].year], col, sign*a)
		}
	}
	put(before, 1)
	put(after, -1)
}

func dressed(o []bird.Outputs, age int) float64 {
	if age <= 0 || age > len(o) {
		return 0
	}
	return o[age-1].DressedKg
}

// Culling takes the poorest layers with an accuracy short of perfect, so the
// mean of those kept rises. A hen that a keeper judges poor lays this much less
// than the flock, and no culling lifts the mean by more than the second figure:
// with a between-hen CV of 0.29 and an accuracy of 0.5 for judging by hand and
// eye, culling 40 % lifts the mean by 0.64 x 0.5 x 0.29 = 9 %.
const (
	culledLaysLess = 0.14
	mostLift       = 0.09
)

// autumn reports whether week t is the autumn point at which layers may go.
func (pr *programme) autumn(t int) bool {
	want := (pr.winterSlot() - autumnCull + measure.SlotsPerYear) % measure.SlotsPerYear
	slot := pr.g.slotOf(t)
	return slot <= want && slot > want-4
}

// addBetter writes the lift in lay of the hens kept after a cull.
func (pr *programme) addBetter(s *slot, c *batchColumns, before, after solve.Col, from, to, k int) {
	if !pr.autumn(from) {
		return // the moult shows the poor layers, once a year
	}
	v := pr.clear()
	usable := 1 - pr.h.Means.EggLoss
	any := false
	for t := from; t < to; t++ {
		u, ok := pr.g.in(t)
		age := t - s.hatch
		if !ok || age < 0 || age >= len(s.hens) {
			continue
		}
		if x := s.hens[age].Eggs * usable; x > 0 {
			v.eggs[pr.g.of[u]] += x
			any = true
		}
	}
	if !any {
		return
	}
	col := pr.m.Column(fmt.Sprintf("better_%s_%d", s.id, k), 0, 0, math.Inf(1))
	pr.post(col)
	r := pr.m.Row(fmt.Sprintf("lift_%s_%d", s.id, k), math.Inf(-1), 0)
	pr.m.Add(r, col, 1)
	pr.m.Add(r, before, -culledLaysLess)
	pr.m.Add(r, after, culledLaysLess)
	r = pr.m.Row(fmt.Sprintf("liftmost_%s_%d", s.id, k), math.Inf(-1), 0)
	pr.m.Add(r, col, 1)
	pr.m.Add(r, after, -mostLift)
	c.better[k] = col
}

// Eggs fit for setting: those of the last seven days, less the misshapen, dirty
// and very large or small (common practice).
const fitShare = 0.85

// breederEntries lets the hens of a stage give eggs for setting, and broody
// spells.
func (pr *programme) breederEntries(s *slot, col solve.Col, from, to int) {
	if s.breed.BreedsTrue {
		for _, r := range pr.fit {
			if r.breed != s.breed.ID {
				continue
			}
			if age, ok := pr.ageIn(s, r.week-1, from, to); ok && age >= breedHenWeeks {
				pr.m.Add(r.row, col, -s.hens[age].Eggs*fitShare)
			}
		}
	}
	for _, week := range pr.broodyWeeks {
		r := pr.spells[week]
		sum := 0.0
		for t := week - 2; t <= week; t++ {
			if age, ok := pr.ageIn(s, t, from, to); ok {
				sum += s.hens[age].BroodySpells
			}
		}
		if sum > 0 {
			pr.m.Add(r, col, -sum)
		}
	}
}

// ageIn is the age of a slot's birds in week t of the grid, if t falls into the
// stretch from-to (which in a steady year may wrap).
func (pr *programme) ageIn(s *slot, t, from, to int) (int, bool) {
	if !pr.g.cyclic {
		if t < from || t >= to {
			return 0, false
		}
		age := t - s.hatch
		return age, age >= 0 && age < len(s.hens)
	}
	for u := t; u < to; u += pr.g.weeks {
		if u >= from {
			age := u - s.hatch
			return age, age >= 0 && age < len(s.hens)
		}
	}
	return 0, false
}

// addPulletFates lets surplus pullets leave when they would join the layers:
// for the table, or sold.
func (pr *programme) addPulletFates(s *slot, c *batchColumns, started solve.Row, join int) {
	if s.from == onHand || s.from == boughtStarted || join < 0 {
		return
	}
	u, ok := pr.g.in(join)
	if !ok {
		return
	}
	live := alive(s.hens, join-s.hatch)
	kg := dressed(s.hens, join-s.hatch)
	p := pr.g.of[u]
	if pr.h.Means.WillKill {
		col := pr.m.Column("pot_"+s.id, 0, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		pr.tableEntries(col, p, live, kg)
		c.pot = append(c.pot, fate{col, join, bird.Hen, "table", kg, live})
	}
	for i, sale := range pr.h.Needs.BirdSales {
		if sale.Kind != "pullet" {
			continue
		}
		col := pr.m.Column(fmt.Sprintf("sellpullet_%s_%d", s.id, i), -sale.Price*live, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		pr.m.Add(pr.saleRow(i, pr.g.periods[p].year), col, live)
		c.sold = append(c.sold, fate{col, join, bird.Hen, "sold as started pullet", kg, live})
	}
	if !pr.h.Means.WillKill {
		// Somebody takes what is not kept; nothing is paid for it.
		col := pr.m.Column("givepullet_"+s.id, 0, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		c.given = append(c.given, fate{col, join, bird.Hen, "given", kg, live})
	}
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

// part is the share of a calendar year that the grid covers.
func (pr *programme) part(year int) float64 {
	if pr.g.cyclic {
		return 1
	}
	weeks := 0
	for _, p := range pr.g.periods {
		if p.year == year {
			weeks += p.weeks
		}
	}
	return min(1, float64(weeks)*7/measure.DaysPerYear)
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
		c.meat = append(c.meat, fate{col, t, sex, "table", kg, live})
	}
	if end && !pr.g.cyclic {
		// Still growing when the horizon ends.
		col := pr.m.Column(fmt.Sprintf("grow%s_%s", sex, s.id), 0, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		pr.clear()
		pr.live(o, s.breed, sex, s.hatch, max(apart, s.arrive, 0), pr.g.weeks, 1, s.from.underHen())
		pr.post(col)
		c.given = append(c.given, fate{col, pr.g.weeks, sex, "kept to the end", 0, alive(o, pr.g.weeks-s.hatch)})
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
// eaten: inside the breed's window, one in each period, in the period's middle.
func (pr *programme) butcherWeeks(s *slot, grown bool) []int {
	low, high := int(s.breed.ButcherWeeksLow), int(s.breed.ButcherWeeksHigh)
	switch {
	case grown:
		// An old cock may go with the first butcher day, or at the next culls.
		return []int{max(0, pr.g.periods[0].weeks/2)}
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
		p := pr.g.periods[pr.g.of[u]]
		if s.breed.GrowthClass == "fast meat" && pr.book.Week(pr.g.slot[u]).DayMaxC > finishBelowC {
			continue
		}
		if u-p.first == p.weeks/2 || t == last && len(weeks) == 0 {
			if pr.away(t) {
				continue
			}
			weeks = append(weeks, t)
		}
	}
	return weeks
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
		c.sold = append(c.sold, fate{col, t, bird.Cock, "sold as cockerel", 0, live})
	}
	if !pr.h.Means.WillKill {
		col := pr.m.Column("givecockerel_"+s.id, 0, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		pr.m.Add(pr.takenRow(pr.g.periods[p].year), col, live)
		c.given = append(c.given, fate{col, t, bird.Cock, "given", 0, live})
	}
}

func (pr *programme) takenRow(year int) solve.Row {
	return pr.yearRow(limitTaken, year, func() float64 { return float64(pr.h.Means.CockerelsTaken) })
}

// addBreedingCocks writes whole cocks kept for breeding, from the age at which
// they are chosen, in stages of a breeding year.
func (pr *programme) addBreedingCocks(s *slot, c *batchColumns, started solve.Row, grown bool) {
	if pr.h.Place.MaxCocks == 0 {
		return
	}
	choose := s.hatch + joinWeeks
	if grown {
		choose = s.arrive
		if s.from == onHand {
			choose = 0
		}
	}
	if !pr.g.cyclic {
		if choose >= pr.g.weeks {
			return
		}
		choose = max(choose, 0)
	}
	from := choose
	for k := 0; k < 4; k++ {
		if !pr.g.cyclic && from >= pr.g.weeks {
			break
		}
		to := pr.nextCockStage(from)
		name := fmt.Sprintf("cock_%s_%d", s.id, k)
		var col solve.Col
		most := 3.0
		if s.from == onHand {
			most = math.Round(s.most)
		}
		if pr.g.cyclic {
			col = pr.m.Column(name, 0, 0, most)
		} else {
			col = pr.m.Whole(name, 0, 0, most)
		}
		pr.clear()
		age := max(choose-s.hatch, 1)
		pr.live(s.cocks, s.breed, bird.Cock, s.hatch, from, to, 1/max(alive(s.cocks, age), 0.05), false)
		if k == 0 && !grown {
			pr.live(s.cocks, s.breed, bird.Cock, s.hatch, max(s.hatch+partWeeks, pr.zero()), choose, 1/max(alive(s.cocks, age), 0.05), false)
		}
		pr.post(col)
		pr.coverEntries(s, col, from, to)
		if k == 0 {
			pr.m.Add(started, col, 1/max(alive(s.cocks, age), 0.05))
			if !grown {
				r := pr.m.Row("choosecock_"+s.id, math.Inf(-1), 0)
				pr.m.Add(r, col, cockerelsReared)
				pr.m.Add(r, c.units, -s.unitCocks)
			}
		} else {
			r := pr.m.Row(fmt.Sprintf("keepcock_%s_%d", s.id, k), math.Inf(-1), 0)
			pr.m.Add(r, col, 1)
			pr.m.Add(r, c.cocks[k-1].col, -1)
		}
		if r := pr.cockLimit(); r != nil {
			for p := range pr.g.periods {
				if t := pr.g.periods[p].first; t >= from && t < to {
					pr.m.Add(r[p], col, 1)
				}
			}
		}
		c.cocks = append(c.cocks, stage{col, from, to})
		from = to
	}
}

func (pr *programme) cockLimit() []solve.Row {
	if pr.g.cyclic || pr.h.Place.MaxCocks < 0 {
		return nil
	}
	if pr.maxCocks == nil {
		for p := range pr.g.periods {
			pr.maxCocks = append(pr.maxCocks, pr.m.Row(fmt.Sprintf("cocks_%02d", p), math.Inf(-1), float64(pr.h.Place.MaxCocks)))
		}
	}
	return pr.maxCocks
}

// nextCockStage is the end of the breeding season after week t: early summer.
func (pr *programme) nextCockStage(t int) int {
	want := (pr.winterSlot() + measure.SlotsPerYear - 20) % measure.SlotsPerYear
	for u := t + 1; u < t+2*measure.SlotsPerYear; u++ {
		if !pr.g.cyclic && u >= pr.g.weeks {
			return pr.g.weeks
		}
		if pr.g.slotOf(u) == want && pr.g.snap(u) > t {
			return pr.g.snap(u)
		}
	}
	return pr.g.weeks
}

// coverEntries lets a cock cover the eggs of his hens in the weeks in which he
// serves: from 26 weeks of age, one week after joining.
func (pr *programme) coverEntries(s *slot, col solve.Col, from, to int) {
	for _, r := range pr.present {
		if _, ok := pr.cockAgeIn(s, r.week, from, to); ok && r.breed == s.breed.ID {
			pr.m.Add(r.row, col, -1)
		}
	}
	if pr.g.cyclic {
		return // the working cocks are fixed there, see addSteadyCocks
	}
	serves := func(week int) bool {
		age, ok := pr.cockAgeIn(s, week-1, from, to)
		return ok && age >= breedCockWeeks && !(s.from == boughtCock && week-s.arrive < quarantine+1)
	}
	for _, r := range pr.cover {
		if r.breed == s.breed.ID && serves(r.week) {
			pr.m.Add(r.row, col, -pr.eggsCovered(s.breed, s.strain, r.week))
		}
	}
	for _, r := range pr.needCocks {
		if r.breed == s.breed.ID && serves(r.week) {
			pr.m.Add(r.row, col, -1)
		}
	}
}

func (pr *programme) cockAgeIn(s *slot, t, from, to int) (int, bool) {
	if !pr.g.cyclic {
		return t - s.hatch, t >= from && t < to
	}
	for u := t; u < to; u += pr.g.weeks {
		if u >= from {
			return u - s.hatch, true
		}
	}
	return 0, false
}

// eggsCovered is the eggs fit for setting in a week that one cock's hens lay:
// his number of hens at the rate of hens in their second year, who are the
// breeders of most flocks.
func (pr *programme) eggsCovered(b *breedRecord, st strain, week int) float64 {
	ratio := b.HensPerCock
	if ratio <= 0 {
		ratio = 10
	}
	return ratio * pr.book.BreederEggs(b, st, pr.g.slotOf(week-1)) * fitShare
}

// sitterEffects takes out of the egg rows what a hen fails to lay while she
// sits, rears and recovers, less the days off that the law has counted already
// for every broody hen (broken early). One spell is never deducted twice.
func (pr *programme) sitterEffects(s *slot, v *scratch) {
	profile := hatch.UsualProfile()
	for i := range profile.Weeks() {
		t := s.set + i
		if u, ok := pr.g.in(t); ok {
			v.eggs[pr.g.of[u]] -= profile.MoreThanBroken(i) * pr.book.AdultEggs(s.breed, s.strain, pr.g.slotOf(t))
		}
	}
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
		pr.addButcherDays(p, per, u)
	}
	pr.addFrozenEggs()
	pr.addFreezer()
	pr.addTableNeed()
	pr.addEndState()
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
		// Fullest just after the butcher day in the middle of the period: what is
		// left at its end and half of what is eaten in it.
		full := pr.m.Row(fmt.Sprintf("freezerfull_%02d", p), -inf, pr.h.Means.FreezerL)
		pr.m.Add(full, pr.stock[p], freezerLPerKg)
		pr.m.Add(full, u.eaten, freezerLPerKg/2)
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
		pr.tableShort[y] = pr.m.Column(fmt.Sprintf("noroast_%d", y), price, 0, need)
		pr.m.Add(pr.table[y], pr.tableShort[y], 1)
	}
}

// addEndState asks that the flock which the plan hands on is no poorer than the
// one it began with: as many first-year pullets and working cocks at the end of
// the last autumn.
func (pr *programme) addEndState() {
	if pr.g.cyclic {
		return
	}
	end := pr.lastAutumn()
	if end < 0 {
		return
	}
	pullets, cocks, hens := pr.startingStock()
	price := pr.pulletWorth()
	if hens > 0 {
		// Older hens too, at what they are worth: a year of eggs less than a pullet.
		r := pr.m.Row("endhens", hens, math.Inf(1))
		pr.m.Add(r, pr.m.Column("fewhens", price, 0, hens), 1)
		for i, s := range pr.slots {
			for _, st := range pr.cols[i].layers {
				if age := end - s.hatch; end >= st.from && end < st.to && age >= joinWeeks {
					pr.m.Add(r, st.col, alive(s.hens, age))
				}
			}
		}
	}
	if pullets > 0 {
		r := pr.m.Row("endpullets", pullets, math.Inf(1))
		pr.endShort = pr.m.Column("fewpullets", failure*price, 0, pullets)
		pr.m.Add(r, pr.endShort, 1)
		for i, s := range pr.slots {
			age := end - s.hatch
			if age < joinWeeks || age > 56 || s.meatOnly {
				continue
			}
			for _, st := range pr.cols[i].layers {
				if end >= st.from && end < st.to {
					pr.m.Add(r, st.col, alive(s.hens, age))
				}
			}
		}
	}
	if cocks > 0 {
		r := pr.m.Row("endcocks", cocks, math.Inf(1))
		short := pr.m.Column("fewcocks", failure*price, 0, cocks)
		pr.m.Add(r, short, 1)
		for i, s := range pr.slots {
			if end-s.hatch < joinWeeks {
				continue
			}
			for _, st := range pr.cols[i].cocks {
				if end >= st.from && end < st.to {
					pr.m.Add(r, st.col, 1)
				}
			}
		}
	}
}

// lastAutumn is the last week of the grid four weeks before a shortest day.
func (pr *programme) lastAutumn() int {
	want := (pr.winterSlot() - 5 + measure.SlotsPerYear) % measure.SlotsPerYear
	for t := pr.g.weeks - 1; t >= 0; t-- {
		if pr.g.slot[t] == want {
			return t
		}
	}
	return -1
}

// startingStock counts the first-year pullets, the cocks and all hens on hand. A start
// without birds is measured against what the need asks for.
func (pr *programme) startingStock() (pullets, cocks, hens float64) {
	for _, g := range pr.h.Birds {
		b := pr.breedOf(g.Breed)
		age := int(pr.g.start - measure.WeekOf(g.Hatched))
		switch {
		case b.Purpose == breedMeat:
		case g.Sex == bird.Cock:
			cocks += float64(g.Number)
		default:
			hens += float64(g.Number)
			if age <= 56 {
				pullets += float64(g.Number)
			}
		}
	}
	if hens == 0 {
		most := 0.0
		for p := range pr.g.periods {
			need, _ := pr.eggNeed(p)
			most = max(most, need/float64(pr.g.periods[p].weeks))
		}
		pullets = math.Round(most / 2.4 / 2) // a hen gives about 2.4 eggs a week over the year, half the flock is young
	}
	if limit := pr.h.Place.MaxCocks; limit >= 0 {
		cocks = min(cocks, float64(limit))
	}
	return pullets, cocks, hens
}

// pulletWorth is what a young hen is worth at the end: the cheapest started
// pullet on offer, else a usual price (guess).
func (pr *programme) pulletWorth() float64 {
	price := 0.0
	for _, o := range pr.h.Stock {
		if o.Form == startedPullet && (price == 0 || o.Price < price) {
			price = o.Price
		}
	}
	if price == 0 {
		price = 18
	}
	return price
}
