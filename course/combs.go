package course

import (
	"time"

	"henyear/bird"
	"henyear/breed"
	"henyear/measure"
	"henyear/source"
)

// combKinds are the combs of the catalogue, from those that stand up to those that
// lie flat.
var combKinds = [...]string{"single", "carnation", "buttercup", "v", "rose", "walnut", "cushion", "strawberry", "pea"}

// CombWinds are the winds for which limits are listed: a still perch and two that a
// bird outdoors or in a draught meets, m/s.
var CombWinds = [...]float64{0.1, 1, 2}

// Combs lists every kind and size of comb on cocks and hens, and what the nights
// of this holding do to it. Combs of one shape share their figures.
func (b *Book) Combs() []CombRow {
	known := map[bird.Comb]*[2]CombRow{} // by sex
	rows := make([]CombRow, 0, len(combKinds)*3*2)
	for _, kind := range combKinds {
		for size := 1; size <= 3; size++ {
			for _, sex := range []bird.Sex{bird.Cock, bird.Hen} {
				rows = append(rows, b.combRow(known, kind, size, sex))
			}
		}
	}
	return rows
}

func (b *Book) combRow(known map[bird.Comb]*[2]CombRow, kind string, size int, sex bird.Sex) CombRow {
	comb, wattle := bird.CombOf(kind, size, sex), bird.WattleOf(size, sex)
	have := known[comb]
	if have == nil {
		have = new([2]CombRow)
		known[comb] = have
	}
	row := have[sex]
	if row.Limits == nil {
		row = CombRow{Sex: sex, SexName: sex.String(), BladeMM: comb.HeightMM, ThickMM: comb.ThicknessMM, Limits: combLimits(comb, sex)}
		row.Nights, row.MonthNights = b.combYear(comb, sex)
		row.WorstMonth = worstMonth(row.MonthNights)
		row.Working = b.combWorking("comb-nights", comb, sex, row.Nights)
		have[sex] = row
	}
	row.Comb, row.Size = kind, size
	row.WattleMM = wattle.HeightMM
	row.WattleNights, _ = b.combYear(wattle, sex)
	row.RuledOut = bird.CombRuledOut(kind, size, b.h.Place.Climate.ExtremeMin())
	return row
}

func combLimits(c bird.Comb, sex bird.Sex) []CombLimit {
	limits := make([]CombLimit, len(CombWinds))
	for i, wind := range CombWinds {
		limits[i] = CombLimit{wind, within(c.FreezeAirRange(bird.CombOnsetC, wind)), within(c.FreezeAirRange(bird.FreezeTipC(sex), wind))}
	}
	return limits
}

// ColdestLimitC is the lowest air that a limit is given for: so flat a comb may stand
// still harder frost, but in such cold the reckoning only ranks combs.
const ColdestLimitC = -45

func within(r bird.Range) bird.Range {
	return bird.Range{Low: max(ColdestLimitC, r.Low), Best: max(ColdestLimitC, r.Best), High: max(ColdestLimitC, r.High)}
}

// combYear is the nights of a year that threaten a blade, and the best figure by
// months.
func (b *Book) combYear(c bird.Comb, sex bird.Sex) (year bird.Range, months [12]float64) {
	var slots [12]float64
	for slot := range b.grown {
		n := bird.CombNightsRange(c, sex, b.grown[slot])
		year = bird.Sum(year, n)
		m := measure.SlotMonth(slot) - 1
		months[m] += n.Best
		slots[m]++
	}
	if year.High < never {
		return bird.Range{}, [12]float64{}
	}
	// Months hold four slots or five: their nights go by their days, and add up to
	// the year's.
	sum := 0.0
	for m := range months {
		months[m] *= daysOfMonth[m] / slots[m]
		sum += months[m]
	}
	for m := range months {
		if sum > 0 {
			months[m] *= year.Best / sum
		}
	}
	return year, months
}

var daysOfMonth = [12]float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// never is fewer nights than are worth a digit.
const never = 1e-6

