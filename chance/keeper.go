package chance

import (
	"math"
	"strings"

	"henyear/bird"
	"henyear/plan"
)

// The keeper follows the plan's dates and chooses by what he has: he keeps more
// pullets and culls fewer hens when the flock is short of the plan, eats the
// surplus, keeps the cocks he needs, and takes out the poorest layers as far as
// hand and eye tell them (common practice).

// cullAccuracy is the correlation between what a keeper judges by hand and eye and
// what a hen really lays (the accuracy that the plan counts on).
const cullAccuracy = 0.5

// leave carries out what the plan says of week t.
func (r *runner) leave(t int) {
	for i := range r.lots {
		l := &r.lots[i]
		if !l.begun {
			continue
		}
		b := l.b
		if b.joinWeek >= 0 && !l.joined && t >= b.joinWeek {
			r.join(l, t)
		}
		if b.breederWeek >= 0 && !l.bred && t >= b.breederWeek {
			r.chooseCocks(l, t)
		}
		for k := range b.orders[0] {
			if o := &b.orders[0][k]; o.week == t {
				r.sendPullets(l, o, t)
			}
		}
		for k := range b.orders[1] {
			if o := &b.orders[1][k]; o.week == t {
				r.sendCockerels(l, o, t)
			}
		}
		for k := range b.retire {
			if o := &b.retire[k]; o.week == t {
				r.retireCocks(l, o, t)
			}
		}
	}
	if r.w.means[t].cull {
		r.cull(t)
	}
}

// hensNow counts hens of laying age.
func (r *runner) hensNow(t int) int {
	n := 0
	for i := range r.lots {
		l := &r.lots[i]
		if l.begun && !l.b.meat && l.joined {
			n += len(l.hens.birds) - l.surplus
		}
	}
	return n
}

// cocksNow counts the breeding cocks, those of a lot that hatched less than so many
// weeks ago.
func (r *runner) cocksNow(t, youngerThan int) int {
	n := 0
	for i := range r.lots {
		l := &r.lots[i]
		if l.begun && l.bred && t-l.b.hatch-l.slip < youngerThan {
			n += min(l.keep, len(l.cocks.birds))
		}
	}
	return n
}

// A cock serves two seasons, or three; then a son or a stranger takes his place
// (common practice, 1 to 3 seasons). In the summer in which cockerels are chosen, one
// that is older than this gives way, so that the flock has no more cocks than
// planned.
const (
	cockServesWeeks = 116
	anyAge          = 1 << 30
)

// giveWay sends n cocks that have served their time to the pot.
func (r *runner) giveWay(n, t int) {
	for i := range r.lots {
		l := &r.lots[i]
		if !l.begun || !l.bred || t-l.b.hatch-l.slip < cockServesWeeks {
			continue
		}
		for n > 0 && len(l.cocks.birds) > 0 {
			r.gone(&l.cocks, len(l.cocks.birds)-1, l, &potOrder, t, bird.Cock)
			l.keep = max(0, l.keep-1)
			n--
		}
	}
}

var potOrder = order{what: "culled for the pot"}

// join lets pullets join the layers: as many as planned, and more where hens are
// missing.
func (r *runner) join(l *lot, t int) {
	l.joined = true
	have := len(l.hens.birds)
	want := l.b.joins
	if r.w.spread.KeeperAdjusts {
		l.surplus = have
		missing := r.w.means[t].hens - l.b.joins - float64(r.hensNow(t))
		want = max(0, want+max(0, missing))
	}
	l.surplus = max(0, have-int(math.Round(want)))
	if len(l.b.orders[0]) == 0 {
		l.surplus = 0
	}
}

// chooseCocks keeps the cocks that the plan wants, and those that are missing.
func (r *runner) chooseCocks(l *lot, t int) {
	l.bred = true
	want := l.b.breeders
	if r.w.spread.KeeperAdjusts && l.b.source != "on hand" {
		missing := r.w.means[min(t+1, r.w.weeks-1)].cocks - l.b.breeders - float64(r.cocksNow(t, anyAge))
		want += max(0, missing)
	}
	l.keep = min(len(l.cocks.birds), int(math.Round(want)))
}

