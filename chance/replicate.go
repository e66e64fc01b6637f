package chance

import (
	"math"
	"math/rand/v2"

	"henyear/bird"
	"henyear/hatch"
	"henyear/plan"
)

// flag marks what happened in a year.
type flag uint32

const (
	shortWeek flag = 1 << iota
	freezerEmpty
	noCock
	noBroody
	tooManyBirds
	hatchFailed
	raided
	bigRaid
	ill
	combFrozen
	powerCut
	shortMonth
	chilled
	lowYear
	fewHens
	heavyLosses
	flags = iota
)

// figures are counted for every year of a replicate.
type figure int

const (
	figEggs figure = iota
	figBought
	figWinter // eggs of the winter weeks
	figTable
	figChicks
	figLost
	figTaken
	figCost
	figFeed
	figHens
	figPullets
	figMissed
	figShort
	figures
)

// yearTally is one year of a replicate.
type yearTally struct {
	figure [figures]float64
	flags  flag
	level  float64 // mean of the shared lay
	weeks  float64
	taken  int // grown birds taken in the worst raid
}

// runner lives replicates one after the other in memory that it keeps.
type runner struct {
	w       *World
	streams streams

	level   []float64
	bin     []uint8
	eggs    []int // usable, by week
	layers  []int // hens of laying age, by week
	short   []bool
	years   []yearTally
	monthly []monthTally

	lots         []lot
	store        [plan.EggKeepWeeks]int
	froze        int
	iced         []int // eggs frozen, by week, to forget the old ones
	meat         float64
	hungry, sick int      // weeks without meat; weeks that an outbreak goes on
	noMan        int      // weeks since the last cock
	laid         [2][]int // usable eggs of this week and the one before, by breed
	raid, fever  rand.PCG
	pending      int       // settings under way
	foxes        []float64 // by year, against the mean
	grown        pen       // all grown birds this week
	young        []pen     // by lot
	birdWeeks    float64   // lived
	index        []float64
}

type monthTally struct {
	laid, need, lack int
}

// lot is a batch as it went in this replicate.
type lot struct {
	b       *batch
	hens    crowd
	cocks   crowd
	slip    int // weeks later than planned
	begun   bool
	pending bool // waits for a broody hen, or has been set and not hatched
	hatchAt int
	setEggs int
	chance  float64 // of an egg of the setting under way
	tries   int
	lost    bool
	surplus int // pullets that do not join
	joined  bool
	bred    bool
	keep    int // cocks kept for breeding
	frozen  int // week until which the comb of a cock is sore
	broody  int // last week in which a hen of the lot went broody
}

func (w *World) newRunner() *runner {
	r := &runner{w: w,
		level: make([]float64, w.weeks), bin: make([]uint8, w.weeks), eggs: make([]int, w.weeks),
		layers: make([]int, w.weeks), short: make([]bool, w.weeks), iced: make([]int, w.weeks),
		years: make([]yearTally, len(w.years)), foxes: make([]float64, len(w.years)), young: make([]pen, len(w.batches)), monthly: make([]monthTally, len(w.month)),
		lots: make([]lot, len(w.batches)), laid: [2][]int{make([]int, len(w.breeds)), make([]int, len(w.breeds))}}
	most := 0
	for i := range w.batches {
		b := &w.batches[i]
		n := max(b.eggs, b.hens+b.cocks)
		r.lots[i].hens.birds = make([]one, 0, n)
		r.lots[i].cocks.birds = make([]one, 0, n)
		most += n
	}
	r.index = make([]float64, most)
	return r
}

// live runs one replicate from beginning to end.
func (r *runner) live(seeds *[lucks]uint64, replicate uint64) {
	w := r.w
	r.streams = newStreams(seeds, replicate)
	r.reset()
	w.spread.levels(r.level, w.yearOf, &r.streams)
	w.spread.weather(r.bin, &r.streams)
	r.raid = r.streams.open(ofRaid, 0)
	for y := range r.foxes {
		g := r.streams.open(ofFoxes, uint64(y))
		r.foxes[y] = lognormal(w.spread.RaidYearCV, normal(&g))
	}
	r.fever = r.streams.open(ofIllness, 0)
	for t := range w.weeks {
		m := &w.means[t]
		if m.comes || r.pending > 0 {
			r.arrivals(t)
		}
		if m.leaves {
			r.leave(t)
		}
		if m.sets {
			r.settings(t)
		}
		r.illness(t)
		r.week(t)
		r.raids(t)
		r.pantry(t)
	}
	for y := range r.years {
		r.finishYear(y)
	}
}

