package chance

import (
	"context"
	"errors"
	"math"

	"henyear/bird"
	"henyear/breed"
	"henyear/course"
	"henyear/measure"
)

// A Bare is a flock without a plan: groups of hens kept over some weeks on a
// place, whom nobody culls, sells or replaces.
type Bare struct {
	Book    *course.Book
	EggLoss float64 // share of eggs that are not usable
	From    measure.Week
	Weeks   int
	Groups  []BareGroup
	Spread  Spread
	// Lit, when set, is the book under lamps, used in the weeks for which LitWeek
	// says so.
	Lit     *course.Book
	LitWeek func(measure.Week) bool
}

// BareGroup is hens alike, present from one week to another (excluded). Number is
// of those alive in From.
type BareGroup struct {
	Breed    *breed.Breed
	Strain   breed.Strain
	Hatched  measure.Week
	Number   int
	From, To measure.Week
}

// BareResult holds usable eggs and hens present, by week and replicate.
type BareResult struct {
	From measure.Week
	Eggs [][]uint16
	Hens [][]uint16
}

// ready works out the weeks of each group.
func (b *Bare) ready() (*World, []*side, error) {
	if b.Weeks <= 0 || len(b.Groups) == 0 {
		return nil, nil, errors.New("a flock needs at least one group of hens and one week")
	}
	w := &World{book: b.Book, spread: b.Spread.prepared().at(b.Book.Stray()), start: b.From, weeks: b.Weeks}
	w.slots = make([]int, b.Weeks)
	w.yearOf = make([]int, b.Weeks)
	for t := range b.Weeks {
		week := b.From + measure.Week(t)
		w.slots[t] = week.Slot()
		w.yearOf[t] = week.Monday().AddDays(3).Year
	}
	if b.Lit != nil && b.LitWeek != nil {
		w.lit = b.Lit
		w.litWeek = func(t int) bool { return b.LitWeek(b.From + measure.Week(t)) }
	}
	sides := make([]*side, len(b.Groups))
	for i := range b.Groups {
		g := &b.Groups[i]
		law := bird.NewLaw(g.Breed, g.Strain, bird.Hen, b.Book.Rates())
		first := max(0, int(g.From-b.From))
		if g.Number < 0 || g.Hatched > g.From {
			return nil, nil, errors.New("a group of hens must be hatched before it is kept, and cannot be fewer than none")
		}
		sides[i] = w.newSide(law, int(g.Hatched-b.From), first, false, nil)
	}
	return w, sides, nil
}

// Run lives the flock through so many replicates.
func (b *Bare) Run(ctx context.Context, opt Options) (*BareResult, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	w, sides, err := b.ready()
	if err != nil {
		return nil, err
	}
	n := opt.replicates()
	res := &BareResult{From: b.From, Eggs: make([][]uint16, b.Weeks), Hens: make([][]uint16, b.Weeks)}
	for t := range b.Weeks {
		res.Eggs[t], res.Hens[t] = make([]uint16, n), make([]uint16, n)
	}
	seeds := seedsOf(opt.Seed)
	workers := opt.workers()
	lives := make([]*bareLife, workers)
	err = spreadOver(ctx, n, workers, nil, func(k, i int) {
		if lives[k] == nil {
			lives[k] = newBareLife(w, b, sides)
		}
		lives[k].live(&seeds, i, res)
	})
	if err != nil {
		return nil, err
	}
	return res, nil
}

type bareLife struct {
	w      *World
	b      *Bare
	sides  []*side
	crowds []crowd
	level  []float64
	bin    []uint8
}

func newBareLife(w *World, b *Bare, sides []*side) *bareLife {
	l := &bareLife{w: w, b: b, sides: sides, level: make([]float64, w.weeks), bin: make([]uint8, w.weeks),
		crowds: make([]crowd, len(b.Groups))}
	for i := range l.crowds {
		l.crowds[i].birds = make([]one, 0, b.Groups[i].Number)
	}
	return l
}

func (l *bareLife) live(seeds *[lucks]uint64, i int, res *BareResult) {
	w := l.w
	streams := newStreams(seeds, uint64(i))
	w.spread.levels(l.level, w.yearOf, &streams)
	w.spread.weather(l.bin, &streams)
	raid := streams.open(ofRaid, 0)
	fever := streams.open(ofIllness, 0)
	sick := 0
	for k := range l.crowds {
		l.crowds[k] = crowd{side: l.sides[k], birds: l.crowds[k].birds[:0]}
	}
	rate := w.spread.IllnessAYear
	for t := range w.weeks {
		loss, level := 1.0, l.level[t]*(1-l.b.EggLoss)
		if rate > 0 {
			u := uniform(&fever)
			switch {
			case sick > 0:
				sick--
			case u < rate/52:
				sick = illWeeks
			}
			loss = 1 / (1 + rate*illWeeks/52*(illLoss-1))
			if sick > 0 {
				loss *= illLoss
				level *= illLay
			}
		}
		eggs, hens := 0, 0
		taken := 0.0
		for k := range l.crowds {
			c, g := &l.crowds[k], &l.b.Groups[k]
			at := t + int(l.b.From-g.From)
			if (at == 0 || t == 0 && at > 0) && g.To > l.b.From+measure.Week(t) {
				for j := range g.Number {
					id := hash2(uint64(k), uint64(j))
					making := streams.open(ofMaking, id)
					var b one
					makeOwn(&b, &making)
					b.rng = streams.open(ofLife, id)
					b.state = l.sides[k].start(uniform(&making))
					c.birds = append(c.birds, b)
				}
			}
			if l.b.From+measure.Week(t) == g.To {
				c.birds = c.birds[:0]
			}
			if len(c.birds) == 0 {
				continue
			}
			i := c.side.at(t, 0, int(l.bin[t]))
			got := c.hens(t, i, level, w.spread.Own, loss)
			eggs += got.eggs
			hens += len(c.birds)
			taken += float64(len(c.birds)) * c.side.weeks[i].LossRaid
		}
		res.Eggs[t][i], res.Hens[t][i] = uint16(min(eggs, math.MaxUint16)), uint16(hens)
		if w.spread.Raids && hens > 0 {
			l.raid(uniform(&raid), uniform(&raid), taken, hens)
		}
	}
}

// raid takes birds as raids on a plan do, here from the largest group first.
func (l *bareLife) raid(u, size, taken float64, hens int) {
	if u >= -math.Expm1(-taken/meanGround(float64(hens))) {
		return
	}
	for range groundKills(size, hens) {
		most := 0
		for k := range l.crowds {
			if len(l.crowds[k].birds) > len(l.crowds[most].birds) {
				most = k
			}
		}
		if n := len(l.crowds[most].birds); n > 0 {
			l.crowds[most].drop(n / 2)
		}
	}
}
