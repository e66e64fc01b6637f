package plan

import (
	"math"

	"henyear/bird"
	"henyear/measure"
)

// answer is a point of the programme with names for its parts.
type answer struct {
	pr *programme
	x  []float64
}

// head is a number of started birds of one slot, living from one week to
// another, that the answer keeps.
type head struct {
	s        *slot
	sex      bird.Sex
	from, to int
	started  float64
	lift     float64 // extra lay of hens kept after a cull, times started hens
	role     string  // "rearing", "layer", "cock", "table"
}

// heads lists every stretch of life in the answer.
func (a answer) heads() []head {
	var out []head
	pr := a.pr
	for i, s := range pr.slots {
		c := &pr.cols[i]
		units := a.x[c.units]
		if units < 1e-6 {
			continue
		}
		zero := pr.zero()
		add := func(h head) {
			if h.started > 1e-6 && h.to > h.from {
				out = append(out, h)
			}
		}
		chicks := 0.0
		for _, f := range c.chicks {
			chicks += a.x[f.col]
		}
		if s.unitHens > 0 {
			to := s.pulletsJoin()
			if s.meatOnly {
				to = s.hatch + meatApart(s)
			}
			add(head{s: s, sex: bird.Hen, from: max(s.arrive, zero), to: to, started: units*s.unitHens - chicks/2, role: "rearing"})
		}
		if s.unitCocks > 0 {
			add(head{s: s, sex: bird.Cock, from: max(s.arrive, zero), to: s.hatch + cocksApart(s), started: units*s.unitCocks - chicks/2, role: "rearing"})
		}
		for k, st := range c.layers {
			lift := 0.0
			if k > 0 && c.betterAt(k) != none {
				lift = a.x[c.betterAt(k)]
			}
			add(head{s: s, sex: bird.Hen, from: st.from, to: st.to, started: a.x[st.col], lift: lift, role: "layer"})
		}
		for _, f := range c.pot {
			add(head{s: s, sex: bird.Hen, from: s.pulletsJoin(), to: f.week, started: a.x[f.col], role: "table"})
		}
		for _, f := range append(append([]fate{}, c.meat...), c.given...) {
			if f.what == "given" {
				continue
			}
			add(head{s: s, sex: f.sex, from: max(s.hatch+cocksApart(s), s.arrive, zero), to: f.week, started: a.x[f.col], role: "table"})
		}
		for k, st := range c.cocks {
			chosen := max(st.from, zero)
			if k > 0 {
				chosen = c.cocks[0].from
			}
			share := 1 / max(alive(s.cocks, max(chosen-s.hatch, 1)), 0.05)
			from := st.from
			if k == 0 && s.from != onHand && s.from != boughtCock {
				from = max(s.hatch+partWeeks, zero)
			}
			add(head{s: s, sex: bird.Cock, from: from, to: st.to, started: a.x[st.col] * share, role: "cock"})
		}
	}
	return out
}

func (h head) course() []bird.Outputs {
	if h.sex == bird.Hen {
		return h.s.hens
	}
	return h.s.cocks
}

// week is the expectation of one week of the answer.
type week struct {
	eggs, eggKg, feedKg, feedCost          float64 // usable eggs; feed as bought
	birds, hens, pullets, cocks            float64
	chicks, growers, inLay, moulting       float64
	variance                               float64 // of eggs, shared luck apart
	lostRaids, lostOther, combNights, heat float64
	waterL, liveKg                         float64
	daily                                  float64 // minutes
	areaM2                                 float64
}

// Spread of eggs in a flock (published and kept histories): hens of one age and
// strain differ in a month with an SD of 0.2 in their daily rate; all the hens
// share a year's luck, with a coefficient of variation of 0.18 (a Louisiana
// flock's years; 0.30 in an Oregon one).
const (
	betweenHenRateSD = 0.2
	sharedYearCV     = 0.18
)