func (r *runner) reset() {
	for i := range r.lots {
		l := &r.lots[i]
		b := &r.w.batches[i]
		hens, cocks := l.hens.birds[:0], l.cocks.birds[:0]
		*l = lot{b: b, broody: -1000}
		l.hens = crowd{side: b.sides[0], birds: hens}
		l.cocks = crowd{side: b.sides[1], birds: cocks}
	}
	clear(r.years)
	clear(r.monthly)
	clear(r.short)
	clear(r.iced)
	clear(r.laid[0])
	clear(r.laid[1])
	r.store = [plan.EggKeepWeeks]int{}
	r.froze, r.meat, r.hungry, r.sick, r.noMan = 0, 0, 0, 0, 1000
	r.birdWeeks, r.pending = 0, 0
}

func (r *runner) year(t int) *yearTally { return &r.years[r.w.yearOf[t]] }

func (r *runner) pay(t int, amount float64) { r.year(t).figure[figCost] += amount }

// arrivals brings birds on hand, bought birds and hatches.
func (r *runner) arrivals(t int) {
	for i := range r.lots {
		l := &r.lots[i]
		b := l.b
		switch {
		case l.begun:
		case b.eggs > 0:
			if l.pending && l.hatchAt == t {
				r.hatches(l, t)
			}
		case t == max(0, b.arrive):
			l.begun = true
			r.pay(t, b.cost)
			for k := range b.hens {
				l.hens.birds = append(l.hens.birds, r.bird(b, k, b.sides[0], bird.Hen))
			}
			for k := range b.cocks {
				l.cocks.birds = append(l.cocks.birds, r.bird(b, b.hens+k, b.sides[1], bird.Cock))
			}
		}
	}
}

// bird makes the k-th bird of a batch.
func (r *runner) bird(b *batch, k int, s *side, sex bird.Sex) (out one) {
	id := hash2(b.key, uint64(k))
	making := r.streams.open(ofMaking, id)
	makeOwn(&out, &making)
	out.rng = r.streams.open(ofLife, id)
	if sex == bird.Hen {
		out.state = s.start(uniform(&making))
	}
	return out
}

// settings sets eggs in the weeks of the plan, if there are eggs and a hen that
// sits.
func (r *runner) settings(t int) {
	for i := range r.lots {
		l := &r.lots[i]
		b := l.b
		if b.eggs == 0 || l.begun || l.pending || t < b.set || l.tries > 0 || t > b.set+waitForBroody {
			continue
		}
		if b.method == hatch.Broody {
			if !r.sit(l, t) {
				if t < b.set+waitForBroody {
					continue
				}
				r.year(t).flags |= noBroody
				if r.w.h.Means.MachineEggs == 0 {
					l.tries = 2
					continue
				}
			}
		}
		r.set(l, t)
	}
}

// waitForBroody is for how many weeks a keeper waits for a hen to sit before the
// eggs go into the machine, or are eaten; dummyWeeks is how long a hen that went
// broody earlier is kept sitting on dummy eggs.
const (
	waitForBroody = 3
	dummyWeeks    = 3
)

// sit looks for a hen that sits, or has been kept sitting, and gives her eggs.
func (r *runner) sit(l *lot, t int) bool {
	for i := range r.lots {
		h := &r.lots[i]
		if h.b.meat || t-h.broody > dummyWeeks {
			continue
		}
		for k := range h.hens.birds {
			b := &h.hens.birds[k]
			if b.state.Stage == bird.Broody || h.broody < t && b.state.Stage == bird.Laying && b.state.Step == 1 {
				b.until = int32(t + hatch.UsualProfile().Weeks())
				b.state = bird.State{Stage: bird.Laying, Step: 1, Year: b.state.Year}
				h.broody = -1000
				return true
			}
		}
	}
	return false
}

