package chance

import (
	"math"
	"math/rand/v2"

	"henyear/bird"
	"henyear/measure"
)

// one is a bird.
type one struct {
	rng   rand.PCG // her weeks
	doom  float64  // what she can still bear, in units of hazard
	own   float32  // how she differs from her sisters: lay of a hen, growth of a cock
	until int32    // first week in which she is free of eggs and chicks
	state bird.State
}

// side is the birds of one sex of a batch: the law and what every week of the
// plan brings them, for each kind of weather.
type side struct {
	law    *bird.Law
	first  int         // week of the plan of the first entry
	weeks  []bird.Week // by week and weather: (t-first)*bins + bin
	hazard []float64   // of loss other than raids, in the same order
	areaM2 []float32   // floor under a roof that a bird needs, by week
	begin  []bird.Standing
	warm   bool // a brooder keeps them warm in their first weeks
}

// newSide works out the weeks of one sex of birds hatched in week hatch of the
// plan, from week first on.
func (w *World) newSide(law *bird.Law, hatch, first int, underHen bool, area func(age int, kg float64) float64) *side {
	s := &side{law: law, first: first, warm: !underHen}
	around := func(t int) *bird.Surroundings {
		book := w.book
		if w.lit != nil && w.litWeek(t) {
			book = w.lit
		}
		return book.Around(t-hatch, w.slotOf(t), underHen)
	}
	var life bird.Life
	s.begin, life = law.Standings(func(i int) *bird.Surroundings { return around(hatch + i) }, first-hatch)
	n := max(0, w.weeks-first)
	s.weeks = make([]bird.Week, n*bins)
	s.hazard = make([]float64, n*bins)
	s.areaM2 = make([]float32, n)
	for i := range n {
		t := first + i
		plain := around(t)
		before := life
		for bin := range bins {
			at := before
			around := *plain
			if bin > 0 {
				w.warm(&around, w.slotOf(t), bin)
			}
			week := &s.weeks[i*bins+bin]
			law.Step(&at, &around, week)
			s.hazard[i*bins+bin] = -math.Log1p(-week.LossOther)
			if bin == 0 {
				life = at
			}
		}
		if area != nil {
			s.areaM2[i] = float32(area(t-hatch, s.weeks[i*bins].LiveKg))
		}
	}
	return s
}

// warm moves the temperatures of a week by the anomaly of a bin; what is left of
// the spread of its days is that within the week.
func (w *World) warm(s *bird.Surroundings, slot, bin int) {
	sd := w.spread.weekSD(w.book.Normal(slot))
	d := anomaly(bin) * sd
	s.MeanC += d
	s.NightC += d
	s.DayMaxC += d
	within := func(day float64) float64 { return math.Sqrt(max(0.1*day*day, day*day-sd*sd)) }
	s.NightSDC, s.DaySDC = within(s.NightSDC), within(s.DaySDC)
}

// at is the index of week t, t - slip for birds that hatched slip weeks later
// than planned, under the weather of a bin; -1 outside.
func (s *side) at(t, slip, bin int) int {
	i := t - slip - s.first
	if i < 0 || (i+1)*bins > len(s.weeks) {
		return -1
	}
	return i*bins + bin
}

// start gives a grown bird the state she is in at the side's first week.
func (s *side) start(u float64) bird.State {
	for _, b := range s.begin {
		u -= b.Share
		if u < 0 {
			return b.State
		}
	}
	if n := len(s.begin); n > 0 {
		return s.begin[n-1].State
	}
	return bird.State{}
}

// crowd is the living birds of one sex of a batch.
type crowd struct {
	side  *side
	slip  int // weeks that the batch came later than planned
	birds []one
}

// yield is what a crowd gave in a week.
type yield struct {
	eggs   int     // usable
	eggKg  float64 // of all laid, about
	begun  int     // hens that have begun to lay
	died   int
	broody int // hens that went broody
}

// mostRate is the highest chance of an egg a day that any hen has.
const mostRate = 0.97

// hens lives one week of a crowd of hens. level is the lay of the household in
// the week against the law, times the share of eggs that is usable; own is Spread.Own.
func (c *crowd) hens(t, at int, level, own, ill float64) (y yield) {
	s := c.side
	w := &s.weeks[at]
	loss := s.hazard[at] * ill
	law := s.law
	birds := c.birds
	settled := w.Settled()
	later := 0 // of the eggs, those of hens after their first laying year
	for i := 0; i < len(birds); {
		b := &birds[i]
		b.doom -= loss
		if b.doom < 0 {
			birds[i] = birds[len(birds)-1]
			birds = birds[:len(birds)-1]
			y.died++
			continue
		}
		i++
		if b.state.Stage == bird.Growing && w.Begin == 0 {
			continue
		}
		word := b.rng.Uint64()
		if int(b.until) > t {
			y.begun++
			continue
		}
		was := b.state.Stage
		if u := float64(word>>32) * (1.0 / (1 << 32)); was != bird.Laying || u < settled {
			b.state = law.Next(b.state, w, u)
		}
		if b.state.Stage > bird.Laying {
			if b.state.Stage == bird.Broody && was != bird.Broody {
				y.broody++
			}
			y.begun++
			continue
		}
		p := law.EggChance(b.state, w)
		if p == 0 {
			continue
		}
		y.begun++
		p = (p + own*float64(b.own)*p*(1-p)) * level
		if p > mostRate {
			p = mostRate
		} else if p <= 0 {
			continue
		}
		n := eggsOfSeven(p, uint32(word))
		y.eggs += n
		if b.state.Year > 0 {
			later += n
		}
	}
	c.birds = birds
	y.eggKg = float64(y.eggs-later)*law.OneEggKg(bird.State{}, w) + float64(later)*law.OneEggKg(bird.State{Year: 1}, w)
	return y
}

// others lives one week of a crowd that lays nothing.
func (c *crowd) others(at int, ill float64) (died int) {
	loss := c.side.hazard[at] * ill
	birds := c.birds
	for i := 0; i < len(birds); {
		birds[i].doom -= loss
		if birds[i].doom < 0 {
			birds[i] = birds[len(birds)-1]
			birds = birds[:len(birds)-1]
			died++
			continue
		}
		i++
	}
	c.birds = birds
	return died
}

// drop takes bird i out.
func (c *crowd) drop(i int) {
	last := len(c.birds) - 1
	c.birds[i] = c.birds[last]
	c.birds = c.birds[:last]
}

func (w *World) slotOf(t int) int {
	if t >= 0 && t < len(w.slots) {
		return w.slots[t]
	}
	return (w.start + measure.Week(t)).Slot()
}
