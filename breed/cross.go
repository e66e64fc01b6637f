package breed

import (
	"maps"
	"math"
	"slices"
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
		ID: sire.ID + "-x-" + dam.ID, Name: sire.Name + " cock x " + dam.Name + " hen",
		Class: "Farm cross", Origin: "own flock", Purpose: crossPurpose(sire.Purpose, dam.Purpose), Kind: "modern cross",
		Confidence: lesser(sire.Confidence, dam.Confidence),
		sire:       sire, dam: dam,
	}
	b.Notes = "Computed from its parents; its own young differ widely."
	b.crossWeights()
	b.crossLooks()
	b.crossHabits()
	b.Lay = b.LayFor(Utility)
	b.citeCross()
	return b
}

func (b *Breed) crossWeights() {
	weigh := func(trait func(*Breed) float64) float64 { return b.inherit(firstCross.growth, trait) }
	b.CockKg = weigh(func(p *Breed) float64 { return p.CockKg })
	b.HenKg = weigh(func(p *Breed) float64 { return p.HenKg })
	b.CockerelKg = weigh(func(p *Breed) float64 { return p.CockerelKg })
	b.PulletKg = weigh(func(p *Breed) float64 { return p.PulletKg })
	b.DressedKgLow = weigh(func(p *Breed) float64 { return p.DressedKgLow })
	b.DressedKgHigh = weigh(func(p *Breed) float64 { return p.DressedKgHigh })
	b.ButcherWeeksLow = b.inherit(0, func(p *Breed) float64 { return p.ButcherWeeksLow })
	b.ButcherWeeksHigh = b.inherit(0, func(p *Breed) float64 { return p.ButcherWeeksHigh })
	b.GrowthClass = crossGrowthClass(b.sire.GrowthClass, b.dam.GrowthClass)
	b.DressingPct = mean(b.sire.DressingPct, b.dam.DressingPct)
	b.measuredDressingPct = b.DressingPct
	b.LayClass = crossLayClass(b.sire.LayClass, b.dam.LayClass)
	b.EggsLow = b.inherit(firstCross.eggs, func(p *Breed) float64 { return p.EggsLow })
	b.EggsHigh = b.inherit(firstCross.eggs, func(p *Breed) float64 { return p.EggsHigh })
	b.EggG = b.inherit(firstCross.eggG, func(p *Breed) float64 { return p.EggG })
	b.FirstEggLow = b.inherit(firstCross.firstEgg, func(p *Breed) float64 { return p.FirstEggLow })
	b.FirstEggHigh = b.inherit(firstCross.firstEgg, func(p *Breed) float64 { return p.FirstEggHigh })
}

func (b *Breed) crossLooks() {
	s, d := b.sire, b.dam
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
	s, d := b.sire, b.dam
	b.Broodiness = middle(s.Broodiness, d.Broodiness)
	b.Foraging = middle(s.Foraging, d.Foraging)
	b.Flightiness = middle(s.Flightiness, d.Flightiness)
	b.ColdStated = middle(s.ColdStated, d.ColdStated)
	b.HeatStated = middle(s.HeatStated, d.HeatStated)
	b.HensPerCock = s.HensPerCock // the cock is of the sire's kind in the mating; the young are between
	if d.HensPerCock < s.HensPerCock {
		b.HensPerCock = d.HensPerCock
	}
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
	b.cite("mating", b.sire.Sources["mating"])
}

// parts are the shares of the breeds in a bird. A hybrid or trade cross of the
// catalogue counts as two lines that are met nowhere else.
func (b *Breed) parts() map[string]float64 {
	switch {
	case b.sire != nil:
		parts := map[string]float64{}
		for _, parent := range []*Breed{b.sire, b.dam} {
			for line, share := range parent.parts() {
				parts[line] += share / 2
			}
		}
		return parts
	case b.BreedsTrue:
		return map[string]float64{b.ID: 1}
	}
	return map[string]float64{b.ID + " line 1": 0.5, b.ID + " line 2": 0.5}
}

// crossed is the share of loci at which the bird carries two breeds.
func (b *Breed) crossed() float64 {
	if b.sire == nil {
		if b.BreedsTrue {
			return 0
		}
		return 1
	}
	alike := 0.0
	dam := b.dam.parts()
	sire := b.sire.parts()
	for _, line := range slices.Sorted(maps.Keys(sire)) {
		alike += sire[line] * dam[line]
	}
	return 1 - alike
}

// inherit is the cross's figure for a trait in which a first cross gains the
// share gain. A parent without the figure (0) leaves it to the other.
func (b *Breed) inherit(gain float64, trait func(*Breed) float64) float64 {
	worth := func(p *Breed) float64 { return trait(p) / (1 + gain*p.crossed()) }
	s, d := worth(b.sire), worth(b.dam)
	base := mean(s, d)
	if s == 0 || d == 0 {
		base = s + d
	}
	return base * (1 + gain*b.crossed())
}

// crossLay joins the parents' curves; ages and rates are means of the parents',
// level and decline rise together with the gain in eggs.
func crossLay(b *Breed, strain Strain) Lay {
	join := func(gain float64, part func(Lay) float64) float64 {
		return b.inherit(gain, func(p *Breed) float64 { return part(p.LayFor(strain)) })
	}
	l := Lay{
		FirstEggWeeks:   join(firstCross.firstEgg, func(l Lay) float64 { return l.FirstEggWeeks }),
		FirstEggSDWeeks: join(0, func(l Lay) float64 { return l.FirstEggSDWeeks }),
		PeakPct:         join(firstCross.eggs, func(l Lay) float64 { return l.PeakPct }),
		PeakWeeks:       join(firstCross.firstEgg, func(l Lay) float64 { return l.PeakWeeks }),
		DeclinePerWeek:  join(firstCross.eggs, func(l Lay) float64 { return l.DeclinePerWeek }),
		EggG:            join(firstCross.eggG, func(l Lay) float64 { return l.EggG }),
		LightSlope:      join(0, func(l Lay) float64 { return l.LightSlope }),
		BroodyShare:     join(0, func(l Lay) float64 { return l.BroodyShare }),
		BetweenHenCV:    join(0, func(l Lay) float64 { return l.BetweenHenCV }),
	}
	for i := range l.YearFactor {
		l.YearFactor[i] = join(0, func(l Lay) float64 { return l.YearFactor[i] })
	}
	if l.PeakPct > highestPeak {
		l.scale(1)
	}
	return l
}

// crossingDay is where a cross's curve is tied to its parents', 14 weeks: near
// the butchering age of crosses.
const crossingDay = 98.0

func crossGrowth(b *Breed, strain Strain, cock bool) Growth {
	join := func(gain float64, part func(Growth) float64) float64 {
		return b.inherit(gain, func(p *Breed) float64 { return part(p.GrowthFor(strain, cock)) })
	}
	grownG := join(firstCross.growth, func(g Growth) float64 { return g.MatureG })
	chickG := join(firstCross.eggG, func(g Growth) float64 { return g.ChickG })
	liveG := join(firstCross.growth, func(g Growth) float64 { return g.WeightG(crossingDay) })
	g := through(grownG, chickG, crossingDay, liveG)
	g.PastureFactor = join(0, func(g Growth) float64 { return g.PastureFactor })
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
