package chance

import (
	"math"

	"henyear/bird"
	"henyear/plan"
)

// Raids.
//
// The law gives each bird a weekly chance to be taken. Predators do not take
// birds one by one at random: a hawk takes one, a fox one, two or half of a pen.
// So that the mean stays the law's, raids on a pen of n birds come at the rate
//
//	(n x chance to be taken) / (birds taken in a mean raid)
//
// with one bird for hawks and 1, 2 or half the pen, in the weights 0.6, 0.3 and
// 0.1, for ground predators (key chance-raid-sizes, a model assumption). Some years
// have more foxes than others, and spring has more than autumn. All grown birds
// are one pen; each young batch is another.

var raidWeights = [...]float64{0.6, 0.3, 0.1}

// meanGround is the birds taken in a mean raid of a ground predator on n birds.
func meanGround(n float64) float64 {
	return raidWeights[0] + raidWeights[1]*min(2, n) + raidWeights[2]*max(1, n/2)
}

// groundKills is how many of n birds a ground predator takes, for a uniform number.
// An odd pen is halved downwards or upwards as the rest of the number falls, so that
// the mean is half.
func groundKills(u float64, n int) int {
	switch {
	case u < raidWeights[2]:
		odd := n & 1
		if u < raidWeights[2]/2 {
			odd = 0
		}
		return max(1, (n+odd)/2)
	case u < raidWeights[2]+raidWeights[1]:
		return min(2, n)
	}
	return 1
}

// raids draws the raids of week t: on the grown, who are one pen, and on each
// young batch.
func (r *runner) raids(t int) {
	w := r.w
	if !w.spread.Raids {
		return
	}
	year := r.foxes[w.yearOf[t]]
	for i := range r.young {
		if p := r.young[i]; p.n > 0 {
			r.young[i] = pen{}
			r.raidPen(p, t, year, i, i+1)
		}
	}
	if r.grown.n > 0 {
		r.raidPen(r.grown, t, year, -1, len(r.lots))
	}
}

// pen is birds that a raid may find together.
type pen struct {
	n             int
	ground, hawks float64 // birds expected to be taken in the week
}

// add puts n birds in the pen.
func (p *pen) add(n int, w *bird.Week) {
	p.n += n
	danger := float64(n) * w.LossRaid
	p.hawks += danger * w.HawkPart
	p.ground += danger * (1 - w.HawkPart)
}

// raidPen draws whether a pen is raided and who is taken. Lots from to to-1 are in
// it; from -1 means all the grown.
func (r *runner) raidPen(p pen, t int, year float64, from, to int) {
	ground := p.ground / meanGround(float64(p.n)) * year * r.w.means[t].raids
	hawks := p.hawks * year
	u := uniform(&r.raid)
	if u >= ground+hawks {
		return // the chance of a raid is a little less than its rate
	}
	any := -math.Expm1(-(ground + hawks))
	if u >= any {
		return
	}
	// Which of them: the same number tells.
	if u < any*hawks/(ground+hawks) {
		r.take(1, t, from, to)
		return
	}
	r.take(groundKills(uniform(&r.raid), p.n), t, from, to)
}

// take removes birds at random by their danger.
func (r *runner) take(kills, t, from, to int) {
	y := r.year(t)
	grown := from < 0
	bin := int(r.bin[t])
	for range kills {
		total := 0.0
		each := func(f func(c *crowd, danger float64) bool) {
			for i := max(0, from); i < to; i++ {
				l := &r.lots[i]
				if !l.begun || grown && t-l.b.hatch-l.slip < plan.JoinWeeks {
					continue
				}
				for _, c := range [...]*crowd{&l.hens, &l.cocks} {
					if len(c.birds) == 0 {
						continue
					}
					if at := c.side.at(t, l.slip, bin); at >= 0 && f(c, c.side.weeks[at].LossRaid) {
						return
					}
				}
			}
		}
		each(func(c *crowd, danger float64) bool {
			total += float64(len(c.birds)) * danger
			return false
		})
		if total <= 0 {
			return
		}
		u := uniform(&r.raid) * total
		each(func(c *crowd, danger float64) bool {
			part := float64(len(c.birds)) * danger
			if u < part && danger > 0 {
				c.drop(min(len(c.birds)-1, int(u/danger)))
				return true
			}
			u -= part
			return false
		})
		y.figure[figTaken]++
		y.figure[figLost]++
	}
	if grown {
		y.flags |= raided
		y.taken = max(y.taken, kills)
		if kills >= 4 {
			y.flags |= bigRaid
		}
	}
}
