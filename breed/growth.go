package breed

import (
	"fmt"
	"math"
)

// Growth is the live weight of one sex of a strain on full feed, by Gompertz:
//
//	W(t) = MatureG * exp(-exp(-KPerDay * (t - InflectionDay)))   g, t in days
//
// Valid from hatch to maturity for ordinary birds, to about ten weeks for fast
// meat crosses. Scavenging birds grow by the feed they find, not by this curve.
// References: breed-gompertz, breed-household-growth.
type Growth struct {
	MatureG       float64 // A, what the bird weighs when grown
	KPerDay       float64 // k, 1/day
	InflectionDay float64 // day of greatest gain, at 0.368 of MatureG
	W0G           float64 // the curve at day 0; above ChickG for fast meat crosses
	ChickG        float64 // a chick at hatch
	PastureFactor float64 // multiplies live weight of birds reared on pasture
}

// firstFortnight is the time in which the curve of a fast cross runs above the
// table and is led down to the chick's own weight, days.
const firstFortnight = 14.0

// WeightG is the live weight at an age in days, g. Before hatch it is the chick's.
func (g Growth) WeightG(ageDays float64) float64 {
	age := math.Max(0, ageDays)
	w := g.MatureG * math.Exp(-math.Exp(-g.KPerDay*(age-g.InflectionDay)))
	if age < firstFortnight {
		w -= (g.W0G - g.ChickG) * (1 - age/firstFortnight)
	}
	return w
}

// growthClass is one row of growth_classes.csv: how the share of live weight that
// is left when a bird is plucked and drawn changes with age.
type growthClass struct {
	earlyPct, earlyWeeks float64
	youngPct, youngWeeks float64
	oldHenPct, oldCock   float64
	pastureFactor        float64
}

func readGrowthClasses() (map[string]growthClass, error) {
	classes := map[string]growthClass{}
	err := readTable("growth_classes.csv", func(r row) {
		classes[r.text("class")] = growthClass{
			earlyPct: r.number("early_pct"), earlyWeeks: r.number("early_weeks"),
			youngPct: r.number("young_pct"), youngWeeks: r.number("young_weeks"),
			oldHenPct: r.number("old_hen_pct"), oldCock: r.number("old_cock_pct"),
			pastureFactor: r.number("pasture_factor"),
		}
	})
	return classes, err
}

const (
	youngUntilWeeks = 20.0 // the young share holds to here,
	oldFromWeeks    = 52.0 // and the old one from here
)

func (c growthClass) dressingPct(cock bool, ageWeeks float64) float64 {
	old := c.oldHenPct
	if cock {
		old = c.oldCock
	}
	switch {
	case ageWeeks <= c.youngWeeks:
		return between(ageWeeks, c.earlyWeeks, c.earlyPct, c.youngWeeks, c.youngPct)
	case ageWeeks <= youngUntilWeeks:
		return c.youngPct
	}
	return between(ageWeeks, youngUntilWeeks, c.youngPct, oldFromWeeks, old)
}

// between runs straight from (x1, y1) to (x2, y2) and stays level outside.
func between(x, x1, y1, x2, y2 float64) float64 {
	share := math.Min(1, math.Max(0, (x-x1)/(x2-x1)))
	return y1 + share*(y2-y1)
}

// DressingPct is the plucked and drawn weight without head, feet and giblets, in
// percent of live weight, of a growth class of the catalogue.
// Reference: breed-dressing-defaults; the age steps before the butchering age are
// a guess.
func DressingPct(growthClassName string, cock bool, ageWeeks float64) (float64, error) {
	c, ok := load().growing[growthClassName]
	if !ok {
		return 0, fmt.Errorf("no growth class %q", growthClassName)
	}
	return c.dressingPct(cock, ageWeeks), nil
}

// DressingPctAt is DressingPct for this breed, moved by its own measured share
// where there is one.
func (b *Breed) DressingPctAt(cock bool, ageWeeks float64) float64 {
	c := load().growing[b.GrowthClass]
	pct := c.dressingPct(cock, ageWeeks)
	if b.measuredDressingPct > 0 {
		pct += b.measuredDressingPct - c.dressingPct(true, b.butcherWeeks())
	}
	return pct
}

