package breed

import (
	"fmt"
	"math"
)

// HenDayPct is the lay of a group of pullets of one age, in eggs for each 100
// living hens and day, before season, broodiness and moult:
//
//	P(w) = max(0, peak - decline * max(0, w - peakWeeks)) / (1 + exp(-(w - firstEgg - 1)/s))
//
// with w the age in weeks and s = max(0.6, 0.55 * standard deviation of the age
// at first egg). It holds for the first laying year.
// Reference: breed-lay-classes.
func (l Lay) HenDayPct(ageWeeks float64) float64 {
	level := math.Max(0, l.PeakPct-l.DeclinePerWeek*math.Max(0, ageWeeks-l.PeakWeeks))
	spread := math.Max(0.6, 0.55*l.FirstEggSDWeeks)
	return level / (1 + math.Exp(-(ageWeeks-l.FirstEggWeeks-1)/spread))
}

// forerunnerWeeks is how long before the median first egg eggs are counted.
const forerunnerWeeks = 12

// EggsFromFirstEgg counts the eggs of a living hen of the group until the given
// whole number of weeks after the group's median first egg, those of early
// sisters included, before season, broodiness and moult.
func (l Lay) EggsFromFirstEgg(weeks int) float64 {
	eggs := 0.0
	for i := -forerunnerWeeks; i < weeks; i++ {
		eggs += 7 * l.HenDayPct(l.FirstEggWeeks+float64(i)+0.5) / 100
	}
	return eggs
}

// layClass is one row of lay_classes.csv.
type layClass struct {
	curve      Lay
	broody     [4]float64 // share of hens broody in a season, by the breed's mark
	reference  *Breed     // breed whose claims sit at the class's curve
	production LayClass   // class of this class's production strains, "" to scale
}

func readLayClasses(byID map[string]*Breed) (map[LayClass]layClass, error) {
	classes := map[LayClass]layClass{}
	err := readTable("lay_classes.csv", func(r row) {
		year2, year3, year4 := r.number("year2"), r.number("year3"), r.number("year4")
		// The table stops at year four; years five and six follow the general
		// run 0.52, 0.40, 0.30.
		year5, year6 := year4*0.40/0.52, year4*0.30/0.52
		c := layClass{
			curve: Lay{
				FirstEggWeeks: r.number("first_egg_weeks"), FirstEggSDWeeks: r.number("first_egg_sd_weeks"),
				PeakPct: r.number("peak_pct"), PeakWeeks: r.number("peak_weeks"),
				DeclinePerWeek: r.number("decline_per_week"), EggG: r.number("egg_g"),
				YearFactor: [6]float64{1, year2, year3, year4, year5, year6},
				LightSlope: r.number("light_slope"), BetweenHenCV: r.number("between_hen_cv"),
			},
			broody:     [4]float64{r.number("broody_0"), r.number("broody_1"), r.number("broody_2"), r.number("broody_3")},
			reference:  byID[r.text("reference_breed")],
			production: LayClass(r.text("production_class")),
		}
		if c.reference == nil {
			r.fault("reference_breed", "the id of a breed")
		} else {
			c.curve.BroodyShare = c.broody[c.reference.Broodiness]
		}
		classes[LayClass(r.text("class"))] = c
	})
	return classes, err
}

// ClassLay returns the lay curve of a class itself, before any breed moves it.
func ClassLay(class LayClass) (Lay, error) {
	c, ok := load().lay[class]
	if !ok {
		return Lay{}, fmt.Errorf("no lay class %q", class)
	}
	return c.curve, nil
}

// How a claim moves the class's curve (breed-claim-rule): a seller's number is
// trusted by half (the square root of its ratio to the reference breed's), a
// counted one by seven tenths, an age at first egg by half its difference. The
// discount from claim to unlit household (0.60-0.75) is the same for both breeds
// and drops out of the ratio.
const (
	claimTrust    = 0.5
	trialTrust    = 0.7
	firstEggTrust = 0.5
	highestPeak   = 97 // hen-day percent; no flock holds more
)

// How a strain moves it where the class has no production row of its own
// (breed-strain-rule): 1.25 against 0.90 is 39 % more, inside the 30-50 % that
// the trade names; the heritage class and its production row give 50 %.
const (
	productionEggs     = 1.25
	showEggs           = 0.90
	productionEarlier  = 2.0 // weeks
	showLater          = 1.0
	productionBroodies = 0.45
	showBroodies       = 1.2
)

// HasStrains reports whether the breed is kept as production, utility and show
// lines. Landraces, crosses and company hybrids are not: every strain of them
// gives the same figures.
func (b *Breed) HasStrains() bool { return b.Kind == "heritage" || b.Kind == "modern breed" }

// LayFor returns the lay curve of a strain of the breed: unlit, well kept, before
// season, broodiness and moult. An unknown strain counts as utility. For a record
// made by Cross the strain is that of its parents.
func (b *Breed) LayFor(s Strain) Lay {
	if b.cross != nil {
		return b.cross.lay[known(s)]
	}
	return layOf(b, s, load().lay)
}

// known is the strain, or utility where it is not one of the three.
func known(s Strain) Strain {
	if s == Production || s == Show {
		return s
	}
	return Utility
}

func layOf(b *Breed, s Strain, classes map[LayClass]layClass) Lay {
	if !b.HasStrains() {
		s = Utility
	}
	own := classes[b.LayClass]
	class := own
	if s == Production && own.production != "" {
		class = classes[own.production]
	}
	l := class.curve
	l.EggG = b.EggG
	l.scale(b.eggRatio(own, class))
	l.shift(b.firstEggShift(class))
	l.BroodyShare = own.broody[b.Broodiness]
	switch s {
	case Production:
		if own.production == "" {
			l.scale(productionEggs)
			l.shift(-productionEarlier)
		}
		l.BroodyShare *= productionBroodies
	case Show:
		l.scale(showEggs)
		l.shift(showLater)
		l.BroodyShare = math.Min(0.95, l.BroodyShare*showBroodies)
	}
	return l
}

func (l *Lay) scale(ratio float64) {
	ratio = math.Min(ratio, highestPeak/l.PeakPct)
	l.PeakPct *= ratio
	l.DeclinePerWeek *= ratio
}

func (l *Lay) shift(weeks float64) {
	l.FirstEggWeeks += weeks
	l.PeakWeeks += weeks
}

func (b *Breed) eggRatio(own, class layClass) float64 {
	if b.TrialWeeks > 0 && b != own.reference {
		return math.Pow(b.TrialEggs/own.curve.EggsFromFirstEgg(int(b.TrialWeeks)), trialTrust)
	}
	return math.Pow(b.eggsMiddle()/class.reference.eggsMiddle(), claimTrust)
}

// firstEggShift is how much later than its class the breed starts, weeks. An age
// that was counted is held against the class's own; a claim against the claim for
// the reference breed, since claims run weeks ahead of spring-hatched pullets.
func (b *Breed) firstEggShift(class layClass) float64 {
	if b.Marks["first_egg"] == Measured {
		return trialTrust * (b.firstEggMiddle() - class.curve.FirstEggWeeks)
	}
	return firstEggTrust * (b.firstEggMiddle() - class.reference.firstEggMiddle())
}

func (b *Breed) eggsMiddle() float64     { return (b.EggsLow + b.EggsHigh) / 2 }
func (b *Breed) firstEggMiddle() float64 { return (b.FirstEggLow + b.FirstEggHigh) / 2 }
