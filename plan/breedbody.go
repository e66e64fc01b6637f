package plan

import (
	"math"

	"henyear/bird"
	"henyear/breed"
	"henyear/measure"
)

// bodyFigures sets down what the place does to the birds of the year. Comb nights
// and wattle nights are those of the cocks kept, as CombNights is: 0 where none is
// kept. Heat hours are those of the hens kept, mud days those of grown birds with
// feathered legs. Hawks and cold are reckoned for the grown birds of each stock.
func (a answer) bodyFigures(y *BreedYear) {
	pr := a.pr
	type lived struct {
		comb, wattle [measure.SlotsPerYear]bird.Range
		hours, mud   [measure.SlotsPerYear]float64
	}
	known := map[*breed.Breed]*lived{}
	of := func(s stock) *lived {
		l := known[s.breed]
		if l == nil {
			l = &lived{}
			l.comb, l.wattle = pr.book.CombNightsOf(s.breed, bird.Cock)
			l.hours = pr.book.HeatHoursOf(s.breed, s.strain, bird.Hen)
			if s.breed.FeatheredShanks {
				l.mud = pr.book.MudDays()
			}
			known[s.breed] = l
		}
		return l
	}
	var low, high, wattle, hours, mud [measure.SlotsPerYear]float64
	for _, h := range a.heads() {
		cock := h.sex == bird.Cock
		if cock && h.role == "table" {
			continue
		}
		l := of(stock{h.s.breed, h.s.strain})
		for t := max(h.from, h.s.hatch+joinWeeks); t < h.to; t++ {
			u, ok := pr.g.in(t)
			if !ok || u >= measure.SlotsPerYear {
				continue
			}
			slot := pr.g.slotOf(t)
			if cock {
				low[u] = math.Max(low[u], l.comb[slot].Low)
				high[u] = math.Max(high[u], l.comb[slot].High)
				wattle[u] = math.Max(wattle[u], l.wattle[slot].Best)
			} else {
				hours[u] = math.Max(hours[u], l.hours[slot])
			}
			mud[u] = math.Max(mud[u], l.mud[slot])
		}
	}
	if y.Hens+y.Cocks+y.TableBirds >= 0.5 {
		y.CombNightsLow = math.Min(sumOf(low[:]), y.CombNights)
		y.CombNightsHigh = math.Max(sumOf(high[:]), y.CombNights)
		y.WattleNights, y.HeatHours, y.MudDays = sumOf(wattle[:]), sumOf(hours[:]), sumOf(mud[:])
	}
	y.CombCare = y.Cocks > 0.5 && pr.combCare(pr.stocks[0].breed)
	bought := 1 / (1 - pr.h.Means.FeedWaste)
	for i, s := range pr.stocks {
		hen := pr.book.BodyOf(s.breed, s.strain, bird.Hen)
		if i == 0 {
			y.HawkTimes, y.HawkLoss = hen.HawkTimes.Best, hen.HawkLoss.Best
		}
		switch {
		case s.breed.Purpose == breed.Meat:
			y.ExtraFeedColdKg += hen.ColdFeed.Best * a.started(s.breed) * bought
		case i == 0:
			y.ExtraFeedColdKg += (hen.ColdFeed.Best*y.Hens + pr.book.BodyOf(s.breed, s.strain, bird.Cock).ColdFeed.Best*y.Cocks) * bought
		}
	}
}

// combCare reports whether any week calls for care of a cock's comb.
func (pr *programme) combCare(b *breed.Breed) bool {
	for slot := range measure.SlotsPerYear {
		if bird.CombCaution(b.Comb, b.CombSize, bird.Cock, *pr.book.Week(slot)) {
			return true
		}
	}
	return false
}

// started is the birds of a breed that begin in the year, from whatever source.
func (a answer) started(b *breed.Breed) float64 {
	n := 0.0
	for i, s := range a.pr.slots {
		if s.breed == b {
			n += a.x[a.pr.cols[i].units] * (s.unitHens + s.unitCocks)
		}
	}
	return n
}

func sumOf(v []float64) (sum float64) {
	for _, x := range v {
		sum += x
	}
	return sum
}