// DressedKg is the plucked and drawn weight of a bird of the strain at an age, on
// full feed in a house, kg.
func (b *Breed) DressedKg(s Strain, cock bool, ageWeeks float64) float64 {
	return b.GrowthFor(s, cock).WeightG(7*ageWeeks) / 1000 * b.DressingPctAt(cock, ageWeeks) / 100
}

// Standards give the weight of fit show birds; farm birds are 10-20 % lighter and
// production strains 15-25 % lighter than show strains (breed-strain-rule). While
// they grow the difference is about half, since lighter strains mature earlier
// (guess).
var (
	grownShare   = map[Strain]float64{Show: 1, Utility: 0.90, Production: 0.80}
	growingShare = map[Strain]float64{Show: 1, Utility: 0.95, Production: 0.88}
)

func (b *Breed) strainShare(s Strain, shares map[Strain]float64) float64 {
	if !b.HasStrains() {
		return 1
	}
	share, ok := shares[s]
	if !ok {
		share = shares[Utility]
	}
	if !b.WeightsAreStandard {
		share /= shares[Utility] // the weights are of farm birds already
	}
	return share
}

// GrownKg is the live weight of a bird over one year, kg.
func (b *Breed) GrownKg(s Strain, cock bool) float64 {
	if b.cross != nil {
		return b.GrowthFor(s, cock).MatureG / 1000
	}
	kg := b.HenKg
	if cock {
		kg = b.CockKg
	}
	return kg * b.strainShare(s, grownShare)
}

// Where no dressed range is known, a cockerel is taken to weigh 0.75 of its weight
// under one year at 18 weeks, the middle of breed-dressed-rule.
const (
	plainButcherWeeks = 18.0
	plainLiveShare    = 0.75
)

// butcherWeeks is the middle of the butchering ages.
func (b *Breed) butcherWeeks() float64 {
	if b.ButcherWeeksHigh == 0 {
		return plainButcherWeeks
	}
	return (b.ButcherWeeksLow + b.ButcherWeeksHigh) / 2
}

// weighing is the age in days and the live weight in g through which a utility or
// show cockerel passes: the middle of the butchering ages, and the weight that the
// dressed range implies there.
func (b *Breed) weighing() (day, liveG float64) {
	if b.DressedKgHigh == 0 {
		return 7 * plainButcherWeeks, 1000 * plainLiveShare * b.CockerelKg
	}
	return 7 * b.butcherWeeks(), 1000 * (b.DressedKgLow + b.DressedKgHigh) / 2 / (b.DressingPct / 100)
}

// GrowthFor returns the growth curve of one sex of a strain on full feed.
//
//   - A cockerel passes through the live weight that its dressed range implies and
//     matures at the cock's weight. The range of a breed killed late says little
//     about its youth, so no cockerel is taken to be slower than slowShare.
//   - A pullet matures at the hen's weight and has three quarters of it (pulletShare)
//     at 18 weeks if she will weigh 2 kg, later if she will be heavier, but she is
//     never ahead of her brother.
//   - Slow meat birds are reared mixed, so their range is the mean of the sexes.
//   - Fast meat crosses follow the companies' tables, reduced for a household.
//
// An unknown strain counts as utility; for a record made by Cross the strain is
// that of its parents.
func (b *Breed) GrowthFor(s Strain, cock bool) Growth {
	if b.cross != nil {
		sexes := b.cross.growth[known(s)]
		if cock {
			return sexes[1]
		}
		return sexes[0]
	}
	g := b.growth(s, cock)
	g.PastureFactor = load().growing[b.GrowthClass].pastureFactor
	return g
}

