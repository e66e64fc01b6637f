package plan

import (
	"fmt"
	"math"

	"henyear/solve"
)

// addExtraBroodies offers the spells of hens known to sit, beside those that the
// flock's own course gives. Each can be set once in a breeding season, in
// whichever week of it she is wanted; like any other spell hers is one of those
// that a setting asks for, since one hen is no plan. What she fails to lay while
// she sits is charged to the setting (see sitterEffects).
func (pr *programme) addExtraBroodies() {
	if pr.opt.ExtraBroodies <= 0 || pr.g.cyclic {
		return
	}
	hens := float64(pr.opt.ExtraBroodies)
	once := map[int]solve.Row{}
	for _, week := range pr.broodyWeeks {
		year := pr.seasonYear(week)
		row, ok := once[year]
		if !ok {
			row = pr.m.Row(fmt.Sprintf("sitsonce_%d", year), math.Inf(-1), hens)
			once[year] = row
		}
		sits := pr.m.Column(fmt.Sprintf("sits_%d", week), 0, 0, hens)
		pr.m.Add(row, sits, 1)
		for _, set := range pr.broodyWeeks {
			if pr.withinSeason(week, set, 0) {
				pr.m.Add(pr.spells[set], sits, -1)
			}
		}
	}
}
