package plan

import (
	"fmt"
	"math"

	"henyear/bird"
	"henyear/measure"
	"henyear/solve"
)

// A season is a year in which a breed's own eggs are set.
type season struct {
	breed string
	year  int
}

func (pr *programme) seasonKey(s *slot) season {
	return season{s.breed.ID, pr.seasonYear(s.set)}
}

// seasonYear names the breeding year of a week by the calendar year of the
// longer days that follow: eggs set in the last weeks before midwinter's turn
// belong to the next year.
func (pr *programme) seasonYear(t int) int {
	turn := pr.winterSlot() - 4
	d := (turn - pr.g.slotOf(t) + measure.SlotsPerYear) % measure.SlotsPerYear
	return (pr.g.start + measure.Week(t+d)).Year()
}

// seasonOf is the column that says whether a breed's own eggs are set in the
// year of a slot. A household that breeds does so from then on: seasons rise.
func (pr *programme) seasonOf(s *slot) solve.Col {
	k := pr.seasonKey(s)
	col, ok := pr.seasons[k]
	if ok {
		return col
	}
	col = pr.m.Whole(fmt.Sprintf("season_%s_%d", k.breed, k.year), 0, 0, 1)
	pr.seasons[k] = col
	pr.seasonCols = append(pr.seasonCols, col)
	if before, ok := pr.seasons[season{k.breed, k.year - 1}]; ok {
		r := pr.m.Row(fmt.Sprintf("goeson_%s_%d", k.breed, k.year), 0, math.Inf(1))
		pr.m.Add(r, col, 1)
		pr.m.Add(r, before, -1)
	}
	return col
}

// addSeasonRow asks for the working cock and the spare in every week of a season
// in which own eggs are set. Tied to the season and not to the batch, the whole
// cocks show in the relaxation too, which makes its bound worth having.
func (pr *programme) addSeasonRow(s *slot) {
	r := pr.m.Row(fmt.Sprintf("cocksfor_%s_%d", s.breed.ID, s.set), math.Inf(-1), 0)
	pr.m.Add(r, pr.seasonOf(s), pr.cocksAsked(pr.seasonYear(s.set)))
	pr.needCocks = append(pr.needCocks, fitRow{s.breed.ID, s.set, r})
}

// addPresence keeps cocks through the year once a household breeds: from the
// first season on, the working cock and his spare are there in every period.
func (pr *programme) addPresence() {
	first := map[season]int{}
	var order []season
	for _, f := range pr.needCocks {
		k := season{f.breed, pr.seasonYear(f.week)}
		if _, ok := first[k]; !ok {
			first[k] = f.week
			order = append(order, k)
		}
	}
	for _, k := range order {
		for p, per := range pr.g.periods {
			mid := per.first + per.weeks/2
			if per.first <= first[k] || mid >= first[k]+measure.SlotsPerYear || pr.cocksOnHand() == 0 && mid < 12 {
				continue
			}
			r := pr.m.Row(fmt.Sprintf("cockshere_%s_%d_%02d", k.breed, k.year, p), math.Inf(-1), 0)
			pr.m.Add(r, pr.seasons[k], pr.cocksAsked(k.year))
			pr.present = append(pr.present, fitRow{k.breed, mid, r})
		}
	}
}

// coveredBySteadyCocks is the eggs fit for setting in a week that the working
// cocks of a steady year cover.
func (pr *programme) coveredBySteadyCocks(s *slot) float64 {
	if !pr.g.cyclic {
		return 0
	}
	return float64(pr.opt.working) * pr.eggsCovered(s.breed, s.strain, s.set)
}

// addSteadyCocks asks for the working cocks and the spare in every period of a
// steady year.
func (pr *programme) addSteadyCocks() {
	if pr.opt.working == 0 || len(pr.fit) == 0 {
		return
	}
	for p, per := range pr.g.periods {
		r := pr.m.Row(fmt.Sprintf("cockshere_%02d", p), math.Inf(-1), -float64(pr.opt.working+pr.h.Means.SpareCocks))
		pr.present = append(pr.present, fitRow{pr.fit[0].breed, per.first + per.weeks/2, r})
	}
}

// cocksAsked is the working cock and his spare; in the first season no more than
// are on hand, since a household with one cock hatches from him and rears the
// spare.
func (pr *programme) cocksAsked(year int) float64 {
	ask := float64(1 + pr.h.Means.SpareCocks)
	if have := pr.cocksOnHand(); have > 0 && year <= pr.years[0] {
		ask = min(ask, have)
	}
	return ask
}

func (pr *programme) cocksOnHand() float64 {
	n := 0
	for _, g := range pr.h.Birds {
		if g.Sex == bird.Cock {
			n += g.Number
		}
	}
	return float64(n)
}

// Keepers hatch one to three times a year (common practice).
const hatchesAYear = 3

func (pr *programme) hatchesRow(year int) solve.Row {
	return pr.yearRow(limitHatches, year, func() float64 { return hatchesAYear })
}
