package hatch

import "math"

// bestFertility is the share of eggs fertile from a healthy yearling cock with
// the right number of young hens in spring. Key: hatch-defaults.
const bestFertility = 0.92

// Mating is a cock with his hens while eggs are saved.
type Mating struct {
	CockSeason  int     // breeding season of the cock: 1 a yearling, 0 a cockerel not fully grown
	HenYear     int     // laying year of the hens, 1 for pullets
	HensPerCock float64 // hens he is with
	ClassBound  float64 // hens that a cock of the breed's class serves at most; 0 takes 12
	LightH      float64 // hours of day; 0 leaves the season out
	DayMaxC     float64 // mean daily high where he lives
	CombFrozen  bool    // his comb was frost-bitten in the last six weeks
}

// Fertility is the share of eggs fertile, 0 to 0.97: the best fertility times
// factors for the age of the cock (1, 0.95, 0.85, 0.70 by season), of the hens
// (1, 0.95, 0.88, 0.80 by laying year), the season and the number of hens. Keys:
// hatch-defaults, hatch-storey (a cockerel serves half the hens), hatch-season.
func (m Mating) Fertility() float64 {
	return min(0.97, max(0, bestFertility*cockAge(m.CockSeason)*henAge(m.HenYear)*m.season()*m.ratio()))
}

func byYear(year int, factors ...float64) float64 {
	return factors[min(len(factors)-1, max(0, year-1))]
}

func cockAge(season int) float64 { return byYear(season, 1, 0.95, 0.85, 0.70) }

func henAge(year int) float64 { return byYear(year, 1, 0.95, 0.88, 0.80) }

// season: 0.80 in the days of midwinter (nine hours and less), level from twelve
// on; 0.85 when the high passes 34 C (it begins at 30); 0.70 after frost-bite.
func (m Mating) season() float64 {
	factor := 1.0
	if m.LightH > 0 {
		factor -= 0.20 * min(1, max(0, (12-m.LightH)/3))
	}
	factor *= 1 - 0.15*min(1.5, max(0, (m.DayMaxC-30)/4))
	if m.CombFrozen {
		factor *= 0.70
	}
	return factor
}

// ratio: level from five hens to the bound of the class, then two points less
// for each hen more; below four hens they are worn and he is idle, 0.9.
func (m Mating) ratio() float64 {
	bound := m.ClassBound
	if bound == 0 {
		bound = 12
	}
	if m.CockSeason < 1 {
		bound /= 2
	}
	if m.HensPerCock < 4 {
		return 0.9
	}
	return max(0, 1-0.02*max(0, m.HensPerCock-bound))
}

// joining is the share of the pen's fertility reached by days after the cock
// came. Keys: hatch-hutt, hatch-fao.
var joining = [...]float64{0, 0, 0.20, 0.45, 0.65, 0.80, 0.90, 1}

// FertileAfterJoining is the share of the mating's fertility that eggs have
// which are laid days after the cock came to the hens: nought on the first day,
// whole from the seventh.
func FertileAfterJoining(days float64) float64 {
	if days <= 0 {
		return 0
	}
	d := int(days)
	if d >= len(joining)-1 {
		return 1
	}
	return joining[d] + (days-float64(d))*(joining[d+1]-joining[d])
}

// AfterRemoval is the share of the mating's fertility left in eggs laid days
// after the cock went: 0.92 at a week, 0.5 at twelve days, nearly nought at
// three weeks. When one cock follows another, fertility stays and parentage is
// mixed for as long. Key: hatch-hutt.
func AfterRemoval(days float64) float64 {
	if days <= 0 {
		return 1
	}
	return 1 / (1 + math.Exp((days-12)/2))
}

// PureAfterDays is how long hens are kept from other cocks before eggs of a
// mating are saved (practice; occasional hens are longer).
const PureAfterDays = 21

// InbreedingPerGeneration is the rise of the inbreeding coefficient in one
// generation of a closed flock: 1/(8 cocks) + 1/(8 hens). It needs at least one
// of each. Key: hatch-wright.
func InbreedingPerGeneration(cocks, hens float64) float64 {
	if cocks <= 0 || hens <= 0 {
		return 1
	}
	return 1/(8*cocks) + 1/(8*hens)
}

// InbreedingAfter is F of the next generation when the present one has f.
func InbreedingAfter(f, perGeneration float64) float64 { return f + perGeneration*(1-f) }

// HatchLossByInbreeding is the share of fertile eggs that fail more when the
// embryos are inbred by f: 4.4 points for each tenth. Key: hatch-shoffner.
func HatchLossByInbreeding(f float64) float64 { return 0.436 * max(0, f) }

// EggsLostByInbreeding is the eggs a year that a hen inbred by f lays fewer: 9
// for each tenth. Key: hatch-shoffner.
func EggsLostByInbreeding(f float64) float64 { return 92.6 * max(0, f) }
