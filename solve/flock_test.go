package solve

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// flock makes a programme of the shape of a hatch plan: a whole-number column
// for each breed, hatch week and fate; rows for eggs, meat, brooder and house in
// periods of rowEvery weeks; purchases fill any gap, so there is always an
// answer. The figures are made up; only the shape matters.
func flock(weeks, breeds, fates, hatchEvery, rowEvery int, seed uint64) *Model {
	random := rand.New(rand.NewPCG(seed, 2))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*random.Float64() }
	periods := weeks / rowEvery
	m := NewModel(fmt.Sprintf("flock %d", seed))
	eggs, meat, brooder, house := make([]Row, periods), make([]Row, periods), make([]Row, periods), make([]Row, periods)
	for p := range periods {
		eggs[p] = m.Row(fmt.Sprintf("eggs %d", p), 40*float64(rowEvery), inf)
		meat[p] = m.Row(fmt.Sprintf("meat %d", p), 1.5*float64(rowEvery), inf)
		brooder[p] = m.Row(fmt.Sprintf("brooder %d", p), -inf, 30)
		house[p] = m.Row(fmt.Sprintf("house %d", p), -inf, 60)
	}
	for breed := range breeds {
		weightKg, feed := between(1.6, 3), between(0.7, 1.1)
		for fate := range fates {
			lay, hen, age := between(3.2, 5.8), fate%2 == 1, 12+2*fate
			if hen {
				age = 60 + 12*fate
			}
			for week := 0; week < weeks; week += hatchEvery {
				chicks := m.Whole(fmt.Sprintf("breed %d fate %d week %d", breed, fate, week), 2.5, 0, 24)
				roomed := []int{}
				for a := 0; a < age && week+a < periods*rowEvery; a++ {
					p := (week + a) / rowEvery
					m.AddCost(chicks, 0.35*feed*min(1, float64(a)/20+0.1))
					if !slices.Contains(roomed, p) {
						roomed = append(roomed, p)
						space := 1.0
						if a < 6 {
							space = 0.3
							m.Add(brooder[p], chicks, 1)
						}
						m.Add(house[p], chicks, space)
					}
					if hen && a >= 24 {
						season := 1 + 0.35*math.Cos(2*math.Pi*float64(week+a-26)/52)
						m.Add(eggs[p], chicks, lay*season*max(0.2, 1-0.004*float64(a-24)))
					}
				}
				if p := (week + age) / rowEvery; p < periods {
					share := 0.6
					if !hen {
						share = min(1, float64(age)/24)
					}
					m.Add(meat[p], chicks, weightKg*share)
				}
			}
		}
	}
	for p := range periods {
		m.Add(eggs[p], m.Column(fmt.Sprintf("eggs bought %d", p), 0.9, 0, inf), 1)
		m.Add(meat[p], m.Column(fmt.Sprintf("meat bought %d", p), 12, 0, inf), 1)
	}
	return m
}