// set puts eggs under a hen or in the machine.
func (r *runner) set(l *lot, t int) {
	w, b := r.w, l.b
	l.tries++
	g := r.streams.open(ofSetting, hash2(b.key, uint64(l.tries)))
	fertility := hatchUsual
	n := b.eggs
	if b.own {
		fit := r.fitEggs(b.breedNo)
		n = min(n, fit)
		if n < 4 {
			n = 0
		}
		r.takeEggs(n)
		fertility = r.fertility(b, t)
	}
	l.setEggs = n
	l.pending = true
	r.pending++
	l.hatchAt = t + 3
	l.slip = l.hatchAt - b.hatch
	s := hatch.Setting{Fertility: fertility, Method: b.method, SavedDays: 7, Posted: b.posted}
	around := w.book.Week(w.slotOf(t))
	if fertility == hatchUsual {
		s.Fertility = hatch.Mating{CockSeason: 1, HenYear: 1, HensPerCock: b.breed.HensPerCock, ClassBound: b.breed.HensPerCock,
			LightH: around.LightH, DayMaxC: around.DayMaxC}.Fertility()
	}
	p := s.HatchWhenSpared()
	z := bell(&g)
	if b.method != hatch.FirstBroody && w.spread.HatchSpread > 0 {
		p += w.spread.HatchSpread * z * p * (1 - p)
	}
	l.chance = min(1, max(0, p))
	fails := hatch.WholeSettingLoss(b.method)
	u, why := uniform(&g), uniform(&g)
	if !w.spread.MachineFails {
		l.chance *= 1 - fails
		u = 1
	}
	l.lost = u < fails
	if l.lost && b.method == hatch.Machine && why < powerCutShare {
		r.year(t).flags |= powerCut
	}
	r.pay(t, b.cost)
}

// hatchUsual stands for the fertility of a usual mating.
const hatchUsual float64 = -1

// powerCutShare is the part of machine settings lost that is lost to the power
// (key chance-settings).
const powerCutShare = 0.5

// fitEggs is the eggs of a breed fit for setting: of ten days.
func (r *runner) fitEggs(breedNo int) int {
	return int(plan.FitShare * (float64(r.laid[0][breedNo]) + 3.0/7*float64(r.laid[1][breedNo])))
}

// takeEggs takes eggs for setting out of the store, the freshest first.
func (r *runner) takeEggs(n int) {
	for age := range r.store {
		use := min(n, r.store[age])
		r.store[age] -= use
		n -= use
	}
}

// fertility of the eggs of a breed that are set in week t, from the cocks there are.
func (r *runner) fertility(b *batch, t int) float64 {
	w := r.w
	hens, cocks, duds, sore, season, years := 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
	for i := range r.lots {
		l := &r.lots[i]
		if l.b.breedNo != b.breedNo || !l.begun {
			continue
		}
		age := t - l.b.hatch - l.slip
		if age >= plan.BreedHenWeeks {
			n := float64(len(l.hens.birds))
			hens += n
			years += n * float64(max(1, 1+(age-30)/52))
		}
		if age < plan.BreedCockWeeks {
			continue
		}
		for k := range l.cocks.birds {
			c := &l.cocks.birds[k]
			cocks++
			season += float64(1 + max(0, (age-22)/52))
			if w.spread.CocksFail && failsAsCock(c.own) {
				duds++
			}
			if l.frozen > t {
				sore++
			}
		}
	}
	if cocks == 0 {
		return hatch.Mating{CockSeason: 1, HenYear: 1}.Fertility() * hatch.AfterRemoval(7*float64(r.noMan))
	}
	around := w.book.Week(w.slotOf(t))
	m := hatch.Mating{CockSeason: int(math.Round(season / cocks)), HenYear: int(math.Round(years / max(1, hens))),
		HensPerCock: hens / max(1, cocks-duds), ClassBound: b.breed.HensPerCock, LightH: around.LightH, DayMaxC: around.DayMaxC,
		CombFrozen: sore > cocks/2}
	m.HensPerCock = max(4, m.HensPerCock) // a few hens to a cock are parted in turn by any keeper
	if cocks-duds < 0.5 {
		return 0
	}
	return m.Fertility()
}

// failsAsCock: about one cock in twenty never fills an egg (key chance-cocks).
func failsAsCock(own float32) bool { return own > 1.69 }

