// Package course composes a holding's climate, houses and predators with the
// law of the bird into trajectories: what one bird of a stock, hatched in a given
// week of the year on this holding, can be expected to do in every week of her
// life. The planner, the pages and the breed comparison all read the same
// trajectories.
package course

import (
	"math"
	"sync"

	"henyear/bird"
	"henyear/breed"
	"henyear/climate"
	"henyear/hatch"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
)

// Weeks is the length of a trajectory: long enough for a hen kept into her
// fourth laying year.
const Weeks = 240

// A Book holds the trajectories of one holding under one light scheme. It is
// safe for use by many goroutines; each trajectory is computed once.
type Book struct {
	h     *holding.Holding
	lit   bool
	rates bird.Rates
	year  climate.Year

	grown  [measure.SlotsPerYear]bird.Surroundings // layers, and pullets from 20 weeks
	young  [measure.SlotsPerYear]bird.Surroundings // growing birds, in daylight only
	warm   [measure.SlotsPerYear]bird.Surroundings // chicks in a brooder
	with   [measure.SlotsPerYear]bird.Surroundings // chicks with a hen
	nights [measure.SlotsPerYear]housing.Air

	mu      sync.Mutex
	courses map[entry][]bird.Outputs
}

// Key names a trajectory: the stock, the slot of the steady year in which it
// hatched, and who warms the chicks.
type Key struct {
	Breed    string
	Strain   breed.Strain
	Slot     int
	UnderHen bool
	record   *breed.Breed
}

type entry struct {
	breed    string
	strain   breed.Strain
	slot     int
	underHen bool
	sex      bird.Sex
	weeks    int
}

// New makes the book of a holding. With lit, hens older than 20 weeks have lamps
// that hold their day at 14.5 hours.
func New(h *holding.Holding, lit bool, rates bird.Rates) *Book {
	b := &Book{h: h, lit: lit, rates: rates, year: h.Place.Climate.Year(), courses: map[entry][]bird.Outputs{}}
	b.surround()
	return b
}

// Lit reports whether the hens have lamps.
func (b *Book) Lit() bool { return b.lit }

// Key makes the name of a trajectory.
func (b *Book) Key(r *breed.Breed, s breed.Strain, slot int, underHen bool) Key {
	return Key{r.ID, s, slot, underHen, r}
}

// Of returns the trajectory of one started bird of the given sex, by week of
// age, Weeks long. The caller must not change it.
func (b *Book) Of(k Key, sex bird.Sex) []bird.Outputs { return b.Long(k, sex, Weeks) }

// Long is Of for birds that may be older: weeks long, 20 years at most.
func (b *Book) Long(k Key, sex bird.Sex, weeks int) []bird.Outputs {
	weeks = min(max(weeks, Weeks), 20*measure.SlotsPerYear)
	e := entry{k.Breed, k.Strain, k.Slot, k.UnderHen, sex, weeks}
	b.mu.Lock()
	defer b.mu.Unlock()
	if o, ok := b.courses[e]; ok {
		return o
	}
	law := bird.NewLaw(k.record, k.Strain, sex, b.rates)
	o := law.Expect(make([]bird.Outputs, 0, weeks), func(i int) *bird.Surroundings {
		return b.at(i, (k.Slot+i)%measure.SlotsPerYear, k.UnderHen)
	}, weeks)
	b.courses[e] = o
	return o
}

// Light is not lengthened before 20 weeks, or pullets lay too small too soon.
const litFromWeeks = 20

func (b *Book) at(age, slot int, underHen bool) *bird.Surroundings {
	switch {
	case age < 6 && underHen:
		return &b.with[slot]
	case age < 6:
		return &b.warm[slot]
	case age < litFromWeeks:
		return &b.young[slot]
	}
	return &b.grown[slot]
}

// Around is what a bird of an age in weeks meets in a slot of the steady year,
// chicks under a hen or in a brooder apart. The caller must not change it.
func (b *Book) Around(age, slot int, underHen bool) *bird.Surroundings {
	return b.at(age, slot%measure.SlotsPerYear, underHen)
}

// Rates under which the book was made.
func (b *Book) Rates() bird.Rates { return b.rates }

// Week is what grown birds meet in a slot of the steady year.
func (b *Book) Week(slot int) *bird.Surroundings { return &b.grown[slot] }

// Normal is the weather of a slot.
func (b *Book) Normal(slot int) climate.WeekNormal { return b.year[slot] }

// Night is the air at the perch on a usual night of a slot, at the reference
// stocking.
func (b *Book) Night(slot int) housing.Air { return b.nights[slot] }

// LightsH is the day that lamps hold for layers.
const LightsH = 14.5