// sparedCocks is the cockerels of a lot that must not be eaten: those chosen, or
// before the choice those planned, and one more while the flock has no cock.
func (r *runner) sparedCocks(l *lot, t int) int {
	if l.bred {
		return l.keep
	}
	spare := int(math.Ceil(l.b.breeders))
	if r.w.spread.KeeperAdjusts && !l.b.meat && spare == 0 && r.w.h.Place.MaxCocks != 0 {
		want := int(math.Round(r.w.means[t].cocks))
		spare = max(0, want-r.cocksNow(t, cockServesWeeks)-r.sparedElsewhere(l))
		if spare > 0 {
			l.bred, l.keep = true, min(spare, len(l.cocks.birds))
			r.giveWay(r.cocksNow(t, anyAge)-want, t)
			return l.keep
		}
	}
	return spare
}

func (r *runner) sparedElsewhere(not *lot) int {
	n := 0
	for i := range r.lots {
		l := &r.lots[i]
		if l != not && l.begun && !l.bred {
			n += min(len(l.cocks.birds), int(math.Ceil(l.b.breeders)))
		}
	}
	return n
}

func (r *runner) sendPullets(l *lot, o *order, t int) {
	if o.what == "kept to the end" {
		return
	}
	left := l.surplus
	if !l.joined {
		left = len(l.hens.birds)
		if l.b.joinWeek >= 0 {
			left = max(0, left-int(math.Round(l.b.joins)))
		}
	}
	n := min(int(math.Round(o.share*float64(left))), len(l.hens.birds))
	for range n {
		r.gone(&l.hens, len(l.hens.birds)-1, l, o, t, bird.Hen)
	}
	l.surplus = max(0, l.surplus-n)
}

func (r *runner) sendCockerels(l *lot, o *order, t int) {
	if o.what == "kept to the end" {
		return
	}
	left := max(0, len(l.cocks.birds)-r.sparedCocks(l, t))
	n := int(math.Round(o.share * float64(left)))
	for range min(n, left) {
		r.gone(&l.cocks, len(l.cocks.birds)-1, l, o, t, bird.Cock)
	}
}

// retireCocks takes out cocks that have served, unless they would be missed.
func (r *runner) retireCocks(l *lot, o *order, t int) {
	n := min(len(l.cocks.birds), int(math.Round(o.birds)))
	if r.w.spread.KeeperAdjusts {
		n = min(n, max(0, r.cocksNow(t, anyAge)-int(math.Round(r.w.means[min(t+1, r.w.weeks-1)].cocks))))
	}
	for range n {
		r.gone(&l.cocks, len(l.cocks.birds)-1, l, o, t, bird.Cock)
		l.keep = max(0, l.keep-1)
	}
}

// gone books a bird that leaves.
func (r *runner) gone(c *crowd, i int, l *lot, o *order, t int, sex bird.Sex) {
	y := r.year(t)
	b := &c.birds[i]
	switch {
	case strings.HasPrefix(o.what, "sold"):
		y.figure[figCost] -= o.price
	case o.what == "given":
	default:
		at := c.side.at(t-1, l.slip, int(r.bin[max(0, t-1)]))
		kg := 0.0
		if at >= 0 {
			kg = c.side.weeks[at].DressedKg * max(0.5, 1+r.w.spread.Growth*float64(b.own))
			if sex == bird.Hen {
				kg = c.side.weeks[at].DressedKg
			}
		}
		r.meat += kg
		if kg >= r.w.h.Needs.TableBirdMinKg {
			y.figure[figTable]++
		}
	}
	c.drop(i)
}

// cull takes out the poorest layers of the batches that the plan names, no more
// than leaves the hens that the plan expects to keep.
func (r *runner) cull(t int) {
	w := r.w
	planned := 0.0
	for i := range r.lots {
		for _, o := range r.lots[i].b.culls {
			if o.week == t {
				planned += o.birds
			}
		}
	}
	wanted := planned
	if w.spread.KeeperAdjusts {
		wanted = float64(r.hensNow(t)) - w.means[t].hens
	}
	left := int(math.Round(wanted))
	// The oldest first: batches stand in the order of their coming.
	for i := range r.lots {
		l := &r.lots[i]
		if !l.begun || left <= 0 {
			continue
		}
		for k := range l.b.culls {
			o := &l.b.culls[k]
			if o.week != t || planned < 0.05 {
				continue
			}
			n := min(left, len(l.hens.birds), int(math.Round(o.birds/planned*wanted)))
			r.takePoorest(l, n, o, t)
			left -= n
			wanted -= float64(n)
			planned = max(0.05, planned-o.birds)
		}
	}
}

