package breed

import (
	"maps"
	"math"
	"slices"
	"strings"
)

// firstCross is how a first cross differs from the mean of its parents, as shares
// (breed-heterosis): planning values inside wide published ranges.
var firstCross = struct{ eggs, growth, eggG, firstEgg float64 }{eggs: 0.05, growth: 0.02, eggG: 0.01, firstEgg: -0.02}

// Cross returns what comes of a cock of one breed and hens of another.
//
// Two birds of one breed that breeds true give that breed itself. All else gives
// a record of its own that does not breed true. Its figures are
//
//	mean of the parents' own worth * (1 + h * c)
//
// where h is the gain of a first cross in the trait, c the share of loci at which
// the young carry two breeds, 1 - sum over breeds of (share in the cock * share
// in the hen), and the parents' worth is their figure with their own gain taken
// out. So a first cross has c = 1; two birds of one cross, or of one company
// hybrid, give c = 1/2 and young that differ widely; a cross put back to one of
// its breeds gives 1/2 too. Dominance only (breed-heterosis).
//
// Visible traits follow the usual dominance (breed-comb-inheritance); sex-linked
// colours are not modelled here.
func Cross(sire, dam *Breed) *Breed {
	if sire.ID == dam.ID && sire.BreedsTrue {
		return sire
	}
	b := &Breed{
		ID: crossID(sire, dam), Name: sire.Name + " cock x " + dam.Name + " hen",
		Class: "Farm cross", Origin: "own flock", Purpose: crossPurpose(sire.Purpose, dam.Purpose), Kind: "modern cross",
		Confidence: lesser(sire.Confidence, dam.Confidence),
		Notes:      "Computed from its parents; its own young differ widely.",
		cross:      newCrossing(sire, dam),
	}
	b.crossWeights()
	b.crossLooks()
	b.crossHabits()
	b.citeCross()
	b.cross.curves()
	b.Lay = b.LayFor(Utility)
	return b
}

// crossID joins the parents' ids by an x between hyphens, one more on each side
// for every cross behind them: a-x-b, then a-x-b--x--a-x-b.
func crossID(sire, dam *Breed) string {
	hyphens := strings.Repeat("-", 1+max(sire.steps(), dam.steps()))
	return sire.ID + hyphens + "x" + hyphens + dam.ID
}

// crossing is what a record made by Cross knows of its descent, with its curves
// worked out once, so that long pedigrees cost no more than short ones.
type crossing struct {
	sire, dam *Breed
	steps     int                // crosses behind it, 1 for a first cross
	lines     map[string]float64 // share of each breed or line
	crossed   float64            // share of loci that carry two of them
	lay       map[Strain]Lay
	growth    map[Strain][2]Growth // hen, cock
}

func newCrossing(sire, dam *Breed) *crossing {
	x := &crossing{sire: sire, dam: dam, steps: 1 + max(sire.steps(), dam.steps()), lines: map[string]float64{}}
	fromSire, fromDam := sire.lines(), dam.lines()
	x.crossed = 1
	for _, line := range slices.Sorted(maps.Keys(fromSire)) {
		x.lines[line] += fromSire[line] / 2
		x.crossed -= fromSire[line] * fromDam[line]
	}
	for line, share := range fromDam {
		x.lines[line] += share / 2
	}
	return x
}

func (x *crossing) curves() {
	x.lay, x.growth = map[Strain]Lay{}, map[Strain][2]Growth{}
	for _, strain := range []Strain{Production, Utility, Show} {
		x.lay[strain] = x.layOf(strain)
		x.growth[strain] = [2]Growth{x.growthOf(strain, false), x.growthOf(strain, true)}
	}
}

func (b *Breed) steps() int {
	if b.cross == nil {
		return 0
	}
	return b.cross.steps
}

// lines are the shares of the breeds in a bird. A hybrid or trade cross of the
// catalogue counts as two lines that are met nowhere else.
func (b *Breed) lines() map[string]float64 {
	switch {
	case b.cross != nil:
		return b.cross.lines
	case b.BreedsTrue:
		return map[string]float64{b.ID: 1}
	}
	return map[string]float64{b.ID + " line 1": 0.5, b.ID + " line 2": 0.5}
}