// weekly adds up the answer week by week. In a steady year lives longer than a
// year fold onto themselves.
func (a answer) weekly() []week {
	pr := a.pr
	out := make([]week, pr.g.weeks)
	usable := 1 - pr.h.Means.EggLoss
	bought := 1 / (1 - pr.h.Means.FeedWaste)
	for _, h := range a.heads() {
		o := h.course()
		for t := h.from; t < h.to; t++ {
			u, ok := pr.g.in(t)
			age := t - h.s.hatch
			if age < 0 || !ok && t < 0 {
				continue
			}
			if !ok || age >= len(o) {
				break
			}
			w := &out[u]
			v := &o[age]
			n := v.Alive * h.started
			eggs := v.Eggs * usable * (h.started + h.lift)
			w.eggs += eggs
			w.eggKg += v.EggKg * usable * (h.started + h.lift)
			feed := v.FeedKg * bought * h.started
			w.feedKg += feed
			w.feedCost += feed * pr.feedPrice(age)
			w.birds += n
			w.liveKg += n * v.LiveKg
			if n > 0 {
				w.variance += eggVariance(n, eggs/(7*n))
			}
			w.lostRaids += v.LostRaids * h.started
			w.lostOther += v.LostOther * h.started
			switch {
			case age < brooderWeeks:
				w.chicks += n
			case age < joinWeeks:
				w.growers += n
			case h.sex == bird.Cock && h.role == "table":
				w.growers += n
			case h.sex == bird.Cock:
				w.cocks += n
				w.combNights = math.Max(w.combNights, v.CombNights)
			default:
				w.hens += n
				w.inLay += v.InLay * h.started
				w.moulting += v.Moulting * h.started
				if age <= firstYearWeeks {
					w.pullets += n
				}
				w.heat = math.Max(w.heat, v.HeatDays)
			}
			if age >= brooderWeeks {
				w.daily += n * minutesPerBird
				w.areaM2 += n * pr.birdM2(h.s.breed, h.sex, age, v.LiveKg)
			}
			w.waterL += waterL(v.FeedKg*h.started/7, pr.book.Week(pr.g.slotOf(t)).MeanC)
		}
	}
	for t := range out {
		w := &out[t]
		if w.birds > 0.5 {
			w.daily += pr.choreMinutes()
		}
	}
	for i, s := range pr.slots {
		if a.x[pr.cols[i].units] < 1e-6 || s.from == onHand {
			continue
		}
		pr.eachWeek(s.set, s.hatch, func(u int) {
			if s.from.inMachine() {
				out[u].daily += minutesMachine
			}
		})
		pr.eachWeek(s.arrive, s.hatch+brooderWeeks, func(u int) { out[u].daily += minutesPerBrood })
	}
	return out
}

// Pullets are hens in their first laying year: to about 15 months of age.
const firstYearWeeks = 65

// waterL is the water a day for feedKg a day at tempC: 1.9 times the feed, more
// by 4 % a degree from 20 to 30 and 10 % above (set for this program from
// measured ratios of 1.5 to 2 at 15-25 C and a third to a half more above 32).
func waterL(feedKg, tempC float64) float64 {
	k := 1 + 0.04*math.Max(0, math.Min(tempC, 30)-20) + 0.10*math.Max(0, tempC-30)
	return 1.9 * feedKg * math.Min(k, 3)
}

func (pr *programme) eachWeek(from, to int, f func(week int)) {
	for t := from; t < to; t++ {
		if u, ok := pr.g.in(t); ok && (t >= 0 || pr.g.cyclic) {
			f(u)
		}
	}
}

// eggFlow is how the eggs of one week are used.
type eggFlow struct {
	laid, set, need, fromStore, fresh, sold, frozen, thawed, bought, spare float64

	missed float64 // promised to customers and not there
}

// flow walks through the weeks of a calendar answer as the household would:
// setting first, then the table with the oldest eggs, customers, freezing; what
// is left keeps for five weeks.
func (a answer) flow(weeks []week) []eggFlow {
	pr := a.pr
	out := make([]eggFlow, len(weeks))
	const keep = 5
	var store [keep]float64 // by age in weeks, 0 youngest
	frozen := 0.0
	set := a.eggsSet()
	for t := range weeks {
		f := &out[t]
		f.laid = weeks[t].eggs
		f.set = set[t]
		p := pr.g.of[t]
		per := float64(pr.g.periods[p].weeks)
		f.need = pr.tableEggs(t)
		fresh := math.Max(0, f.laid-f.set)
		want := f.need
		for i := keep - 1; i >= 0; i-- { // oldest first
			use := math.Min(store[i], want)
			store[i] -= use
			want -= use
			f.fromStore += use
		}
		use := math.Min(fresh, want)
		fresh -= use
		want -= use
		f.fresh = use
		planned := 0.0
		for _, col := range pr.use[p].sales {
			planned += a.x[col] / per
		}
		left := fresh
		for _, n := range store {
			left += n
		}
		sell := math.Max(0, math.Min(planned, left-a.keptBack(weeks, set, t, keep)))
		for i := keep - 1; i >= 1; i-- {
			use := math.Min(store[i], sell)
			store[i] -= use
			sell -= use
			f.sold += use
		}
		use = math.Min(fresh, sell)
		fresh -= use
		f.sold += use
		if pr.frozenLevel != nil {
			in := math.Min(fresh, a.x[pr.use[p].freeze]/per)
			fresh -= in
			frozen += in
			f.frozen = in
			thaw := math.Min(math.Min(want, frozen), pr.h.Needs.FrozenEggShare*f.need)
			frozen -= thaw
			want -= thaw
			f.thawed = thaw
		}
		f.bought = want
		f.missed = math.Max(0, pr.promisedEggs(t)-f.sold)
		f.spare = store[keep-1]
		copy(store[1:], store[:keep-1])
		store[0] = fresh
	}
	return out
}