func (b *Breed) growth(s Strain, cock bool) Growth {
	chickG := chickShare * b.EggG
	grownG := 1000 * b.GrownKg(s, cock)
	day, liveG := b.weighing()
	liveG *= b.strainShare(s, growingShare)
	if b.GrowthClass == "fast meat" {
		return fastGrowth(cock, chickG)
	}
	if cock {
		if b.GrowthClass == "slow meat" {
			liveG *= maleOverMean
		}
		return b.cockerel(grownG, chickG, day, liveG)
	}
	brother := b.growth(s, true)
	g := through(grownG, chickG, eighteenWeeks(grownG, 2000), pulletShare*grownG)
	if b.GrowthClass == "slow meat" {
		g = through(grownG, chickG, day, liveG*(2-maleOverMean))
	}
	if g.KPerDay > brother.KPerDay {
		g = atRate(grownG, chickG, brother.KPerDay)
	}
	return g
}

// cockerel passes through the weighing, or runs faster to have slowShare at the
// match of 18 weeks, but not past the heavy end of the dressed range.
func (b *Breed) cockerel(grownG, chickG, day, liveG float64) Growth {
	g := through(grownG, chickG, day, liveG)
	by := eighteenWeeks(grownG, 3500)
	if g.WeightG(by) >= slowShare*grownG {
		return g
	}
	faster := through(grownG, chickG, by, slowShare*grownG)
	heavyG := 1000 * b.DressedKgHigh / (b.DressingPct / 100)
	if b.DressedKgHigh > 0 && faster.WeightG(day) > heavyG {
		return through(grownG, chickG, day, heavyG)
	}
	return faster
}

// atRate is the curve with a given k. With one hatch weight, a pullet whose k is
// no higher than her brother's is never the heavier.
func atRate(grownG, chickG, k float64) Growth {
	return Growth{MatureG: grownG, KPerDay: k, InflectionDay: math.Log(math.Log(grownG/chickG)) / k, W0G: chickG, ChickG: chickG}
}

// eighteenWeeks is the age in days that matches 18 weeks in a bird that will weigh
// ofG: larger birds take longer, as the 0.27 power of their grown weight (Taylor
// 1980, from memory: breed-size-scaling).
func eighteenWeeks(grownG, ofG float64) float64 {
	return 7 * 18 * math.Pow(grownG/ofG, 0.27)
}

const (
	chickShare    = 0.67  // a chick weighs two thirds of its egg (practice)
	pulletShare   = 0.74  // brown hybrid 1475 of 2000 g at 18 weeks (breed-lohmann-rearing)
	slowShare     = 0.65  // of grown weight at the match of 18 weeks (guess; ordinary dual breeds 0.68)
	maleOverMean  = 1.08  // males weigh 1.165 of females at 42 days in fast crosses (breed-gompertz)
	nearlyGrown   = 0.92  // no weighing is taken as nearer to grown than this
	householdFast = 0.85  // of the companies' table (breed-household-growth)
	fastAdjust    = 1.088 // brings the mean of the sexes of 2010 to the 2022 table at 42 days
)

// through calibrates a Gompertz curve by one weighing:
//
//	k = ln( ln(A/W0) / ln(A/Wt) ) / t,  inflection = ln(ln(A/W0)) / k
//
// It needs 0 < chickG < grownG. A weight beyond nearlyGrown is lowered to it.
func through(grownG, chickG, day, liveG float64) Growth {
	liveG = math.Min(liveG, nearlyGrown*grownG)
	start := math.Log(grownG / chickG)
	k := math.Log(start/math.Log(grownG/liveG)) / day
	return atRate(grownG, chickG, k)
}

// fastGrowth is the companies' curve of each sex (breed-gompertz) in a household's
// house.
func fastGrowth(cock bool, chickG float64) Growth {
	g := Growth{MatureG: 5680, KPerDay: 0.0408, InflectionDay: 36.44}
	if cock {
		g = Growth{MatureG: 7321, KPerDay: 0.03932, InflectionDay: 39.36}
	}
	g.MatureG *= fastAdjust * householdFast
	g.ChickG = chickG
	g.W0G = g.MatureG * math.Exp(-math.Exp(g.KPerDay*g.InflectionDay))
	return g
}