// takePoorest takes the n hens that look poorest.
func (r *runner) takePoorest(l *lot, n int, o *order, t int) {
	birds := l.hens.birds
	index := r.index[:len(birds)]
	blind := math.Sqrt(1 - cullAccuracy*cullAccuracy)
	for i := range birds {
		index[i] = cullAccuracy*float64(birds[i].own) + blind*bell(&birds[i].rng)
	}
	for range n {
		low := 0
		for i := range index {
			if index[i] < index[low] {
				low = i
			}
		}
		last := len(index) - 1
		r.gone(&l.hens, low, l, o, t, bird.Hen)
		index[low] = index[last]
		index = index[:last]
	}
}

// pantry uses the eggs of week t as the household would: the table with the
// oldest first, promised customers, other customers, freezing; what is missing is
// bought.
func (r *runner) pantry(t int) {
	w, m := r.w, &r.w.means[t]
	y := r.year(t)
	fresh := r.eggs[t]
	month := &r.monthly[w.months[t]]
	need := int(math.Round(m.need))
	month.laid += fresh
	month.need += need
	stock := fresh
	for _, n := range r.store {
		stock += n
	}
	thaw := min(r.froze, int(m.thawMost))
	if stock+thaw < need {
		r.short[t] = true
		y.figure[figShort]++
		y.flags |= shortWeek | shortMonth
		month.lack += need - stock - thaw
	}
	// The table.
	want := need
	fromStore := func(want int) int {
		for i := plan.EggKeepWeeks - 1; i >= 0; i-- {
			use := min(r.store[i], want)
			r.store[i] -= use
			want -= use
			stock -= use
		}
		use := min(fresh, want)
		fresh -= use
		stock -= use
		return want - use
	}
	want = fromStore(want)
	if want > 0 && thaw > 0 {
		use := min(thaw, want)
		r.froze -= use
		want -= use
	}
	y.figure[figBought] += float64(want)
	y.figure[figCost] += float64(want) * w.h.Prices.ShopEggsPerDozen / 12
	// Customers.
	keep := int(math.Ceil(m.keepBack))
	promised := int(math.Round(m.promised))
	sold := 0
	for i := range w.sales {
		s := &w.sales[i]
		n := min(int(math.Round(s.most[t])), max(0, stock-keep))
		left := fromStore(n)
		n -= left
		if s.promised {
			sold += n
		}
		y.figure[figCost] -= float64(n) * s.price
	}
	y.figure[figMissed] += float64(max(0, promised-sold))
	// The freezer.
	if m.freeze > 0 {
		n := min(fresh, int(math.Round(m.freeze)))
		fresh -= n
		r.froze += n
		r.iced[t] = n
	}
	if old := t - plan.FrozenEggWeeksMost; old >= 0 && r.iced[old] > 0 {
		fresher := 0
		for u := old + 1; u <= t; u++ {
			fresher += r.iced[u]
		}
		r.froze = min(r.froze, fresher)
	}
	copy(r.store[1:], r.store[:plan.EggKeepWeeks-1])
	r.store[0] = fresh
	r.eatMeat(t)
}

// eatMeat takes the week's birds out of the freezer.
func (r *runner) eatMeat(t int) {
	eat := r.w.means[t].eatMeatKg
	if eat < 0.01 {
		return
	}
	use := min(eat, r.meat)
	r.meat -= use
	if use < eat/2 {
		r.hungry++
		if r.hungry == emptyWeeks {
			r.year(t).flags |= freezerEmpty
		}
		return
	}
	r.hungry = 0
}

// emptyWeeks in a row without half the meat planned count as an empty freezer.
const emptyWeeks = 4