// crossed is the share of loci at which the bird carries two breeds or lines.
func (b *Breed) crossed() float64 {
	switch {
	case b.cross != nil:
		return b.cross.crossed
	case b.BreedsTrue:
		return 0
	}
	return 1
}

// inherit is the cross's figure for a trait in which a first cross gains the
// share gain. A parent without the figure (0) leaves it to the other.
func (x *crossing) inherit(gain, ofSire, ofDam float64) float64 {
	s := ofSire / (1 + gain*x.sire.crossed())
	d := ofDam / (1 + gain*x.dam.crossed())
	base := mean(s, d)
	if s == 0 || d == 0 {
		base = s + d
	}
	return base * (1 + gain*x.crossed)
}

func (b *Breed) crossWeights() {
	s, d, x := b.cross.sire, b.cross.dam, b.cross
	b.CockKg = x.inherit(firstCross.growth, s.CockKg, d.CockKg)
	b.HenKg = x.inherit(firstCross.growth, s.HenKg, d.HenKg)
	b.CockerelKg = x.inherit(firstCross.growth, s.CockerelKg, d.CockerelKg)
	b.PulletKg = x.inherit(firstCross.growth, s.PulletKg, d.PulletKg)
	b.DressedKgLow = x.inherit(firstCross.growth, s.DressedKgLow, d.DressedKgLow)
	b.DressedKgHigh = x.inherit(firstCross.growth, s.DressedKgHigh, d.DressedKgHigh)
	b.ButcherWeeksLow = x.inherit(0, s.ButcherWeeksLow, d.ButcherWeeksLow)
	b.ButcherWeeksHigh = x.inherit(0, s.ButcherWeeksHigh, d.ButcherWeeksHigh)
	b.GrowthClass = crossGrowthClass(s.GrowthClass, d.GrowthClass)
	b.DressingPct = mean(s.DressingPct, d.DressingPct)
	b.measuredDressingPct = b.DressingPct
	b.LayClass = crossLayClass(s.LayClass, d.LayClass)
	b.EggsLow = x.inherit(firstCross.eggs, s.EggsLow, d.EggsLow)
	b.EggsHigh = x.inherit(firstCross.eggs, s.EggsHigh, d.EggsHigh)
	b.EggG = x.inherit(firstCross.eggG, s.EggG, d.EggG)
	b.FirstEggLow = x.inherit(firstCross.firstEgg, s.FirstEggLow, d.FirstEggLow)
	b.FirstEggHigh = x.inherit(firstCross.firstEgg, s.FirstEggHigh, d.FirstEggHigh)
}

func (b *Breed) crossLooks() {
	s, d := b.cross.sire, b.cross.dam
	b.Comb = crossComb(s.Comb, d.Comb)
	b.CombSize, b.WattleSize = middle(s.CombSize, d.CombSize), middle(s.WattleSize, d.WattleSize)
	b.FeatheredShanks = s.FeatheredShanks || d.FeatheredShanks
	b.Crested = s.Crested || d.Crested
	b.Muffed = s.Muffed || d.Muffed
	b.NakedNeck = s.NakedNeck || d.NakedNeck
	b.Plumage = "medium"
	if s.Plumage == d.Plumage {
		b.Plumage = s.Plumage
	}
	b.PlumageColour = "mixed"
	b.EggColour = "between " + s.EggColour + " and " + d.EggColour
	if s.EggColour == d.EggColour {
		b.EggColour = s.EggColour
	}
}

func (b *Breed) crossHabits() {
	s, d := b.cross.sire, b.cross.dam
	b.Broodiness = middle(s.Broodiness, d.Broodiness)
	b.Foraging = middle(s.Foraging, d.Foraging)
	b.Flightiness = middle(s.Flightiness, d.Flightiness)
	b.ColdStated = middle(s.ColdStated, d.ColdStated)
	b.HeatStated = middle(s.HeatStated, d.HeatStated)
	b.HensPerCock = math.Min(s.HensPerCock, d.HensPerCock)
}

func (b *Breed) citeCross() {
	b.Sources, b.AllSources, b.Marks = map[string]string{}, map[string][]string{}, map[string]string{}
	for _, trait := range Traits {
		key := "breed-heterosis"
		if trait == "comb" || trait == "plumage" {
			key = "breed-comb-inheritance"
		}
		b.cite(trait, key)
		b.Marks[trait] = Rule
	}
	b.cite("mating", b.cross.sire.Sources["mating"])
}