// hatches brings the chicks of a setting.
func (r *runner) hatches(l *lot, t int) {
	w, b := r.w, l.b
	l.pending = false
	r.pending--
	expect := b.chicks
	if !l.lost {
		for k := range l.setEggs {
			id := hash2(b.key, uint64(l.tries)<<32|uint64(k))
			g := r.streams.open(ofEgg, id)
			if uniform(&g) >= l.chance {
				continue
			}
			r.year(t).figure[figChicks]++
			male := g.Uint64()&1 == 1
			if uniform(&g) < b.soldChicks {
				r.pay(t, -b.chickPrice)
				continue
			}
			if male {
				l.cocks.birds = append(l.cocks.birds, r.bird(b, l.tries<<16|k, l.cocks.side, bird.Cock))
			} else {
				l.hens.birds = append(l.hens.birds, r.bird(b, l.tries<<16|k, l.hens.side, bird.Hen))
			}
		}
	}
	n := len(l.hens.birds) + len(l.cocks.birds)
	got := float64(n) / max(1e-9, 1-b.soldChicks)
	if got < 0.5*expect {
		r.year(t).flags |= hatchFailed
		again := w.spread.KeeperAdjusts && l.tries < 2 && w.h.Means.MachineEggs > 0 && t+4 < b.againBefore && b.own
		if again && n == 0 {
			r.set(l, t)
			return
		}
	}
	l.begun = true
	l.hens.slip, l.cocks.slip = l.slip, l.slip
	if n == 0 {
		return
	}
	r.pay(t, b.brooderPower)
	r.brood(l, t)
}

// Chills come to a whole brood at once: a lamp out, a wet night. The law's losses
// of the first three weeks stay what they are on the mean; a part of them falls on
// a few broods (guess).
const (
	chilledBroods = 0.02
	chilledShare  = 0.35
)

func (r *runner) brood(l *lot, t int) {
	if !r.w.spread.MachineFails {
		return
	}
	for _, c := range [...]*crowd{&l.hens, &l.cocks} {
		for i := range c.birds {
			c.birds[i].doom += chilledBroods * chilledShare // what the chilled lose more, all lose less
		}
	}
	g := r.streams.open(ofBrood, l.b.key)
	if uniform(&g) >= chilledBroods {
		return
	}
	r.year(t).flags |= chilled
	for _, c := range [...]*crowd{&l.hens, &l.cocks} {
		for i := 0; i < len(c.birds); {
			if uniform(&g) < chilledShare {
				c.drop(i)
				r.year(t).figure[figLost]++
				continue
			}
			i++
		}
	}
}

// illness begins and ends outbreaks.
func (r *runner) illness(t int) {
	rate := r.w.spread.IllnessAYear
	if rate <= 0 {
		return
	}
	u := uniform(&r.fever)
	if r.sick > 0 {
		r.sick--
		return
	}
	if u < rate/52 {
		r.sick = illWeeks
		r.year(t).flags |= ill
	}
}

// An outbreak lasts four weeks, costs two fifths of the eggs and brings a
// multiple of the usual deaths (a guess, key chance-illness; among 1,487 owners
// 59 % saw no trouble in a year, key chance-owners-survey).
const (
	illWeeks = 4
	illLay   = 0.6
	illLoss  = 6.0
)