// CombNightsOf is the nights of each week of the steady year that threaten the
// comb and the wattles of a grown bird of a breed.
func (b *Book) CombNightsOf(r *breed.Breed, sex bird.Sex) (comb, wattle [measure.SlotsPerYear]bird.Range) {
	c, w := bird.CombOf(r.Comb, r.CombSize, sex), bird.WattleOf(r.WattleSize, sex)
	for slot := range b.grown {
		comb[slot] = bird.CombNightsRange(c, sex, b.grown[slot])
		wattle[slot] = bird.CombNightsRange(w, sex, b.grown[slot])
	}
	return comb, wattle
}

// hardlyANight is less than a night in twenty years: no month is the worst.
const hardlyANight = 0.05

func worstMonth(months [12]float64) time.Month {
	worst := 0
	for m, n := range months {
		if n > months[worst] {
			worst = m
		}
	}
	if months[worst] < hardlyANight {
		return 0
	}
	return time.Month(worst + 1)
}

// combRange says what the ends of a range of comb nights mean.
const combRange = "Fewest: a bird with as much blood in its comb as those that came unhurt through hard frost. " +
	"Most: one with as little as those whose combs froze; thin, old, wet or hungry birds lie there."

var combKeys = []string{"comb_model_range", "comb_model", "breed-comb-sizes"}

// combWorking opens the nights of a blade. The week named is that with the coldest
// nights.
func (b *Book) combWorking(code string, c bird.Comb, sex bird.Sex, nights bird.Range) source.Working {
	coldest, damp := 0, 0
	for slot := range b.grown {
		if b.grown[slot].NightC < b.grown[coldest].NightC {
			coldest = slot
		}
		if b.grown[slot].DampPerch {
			damp++
		}
	}
	s := &b.grown[coldest]
	limit := c.FreezeAirRange(bird.FreezeTipC(sex), s.AirMS)
	formula := "Nights = sum over the weeks of 7 x the share of nights colder than the limit. " +
		"The limit is the air in which the tip of the comb falls to the temperature of freezing: warmth from the head and from the blood " +
		"against wind and cold on both faces. Damp on the perch counts as air 4 °C colder."
	if sex == bird.Hen {
		formula += " A hen tucks her head under the wing: half of the fall below freezing counts."
	}
	if code == wattleNights {
		formula += " Reckoned like a comb that stands free. Wattles sunk in the neck feathers fare better than this, wattles wet from drinking worse; how many nights hardly tells large ones from small."
	}
	return source.NewWorking(code, formula, combRange, combKeys,
		source.WorkingInput{Name: "height of the blade", Value: c.HeightMM, Unit: "mm", Key: "breed-comb-sizes"},
		source.WorkingInput{Name: "thickness", Value: c.ThicknessMM, Unit: "mm", Key: "breed-comb-sizes"},
		source.WorkingInput{Name: "tip at which a night counts", Value: bird.FreezeTipC(sex), Unit: "°C", Key: "comb_model"},
		source.WorkingInput{Name: "blood flow, best figure", Value: bird.ConstrictedPerfusion * perMin, Unit: "ml a minute in 100 ml", Key: "comb_model"},
		source.WorkingInput{Name: "blood flow, lowest", Value: bird.PerfusionLow * perMin, Unit: "ml a minute in 100 ml", Key: "comb_model_range"},
		source.WorkingInput{Name: "blood flow, highest", Value: bird.PerfusionHigh * perMin, Unit: "ml a minute in 100 ml", Key: "comb_model_range"},
		source.WorkingInput{Name: "coldest week: usual coldest hour at the perch", Value: s.NightC, Unit: "°C", Key: "climate_normals"},
		source.WorkingInput{Name: "coldest week: spread of nights", Value: s.NightSDC, Unit: "°C", Key: "climate_spread"},
		source.WorkingInput{Name: "coldest week: air at the perch", Value: s.AirMS, Unit: "m/s", Key: "perch_air"},
		source.WorkingInput{Name: "coldest week: limit of a dry comb, best figure", Value: limit.Best, Unit: "°C"},
		source.WorkingInput{Name: "weeks of the year with a damp perch", Value: float64(damp), Unit: "weeks", Key: "cigr_2002"},
		source.WorkingInput{Name: "nights a year", Value: nights.Best, Unit: "nights"},
	)
}

const wattleNights = "wattle-nights"

// perMin turns a flow in 1/s into ml a minute for 100 ml of flesh.
const perMin = 6000
