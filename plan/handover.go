package plan

import (
	"math"

	"henyear/bird"
	"henyear/measure"
)

// addEndState asks that the flock which the plan hands on is no poorer than the
// one it began with: as many first-year pullets and working cocks at the end of
// the last autumn.
func (pr *programme) addEndState() {
	if pr.g.cyclic {
		return
	}
	end := pr.lastAutumn()
	if end < 0 {
		return
	}
	pullets, cocks, hens := pr.startingStock()
	price := pr.pulletWorth()
	if hens > 0 {
		// Older hens too, at what they are worth: a year of eggs less than a pullet.
		r := pr.m.Row("endhens", hens, math.Inf(1))
		pr.m.Add(r, pr.m.Column("fewhens", price, 0, hens), 1)
		for i, s := range pr.slots {
			for _, st := range pr.cols[i].layers {
				if age := end - s.hatch; end >= st.from && end < st.to && age >= joinWeeks {
					pr.m.Add(r, st.col, alive(s.hens, age))
				}
			}
		}
	}
	if pullets > 0 {
		r := pr.m.Row("endpullets", pullets, math.Inf(1))
		pr.endShort = pr.m.Column("fewpullets", failure*price, 0, pullets)
		pr.m.Add(r, pr.endShort, 1)
		for i, s := range pr.slots {
			age := end - s.hatch
			if age < joinWeeks || age > 56 || s.meatOnly {
				continue
			}
			for _, st := range pr.cols[i].layers {
				if end >= st.from && end < st.to {
					pr.m.Add(r, st.col, alive(s.hens, age))
				}
			}
		}
	}
	if cocks > 0 {
		r := pr.m.Row("endcocks", cocks, math.Inf(1))
		short := pr.m.Column("fewcocks", failure*price, 0, cocks)
		pr.m.Add(r, short, 1)
		for i, s := range pr.slots {
			if end-s.hatch < joinWeeks {
				continue
			}
			for _, st := range pr.cols[i].cocks {
				if end >= st.from && end < st.to {
					pr.m.Add(r, st.col, 1)
				}
			}
		}
	}
}

// lastAutumn is the last week of the grid four weeks before a shortest day.
func (pr *programme) lastAutumn() int {
	want := (pr.winterSlot() - 5 + measure.SlotsPerYear) % measure.SlotsPerYear
	for t := pr.g.weeks - 1; t >= 0; t-- {
		if pr.g.slot[t] == want {
			return t
		}
	}
	return -1
}

// startingStock counts the first-year pullets, the cocks and all hens on hand. A start
// without birds is measured against what the need asks for.
func (pr *programme) startingStock() (pullets, cocks, hens float64) {
	for _, g := range pr.h.Birds {
		b := pr.breedOf(g.Breed)
		age := int(pr.g.start - measure.WeekOf(g.Hatched))
		switch {
		case b.Purpose == breedMeat:
		case g.Sex == bird.Cock:
			cocks += float64(g.Number)
		default:
			hens += float64(g.Number)
			if age <= 56 {
				pullets += float64(g.Number)
			}
		}
	}
	if hens == 0 {
		most := 0.0
		for p := range pr.g.periods {
			need, _ := pr.eggNeed(p)
			most = max(most, need/float64(pr.g.periods[p].weeks))
		}
		pullets = math.Round(most / 2.4 / 2) // a hen gives about 2.4 eggs a week over the year, half the flock is young
	}
	if limit := pr.h.Place.MaxCocks; limit >= 0 {
		cocks = min(cocks, float64(limit))
	}
	return pullets, cocks, hens
}

// pulletWorth is what a young hen is worth at the end: the cheapest started
// pullet on offer, else a usual price (guess).
func (pr *programme) pulletWorth() float64 {
	price := 0.0
	for _, o := range pr.h.Stock {
		if o.Form == startedPullet && (price == 0 || o.Price < price) {
			price = o.Price
		}
	}
	if price == 0 {
		price = 18
	}
	return price
}