func (b *Book) surround() {
	natural := func(slot int) float64 { return b.year[slot].SunH }
	lit := func(slot int) float64 { return math.Max(natural(slot), LightsH) }
	coop := b.coop()
	birds := b.referenceStocking()
	b.nights = b.nightsOf(coop, birds)
	for slot, w := range b.year {
		night := b.nights[slot]
		s := bird.Surroundings{
			MeanC: w.MeanC + (night.TempC-w.MinC)/2, NightC: night.TempC, NightSDC: w.SDLowC,
			DayMaxC: w.MaxC + b.sunC(slot, birds), DaySDC: w.SDHighC, AirMS: night.MS, DampPerch: night.Condensation,
			LatitudeDeg: math.Abs(b.h.Place.Climate.LatitudeDeg),
		}
		s.GroundRisk, s.AirRisk, s.OnPasture = b.predators(slot)
		set := func(light func(int) float64) {
			s.LightH = light(slot)
			s.LightTrendH = s.LightH - light((slot+measure.SlotsPerYear-4)%measure.SlotsPerYear)
		}
		set(natural)
		b.young[slot] = s
		b.warm[slot] = s
		b.warm[slot].Brooder = true
		b.with[slot] = s
		b.with[slot].UnderHen = true
		if b.lit {
			set(lit)
		}
		b.grown[slot] = s
	}
}

// Coop is the houses of the holding together, as the trajectories meet them.
func (b *Book) Coop() housing.Coop { return b.coop() }

// Pressure of predators by level (model assumption), as multiples of the default
// risk of birds that range by day and are locked in at night.
var pressure = [...]float64{holding.None: 0, holding.Low: 0.5, holding.Some: 1, holding.High: 2}

// Shrubs and shelters lower losses to hawks: by 40 % when they stand every 10 to
// 15 m (common practice).
var shelter = [...]float64{holding.None: 1, holding.Low: 0.8, holding.Some: 0.6, holding.High: 0.5}

// A live electric net lets a quarter of the losses to ground predators through
// (common practice).
const netted = 0.25

func (b *Book) predators(slot int) (ground, air float64, pasture bool) {
	p := &b.h.Place
	pasture = p.PastureM2 > 0 && p.PastureMonths[int(measure.SlotMonth(slot))-1]
	day := bird.RiskDayRange
	if !pasture {
		day = bird.RiskSecureRun
	}
	ground = day * pressure[p.GroundPredators]
	if p.ElectricFence && pasture {
		ground *= netted
	}
	if !p.LockedAtNight {
		ground += (bird.RiskUnlocked - bird.RiskDayRange) * pressure[p.GroundPredators]
	}
	air = day * pressure[p.AirPredators] * shelter[p.Cover] * b.underSky(pasture)
	return ground, air, pasture
}

// AdultEggs is the eggs that one hen of the stock in her second laying year lays
// in a week at a slot: what a hen that sits on eggs does not lay.
func (b *Book) AdultEggs(r *breed.Breed, s breed.Strain, slot int) float64 {
	return b.eggsOfAge(r, s, slot, 104)
}

// BreederEggs is the eggs in a week at a slot of a hen of the stock at
// breeding age; pullets of the year before and older hens lay alike in spring.
func (b *Book) BreederEggs(r *breed.Breed, s breed.Strain, slot int) float64 {
	return math.Max(b.eggsOfAge(r, s, slot, 52), b.eggsOfAge(r, s, slot, 104))
}

func (b *Book) eggsOfAge(r *breed.Breed, s breed.Strain, slot, age int) float64 {
	born := ((slot-age)%measure.SlotsPerYear + measure.SlotsPerYear) % measure.SlotsPerYear
	o := b.Of(b.Key(r, s, born, false), bird.Hen)
	if o[age].Alive <= 0 {
		return 0
	}
	return o[age].Eggs / o[age].Alive
}

// ChicksPerEgg is the chicks alive at hatch for one egg set at a slot, 0 to 1:
// fertility and hatch of a usual mating at this season (a cock in his first or
// second season with hens up to the bound of his class), eggs saved for a week,
// and the chance that the whole setting is lost.
func (b *Book) ChicksPerEgg(r *breed.Breed, slot int, underHen, posted bool) float64 {
	w := &b.grown[slot]
	m := hatch.Mating{CockSeason: 1, HenYear: 1, HensPerCock: r.HensPerCock, ClassBound: r.HensPerCock, LightH: w.LightH, DayMaxC: w.DayMaxC}
	s := hatch.Setting{Fertility: m.Fertility(), Method: hatch.Machine, SavedDays: 7, Posted: posted}
	if underHen {
		s.Method = hatch.Broody
	}
	return s.ChicksPerEgg()
}