// layOf joins the parents' curves; ages and rates are means of the parents',
// level and decline rise together with the gain in eggs.
func (x *crossing) layOf(strain Strain) Lay {
	s, d := x.sire.LayFor(strain), x.dam.LayFor(strain)
	l := Lay{
		FirstEggWeeks:   x.inherit(firstCross.firstEgg, s.FirstEggWeeks, d.FirstEggWeeks),
		FirstEggSDWeeks: x.inherit(0, s.FirstEggSDWeeks, d.FirstEggSDWeeks),
		PeakPct:         x.inherit(firstCross.eggs, s.PeakPct, d.PeakPct),
		PeakWeeks:       x.inherit(firstCross.firstEgg, s.PeakWeeks, d.PeakWeeks),
		DeclinePerWeek:  x.inherit(firstCross.eggs, s.DeclinePerWeek, d.DeclinePerWeek),
		EggG:            x.inherit(firstCross.eggG, s.EggG, d.EggG),
		LightSlope:      x.inherit(0, s.LightSlope, d.LightSlope),
		BroodyShare:     x.inherit(0, s.BroodyShare, d.BroodyShare),
		BetweenHenCV:    x.inherit(0, s.BetweenHenCV, d.BetweenHenCV),
	}
	for year := range l.YearFactor {
		l.YearFactor[year] = x.inherit(0, s.YearFactor[year], d.YearFactor[year])
	}
	l.scale(1) // not above the highest peak there is
	return l
}

// crossingDay is where a cross's curve is tied to its parents', 14 weeks: near
// the butchering age of crosses.
const crossingDay = 98.0

func (x *crossing) growthOf(strain Strain, cock bool) Growth {
	s, d := x.sire.GrowthFor(strain, cock), x.dam.GrowthFor(strain, cock)
	grownG := x.inherit(firstCross.growth, s.MatureG, d.MatureG)
	chickG := x.inherit(firstCross.eggG, s.ChickG, d.ChickG)
	liveG := x.inherit(firstCross.growth, s.WeightG(crossingDay), d.WeightG(crossingDay))
	g := through(grownG, chickG, crossingDay, liveG)
	g.PastureFactor = x.inherit(0, s.PastureFactor, d.PastureFactor)
	return g
}

func mean(a, b float64) float64 { return (a + b) / 2 }

// middle rounds the mean of two marks up.
func middle(a, b int) int { return (a + b + 1) / 2 }

func crossPurpose(a, b Purpose) Purpose {
	switch {
	case a == b, b == Ornamental:
		return a
	case a == Ornamental:
		return b
	}
	return Dual
}

func crossLayClass(sire, dam LayClass) LayClass {
	company := []LayClass{BrownHybrid, WhiteHybrid, DualHybrid}
	switch {
	case sire == dam:
		return dam
	case slices.Contains(company, sire), slices.Contains(company, dam):
		return DualHybrid
	}
	return dam
}

func crossGrowthClass(a, b string) string {
	either := func(class string) bool { return a == class || b == class }
	switch {
	case a == b:
		return a
	case either("fast meat"):
		return "slow meat"
	case either("slow meat"), either("dual hybrid"):
		return "dual hybrid"
	case either("bantam"):
		return "light"
	case either("dual"), either("heavy"):
		return "dual"
	}
	return "egg"
}

// crossComb is the comb of a first cross: pea and rose hide single, and make
// walnut together; the forked types hide single.
func crossComb(a, b string) string {
	if a == b {
		return a
	}
	either := func(combs ...string) bool { return slices.Contains(combs, a) || slices.Contains(combs, b) }
	low := either("walnut", "cushion", "strawberry")
	switch {
	case low, either("pea") && either("rose"):
		return "walnut"
	case either("pea"):
		return "pea"
	case either("rose"):
		return "rose"
	case either("v"):
		return "v"
	case either("buttercup"):
		return "buttercup"
	}
	return "single"
}

func lesser(a, b string) string {
	order := []string{"memory", "partly", "sourced"}
	return order[int(math.Min(float64(slices.Index(order, a)), float64(slices.Index(order, b))))]
}
