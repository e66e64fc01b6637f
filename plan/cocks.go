package plan

import (
	"fmt"
	"math"

	"henyear/bird"
	"henyear/measure"
	"henyear/solve"
)

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
			pr.retireCocks(s, choose, c.cocks[k-1].col, 1, from)
			pr.retireCocks(s, choose, col, -1, from)
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
	if n := len(c.cocks); n > 0 {
		pr.retireCocks(s, choose, c.cocks[n-1].col, 1, from)
	}
}

// retireCocks sends cocks that have served to the pot in week t, or to whoever
// takes them where the keeper does not kill: of those chosen, the share that is
// still alive.
func (pr *programme) retireCocks(s *slot, chosen int, col solve.Col, sign float64, t int) {
	u, ok := pr.g.in(t)
	if !ok {
		return // kept to the end
	}
	p := pr.g.of[u]
	sign *= s.cocksLeft(chosen, t)
	if !pr.h.Means.WillKill {
		pr.m.Add(pr.takenRow(pr.g.periods[p].year), col, sign)
		return
	}
	kg := dressed(s.cocks, t-s.hatch)
	pr.m.Add(pr.butcher[p], col, sign)
	pr.m.Add(pr.freezerLevel[p], col, -sign*kg)
	if kg >= pr.h.Needs.TableBirdMinKg {
		pr.m.Add(pr.table[pr.g.periods[p].year], col, sign)
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
			return pr.atHome(pr.g.snap(u))
		}
	}
	return pr.g.weeks
}

// cocksLeft is the share of cocks chosen in one week that lives in another.
func (s *slot) cocksLeft(chosen, t int) float64 {
	return alive(s.cocks, t-s.hatch) / max(alive(s.cocks, max(chosen-s.hatch, 1)), 0.05)
}
