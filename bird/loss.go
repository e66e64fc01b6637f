package bird

import (
	"math"

	"henyear/breed"
)

// Losses, as weekly chances by age. Keys: bird-loss-defaults, bird-raid-defaults,
// bird-goliomytis-2003 (fast crosses kept on).

// Predator pressure is a multiple of that on a range by day with the birds
// locked in at night. These are the usual places on that scale, for whoever
// fills Surroundings.
const (
	RiskSecureRun = 0.242 // 2 % of grown birds a year
	RiskDayRange  = 1.0   // 8 %
	RiskUnlocked  = 4.28  // 30 %
)

// raidsAtRiskOne is the share of grown birds lost in a year at risk 1.
const raidsAtRiskOne = 0.08

const groundPart = 0.6 // of it, foxes and the like; the rest hawks

func weekly(yearShare float64) float64 { return 1 - math.Pow(1-yearShare, 1.0/52) }

func (l *Law) lossTables(b *breed.Breed) {
	l.lossWarm = make([]float64, tableWeeks)
	l.lossHen = make([]float64, tableWeeks)
	l.lossCold = make([]float64, tableWeeks)
	l.groundWt = make([]float64, tableWeeks)
	l.airWt = make([]float64, tableWeeks)
	raid := weekly(raidsAtRiskOne)
	ground, air := raidWeights(b)
	for age := range l.lossWarm {
		base := lossWeek(b, l.sex, age)
		l.lossWarm[age] = base * l.rates.Losses
		l.lossHen[age] = base * l.rates.Losses
		l.lossCold[age] = base * l.rates.Losses
		if age < 8 {
			l.lossHen[age] = henLossWeek(age) * l.rates.Losses
		}
		if age < 5 {
			l.lossCold[age] = min(0.5, 3*base) * l.rates.Losses
		}
		g, a := raidAge(age)
		l.groundWt[age] = raid * groundPart * ground * g * l.rates.Raids
		l.airWt[age] = raid * (1 - groundPart) * air * a * l.rates.Raids
	}
	l.heatStart = 38
	if l.fast {
		l.heatStart = 32
	}
}

// lossWeek is the chance of loss other than raids in a week of age, kept warm.
func lossWeek(b *breed.Breed, sex Sex, age int) float64 {
	if b.GrowthClass == "fast meat" {
		return fastLoss(sex, age)
	}
	first, chick, grower := 0.015, 0.0045, 0.002
	switch b.GrowthClass {
	case "slow meat":
		first, chick, grower = 0.012, 0.0035, 0.003
	case "egg":
		if b.Kind == "modern hybrid" {
			first, chick, grower = 0.008, 0.0014, 0.0014
		}
	}
	switch {
	case age == 0:
		return first
	case age < 8:
		return chick
	case age < 20:
		return grower
	}
	return weekly(adultLoss(b, sex, age))
}

// adultLoss is the share lost in a year, raids apart.
func adultLoss(b *breed.Breed, sex Sex, age int) float64 {
	years := float64(age) / 52
	if sex == Cock {
		return min(0.4, 0.10+0.04*max(0, years-3))
	}
	loss := 0.01
	disease := 0.05
	switch {
	case years < 1.5:
	case years < 2.5:
		disease *= 1.3
	case years < 3.5:
		disease *= 2
	default:
		disease *= 2 + 0.8*(years-3.5)
	}
	if b.Kind == "modern hybrid" && years > 2 {
		disease *= 1.3
	}
	return min(0.5, loss+disease)
}

// fastLoss: a fast cross loses 8 % to eight weeks, then legs and hearts fail.
func fastLoss(sex Sex, age int) float64 {
	switch {
	case age == 0:
		return 0.015
	case age < 5:
		return 0.008
	case age < 8:
		return 0.011
	case age < 10:
		return 0.015
	case sex == Cock:
		return 0.045
	default:
		return 0.025
	}
}

func henLossWeek(age int) float64 {
	if age == 0 {
		return 0.015
	}
	return 0.004
}

// raidAge is the danger of an age against that of grown birds. Chicks under four
// weeks are prey for all: with a hen that ranges 35 in 100 are taken in eight
// weeks, in a secure run 9. Growing birds are small enough for hawks.
func raidAge(age int) (ground, air float64) {
	switch {
	case age < 4:
		return 60, 60
	case age < 8:
		return 10, 10
	case age < 16:
		return 1.6, 2.6
	default:
		return 1, 1
	}
}

// indoorRaids is the danger of a chick in a brooder: rats and a door left open.
const indoorRaids = 0.02

// raidWeights: a crest blinds, white shows, a small bird is easily carried, a
// wary one gets away, a forager strays. A bird of flightiness 1 and foraging 2 has 1.
func raidWeights(b *breed.Breed) (ground, air float64) {
	ground, air = 1, 1
	if b.Crested {
		air *= 1.5
		ground *= 1.2
	}
	if isWhite(b.PlumageColour) {
		air *= 1.3
	}
	if b.HenKg > 0 && b.HenKg < 1.3 {
		air *= 1.5
	}
	wary := 1.1 - 0.1*float64(b.Flightiness)
	stray := 0.8 + 0.1*float64(b.Foraging)
	return ground * wary * stray, air * wary * stray
}

func isWhite(colour string) bool {
	return len(colour) >= 5 && colour[:5] == "white"
}

// losses sets the chances of the week.
func (l *Law) losses(w *Week, age int, s *Surroundings) {
	other := l.lossWarm[age]
	if age < 8 && s.UnderHen {
		other = l.lossHen[age]
	} else if age < 5 && !s.Brooder && s.MeanC < 25 {
		other = l.lossCold[age]
	}
	if hot := s.DayMaxC - l.heatStart; hot > 0 {
		other += 0.002 * hot
	}
	w.LossOther = min(0.9, other)
	hawks := l.airWt[age] * s.AirRisk
	raid := l.groundWt[age]*s.GroundRisk + hawks
	w.HawkPart = 0
	if raid > 0 {
		w.HawkPart = hawks / raid
	}
	if s.Brooder && age < 6 {
		raid *= indoorRaids
	}
	w.LossRaid = min(0.9, raid)
}