// keptBack is the eggs of week t that the household will lack in the weeks for
// which they keep, so that nobody sells on Friday what is missed on Monday.
func (a answer) keptBack(weeks []week, set []float64, t, keep int) float64 {
	lack, most := 0.0, 0.0
	for u := t + 1; u < t+keep && u < len(weeks); u++ {
		lack += set[u] + a.pr.tableEggs(u) - weeks[u].eggs
		most = math.Max(most, lack)
	}
	return most
}

// tableEggs is what the household eats in week t when it is at home.
func (pr *programme) tableEggs(t int) float64 {
	if pr.away(t) {
		return 0
	}
	return pr.h.Needs.EggsPerWeek(int(pr.monthOf(t)))
}

// promisedEggs is what customers count on in week t.
func (pr *programme) promisedEggs(t int) float64 {
	n := 0.0
	for _, s := range pr.h.Needs.EggSales {
		if s.Promised && s.Months[int(pr.monthOf(t))-1] {
			n += 12 * s.DozensPerWeek
		}
	}
	return n
}

func (a answer) eggsSet() []float64 {
	out := make([]float64, a.pr.g.weeks)
	for i, s := range a.pr.slots {
		if s.from.own() {
			if u, ok := a.pr.g.in(s.set); ok {
				out[u] += a.x[a.pr.cols[i].units]
			}
		}
	}
	return out
}

// outlay splits the cost of the answer into what is paid and what is earned.
func (a answer) outlay() (gross, income float64) {
	for j, x := range a.x {
		c := a.pr.m.Cost(solveCol(j)) * x
		if c > 0 {
			gross += c
		} else {
			income -= c
		}
	}
	added, hidden := a.paidForSafety()
	return gross - added + hidden, income
}

// cash is the money that moves in each week: feed, stock, bedding, power,
// income; shortfalls at the single shop price.
type cash struct{ feed, other, income, shop float64 }

func (a answer) cash(weeks []week, flow []eggFlow) []cash {
	pr := a.pr
	out := make([]cash, len(weeks))
	prices := pr.h.Prices
	for t := range weeks {
		out[t].feed = weeks[t].feedCost
		out[t].other = weeks[t].birds*prices.BeddingPerBirdYear/measure.SlotsPerYear + prices.FixedPerYear/measure.SlotsPerYear
		if flow != nil {
			out[t].shop = flow[t].bought * prices.ShopEggsPerDozen / 12
			if sold := flow[t].sold; sold > 0 {
				out[t].income += a.salePrice(pr.g.of[t]) * sold
			}
		}
	}
	for i, s := range pr.slots {
		c := &pr.cols[i]
		if c.units == none || s.from == onHand {
			continue
		}
		x := a.x[c.units]
		if u, ok := pr.g.in(s.arrive); ok && x > 1e-6 {
			if s.from.eggs() {
				u, ok = pr.g.in(s.set)
			}
			if ok {
				out[u].other += x*s.price + pr.batchCost(s)
			}
		}
		for _, list := range [][]fate{c.sold, c.chicks, c.spent} {
			for _, f := range list {
				if u, ok := pr.g.in(f.week); ok {
					out[u].income += a.x[f.col] * f.live * f.price
				}
			}
		}
	}
	return out
}

// salePrice is the mean price of an egg sold in a period.
func (a answer) salePrice(p int) float64 {
	sum, eggs := 0.0, 0.0
	for i, col := range a.pr.use[p].sales {
		sum += a.x[col] * a.pr.h.Needs.EggSales[i].PricePerDozen / 12
		eggs += a.x[col]
	}
	if eggs == 0 {
		return 0
	}
	return sum / eggs
}
