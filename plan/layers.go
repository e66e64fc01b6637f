package plan

import (
	"fmt"
	"math"
	"slices"

	"henyear/bird"
	"henyear/measure"
	"henyear/solve"
)

// Weeks before the shortest day at which layers may go.
const (
	summerCull = 24
	autumnCull = 13
)

// setCullWeeks places the points at which layers may go: early summer, when the
// young birds need the room, and early autumn, before winter feed and when the
// moult shows the poor layers. Both are seasons before the shortest day, so the
// south needs no rule of its own.
func (pr *programme) setCullWeeks() {
	dark := pr.winterSlot()
	for _, before := range []int{summerCull, autumnCull} {
		want := (dark - before + measure.SlotsPerYear) % measure.SlotsPerYear
		for t := range pr.g.weeks {
			if pr.g.slot[t] == want {
				pr.cullWeeks = append(pr.cullWeeks, pr.atHome(pr.g.snap(t)))
			}
		}
	}
	slices.Sort(pr.cullWeeks)
	pr.cullWeeks = slices.Compact(pr.cullWeeks)
}

// atHome is the first week from t on in which the keeper is not away, t itself
// where there is none within two months.
func (pr *programme) atHome(t int) int {
	for u := t; u < t+8; u++ {
		if !pr.away(u) {
			return u
		}
	}
	return t
}

// nextCull is the first point after week t at which layers may go; the end of
// the grid is one.
func (pr *programme) nextCull(t int) int {
	if !pr.g.cyclic {
		for _, c := range pr.cullWeeks {
			if c > t {
				return c
			}
		}
		return pr.g.weeks
	}
	for year := t / pr.g.weeks; ; year++ {
		for _, c := range pr.cullWeeks {
			if c+year*pr.g.weeks > t {
				return c + year*pr.g.weeks
			}
		}
	}
}

// addLayers writes the chain of stages in which the hens of a batch are kept as
// layers. A stage column counts hens *started*, so what died on the way is in
// the course already, and each stage is at most the one before it: the
// difference is what the keeper takes out between the two.
func (pr *programme) addLayers(s *slot, c *batchColumns) {
	join := s.pulletsJoin()
	begin := join
	if !pr.g.cyclic {
		if begin >= pr.g.weeks {
			return // too young to decide within the horizon
		}
		begin = max(begin, 0)
	}
	started := pr.m.Row("hens_"+s.id, 0, 0)
	pr.m.Add(started, c.units, -s.unitHens)
	c.hensGo = started

	from := begin
	last := begin + 1
	if !pr.g.cyclic {
		last = pr.g.weeks
	}
	first := true
	for k := 0; ; k++ {
		to := pr.nextCull(from)
		if s.from == onHand && first && begin == 0 && pr.g.periods[0].weeks < to {
			to = pr.atHome(pr.g.periods[1].first) // hens on hand may go with the first butcher day
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
			least := math.Inf(-1)
			if !pr.h.Means.WillKill {
				least = 0 // nobody vanishes: who is not sold stays
			}
			r := pr.m.Row(fmt.Sprintf("keep_%s_%d", s.id, k), least, 0)
			pr.m.Add(r, col, 1)
			pr.m.Add(r, c.layers[k-1].col, -1)
			pr.cullEntries(s, c.layers[k-1].col, col, from)
			pr.addSpentSales(s, c, r, k, from)
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
	pr.m.Add(r, units, -s.unitHens/pr.opt.reared(reared))
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

// addSpentSales lets hens that leave in week t be sold alive instead of going to
// the pot.
func (pr *programme) addSpentSales(s *slot, c *batchColumns, keep solve.Row, k, t int) {
	u, ok := pr.g.in(t)
	if !ok {
		return
	}
	p := pr.g.of[u]
	live := alive(s.hens, t-s.hatch)
	for i, sale := range pr.h.Needs.BirdSales {
		if sale.Kind != "spent hen" {
			continue
		}
		col := pr.m.Column(fmt.Sprintf("sellhen_%s_%d_%d", s.id, k, i), -sale.Price*live, 0, math.Inf(1))
		pr.m.Add(keep, col, 1)
		pr.m.Add(pr.saleRow(i, pr.g.periods[p].year), col, live)
		if pr.h.Means.WillKill {
			kg := dressed(s.hens, t-s.hatch)
			pr.m.Add(pr.butcher[p], col, -live)
			pr.m.Add(pr.freezerLevel[p], col, live*kg)
			if kg >= pr.h.Needs.TableBirdMinKg {
				pr.m.Add(pr.table[pr.g.periods[p].year], col, -live)
			}
		}
		c.spent = append(c.spent, fate{col: col, week: t, sex: bird.Hen, what: "sold as spent hen", kg: 0, live: live, price: sale.Price})
	}
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
	return slot > want-4 && slot < want+8 // later only where nobody was at home
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
		pr.addSurplusPullets(s, c, started, join)
	}
	for i, sale := range pr.h.Needs.BirdSales {
		if sale.Kind != "pullet" {
			continue
		}
		col := pr.m.Column(fmt.Sprintf("sellpullet_%s_%d", s.id, i), -sale.Price*live, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		pr.m.Add(pr.saleRow(i, pr.g.periods[p].year), col, live)
		c.sold = append(c.sold, fate{col: col, week: join, sex: bird.Hen, what: "sold as started pullet", kg: kg, live: live, price: sale.Price})
	}
	if !pr.h.Means.WillKill {
		// Somebody takes what is not kept; nothing is paid for it.
		col := pr.m.Column("givepullet_"+s.id, 0, 0, math.Inf(1))
		pr.m.Add(started, col, 1)
		c.given = append(c.given, fate{col: col, week: join, sex: bird.Hen, what: "given", kg: kg, live: live})
	}
}

// addSurplusPullets sends pullets that do not join the layers to the table with
// the next butcher day; where none comes in time they stay.
func (pr *programme) addSurplusPullets(s *slot, c *batchColumns, started solve.Row, join int) {
	col := pr.m.Column("pot_"+s.id, 0, 0, math.Inf(1))
	pr.m.Add(started, col, 1)
	day, ok := pr.nextButcherWeek(join)
	pr.clear()
	pr.live(s.hens, s.breed, bird.Hen, s.hatch, join, day, 1, false)
	pr.post(col)
	f := fate{col: col, week: day, sex: bird.Hen, what: "kept to the end", live: alive(s.hens, day-s.hatch)}
	if ok {
		f.what, f.kg = "table", dressed(s.hens, day-s.hatch)
		u, _ := pr.g.in(day)
		pr.tableEntries(col, pr.g.of[u], f.live, f.kg)
	}
	c.pot = append(c.pot, f)
}

// nextButcherWeek is the first week from t on in which birds may be butchered; the
// end of the grid, and false, where there is none within three months.
func (pr *programme) nextButcherWeek(t int) (week int, ok bool) {
	for w := t; w < t+12; w++ {
		if u, ok := pr.g.in(w); ok && u == pr.butcherWeek(pr.g.of[u]) {
			return w, true
		}
	}
	return pr.g.weeks, false
}