// week lives one week of all birds.
func (r *runner) week(t int) {
	w := r.w
	bin := int(r.bin[t])
	level := r.level[t] * (1 - w.h.Means.EggLoss)
	loss := 1.0
	if rate := w.spread.IllnessAYear; rate > 0 {
		share := rate * illWeeks / 52
		loss = 1 / (1 + share*(illLoss-1))
		if r.sick > 0 {
			loss *= illLoss
			level *= illLay
		}
	}
	y := r.year(t)
	y.level += level
	y.weeks++
	copy(r.laid[1], r.laid[0])
	clear(r.laid[0])
	eggs, hens, birds, cocks, adults := 0, 0, 0, 0, 0
	area, feed, feedCost := 0.0, 0.0, 0.0
	r.grown = pen{}
	usable := 1 - w.h.Means.EggLoss
	prices := &w.h.Prices
	for i := range r.lots {
		l := &r.lots[i]
		if !l.begun {
			continue
		}
		r.young[i] = pen{}
		if len(l.hens.birds) == 0 && len(l.cocks.birds) == 0 {
			continue
		}
		age := t - l.b.hatch - l.slip
		grown := age >= plan.JoinWeeks
		home := &r.grown
		if !grown {
			home = &r.young[i]
		}
		price := prices.FeedPerKg
		if age < plan.BrooderWeeks {
			price = prices.ChickFeedPerKg
		}
		if n := len(l.hens.birds); n > 0 {
			if at := l.hens.side.at(t, l.slip, bin); at >= 0 {
				wk := &l.hens.side.weeks[at]
				got := l.hens.hens(t, at, level, w.spread.Own, loss)
				y.figure[figLost] += float64(got.died)
				if got.broody > 0 {
					l.broody = t
				}
				eggs += got.eggs
				r.laid[0][l.b.breedNo] += got.eggs
				n -= got.died
				home.add(n, wk)
				eaten := float64(n-got.begun)*wk.GrowingKg + float64(got.begun)*wk.HenFeedKg + got.eggKg/usable*wk.EggFeed
				feed += eaten
				feedCost += eaten * price
				area += float64(n) * float64(l.hens.side.areaM2[at/bins])
				birds += n
				if grown && !l.b.meat {
					hens += n
				}
				if grown {
					adults += n
				}
			}
		}
		if n := len(l.cocks.birds); n > 0 {
			if at := l.cocks.side.at(t, l.slip, bin); at >= 0 {
				wk := &l.cocks.side.weeks[at]
				died := l.cocks.others(at, loss)
				y.figure[figLost] += float64(died)
				n -= died
				home.add(n, wk)
				eaten := float64(n) * wk.GrowingKg
				feed += eaten
				feedCost += eaten * price
				area += float64(n) * float64(l.cocks.side.areaM2[at/bins])
				birds += n
				if grown {
					adults += n
				}
				if age >= plan.BreedCockWeeks {
					cocks += n
					if n > 0 && wk.CombNights > 0.01 {
						r.frost(l, wk.CombNights, t)
					}
				}
			}
		}
	}
	r.eggs[t], r.layers[t] = eggs, hens
	y.figure[figEggs] += float64(eggs)
	if w.means[t].winter {
		y.figure[figWinter] += float64(eggs)
	}
	r.birdWeeks += float64(birds)
	if cocks > 0 {
		r.noMan = 0
	} else {
		r.noMan++
		if w.means[t].wantsCocks {
			y.flags |= noCock
		}
	}
	bought := feed / (1 - w.h.Means.FeedWaste)
	y.figure[figFeed] += bought
	y.figure[figCost] += feedCost/(1-w.h.Means.FeedWaste) + (float64(birds)*prices.BeddingPerBirdYear+prices.FixedPerYear)/52
	if area > w.room.shelterM2*roomSlack || float64(adults) > w.room.adults+0.5 {
		y.flags |= tooManyBirds
	}
	if t == w.winterCount(w.yearOf[t]) {
		y.figure[figHens] = float64(hens)
		for i := range r.lots {
			l := &r.lots[i]
			if l.begun && !l.b.meat && t-l.b.hatch-l.slip >= plan.JoinWeeks && t-l.b.hatch-l.slip < 52 {
				y.figure[figPullets] += float64(len(l.hens.birds))
			}
		}
		if float64(hens) < 0.75*w.means[t].hens {
			y.flags |= fewHens
		}
	}
}

// roomSlack: a flock over its room by less than this is not called crowded.
const roomSlack = 1.03

// frost: a threatened night hurts a comb one time in ten; it is sore for six weeks
// (key chance-frost).
func (r *runner) frost(l *lot, nights float64, t int) {
	const hurtsANight, soreWeeks = 0.10, 6
	g := &l.cocks.birds[0].rng
	if uniform(g) < 1-math.Pow(1-hurtsANight, nights) {
		l.frozen = t + soreWeeks
		r.year(t).flags |= combFrozen
	}
}

// winterCount is the week of the plan in which a year's winter flock is counted,
// -1 where there is none.
func (w *World) winterCount(year int) int { return w.counted[year] }

// finishYear sums up what can be judged only at the end.
func (r *runner) finishYear(y int) {
	w := r.w
	tally := &r.years[y]
	if n := w.winterWeeks[y]; n > 0 {
		tally.figure[figWinter] /= n
	}
	tally.level /= max(1, tally.weeks) * (1 - w.h.Means.EggLoss)
	if tally.level < 0.85 {
		tally.flags |= lowYear
	}
	if hens := w.usualHens[y]; hens > 0 && tally.figure[figLost] > 0.5*hens {
		tally.flags |= heavyLosses
	}
}
