package course

import (
	"math"

	"henyear/bird"
	"henyear/breed"
	"henyear/climate"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
)

// HouseAir is one house of the holding, with the air of its usual nights.
type HouseAir struct {
	Name      string
	Coop      housing.Coop
	Birds     []housing.Occupant // of the reference stocking, by its part of the floor
	Nights    [measure.SlotsPerYear]housing.Air
	Bed       [measure.SlotsPerYear]housing.BedWeek // a usual bed where none is told
	DraughtMS float64                               // as told; 0 not known
}

// Houses is the air of each house for itself, at the reference stocking. It is worked
// out anew at each call.
func (b *Book) Houses() []HouseAir {
	all := b.referenceStocking()[0]
	floor := b.floorM2()
	list := make([]HouseAir, 0, len(b.h.Means.Houses))
	for _, house := range b.h.Means.Houses {
		birds := all
		if floor > 0 {
			birds.Count *= house.AreaM2 / floor
		}
		a := HouseAir{Name: house.Name, Coop: b.coopOf(house), Birds: []housing.Occupant{birds}, DraughtMS: house.DraughtMS}
		a.Bed = housing.BedYear(a.Coop, a.Birds, b.year, bedOf(house))
		for slot, w := range b.year {
			a.Nights[slot] = usualNight(a.Coop, w, a.Birds, litterTold(house) && cakes(a.Bed[slot]))
			if house.DraughtMS > 0 {
				a.Nights[slot].MS = house.DraughtMS
			}
		}
		list = append(list, a)
	}
	return list
}

// Stray is how the weather of the place strays, nil when not told.
func (b *Book) Stray() *climate.Stray { return b.h.Place.Climate.Stray }

// coopOf is one house as it is told, or as usual for its area.
func (b *Book) coopOf(house holding.House) housing.Coop {
	altitude := b.h.Place.Climate.AltitudeM
	if house.Build != nil {
		build := *house.Build
		build.AltitudeM = altitude
		if c, err := build.Coop(); err == nil {
			c.OpenSided = house.OpenSided
			return c
		}
	}
	return housing.Coop{FloorM2: house.AreaM2, Insulated: house.Insulated, OpenSided: house.OpenSided, AltitudeM: altitude}
}

// coop is the houses together; it counts as insulated, or as open-sided, when
// most of its floor is. Where none is told by its layers they count as one house of
// their whole floor.
func (b *Book) coop() housing.Coop {
	c := housing.Coop{AltitudeM: b.h.Place.Climate.AltitudeM}
	insulated, open := 0.0, 0.0
	var coops []housing.Coop
	told := false
	for _, house := range b.h.Means.Houses {
		coops = append(coops, b.coopOf(house))
		told = told || house.Build != nil
		c.FloorM2 += house.AreaM2
		if house.Insulated {
			insulated += house.AreaM2
		}
		if house.OpenSided {
			open += house.AreaM2
		}
	}
	if told {
		return housing.Together(coops...)
	}
	c.Insulated, c.OpenSided = 2*insulated > c.FloorM2, 2*open > c.FloorM2
	return c
}

// floorM2 is the floor for birds of all houses.
func (b *Book) floorM2() float64 {
	sum := 0.0
	for _, house := range b.h.Means.Houses {
		sum += house.AreaM2
	}
	return sum
}

// referenceStocking is the birds whose warmth the house has on a winter night:
// the grown birds on hand, or as many as the floor carries when there are none.
func (b *Book) referenceStocking() []housing.Occupant {
	n, kg := 0.0, 0.0
	for _, g := range b.h.Birds {
		r, err := breed.Find(g.Breed)
		if err != nil {
			continue
		}
		w := r.HenKg
		if g.Sex == bird.Cock {
			w = r.CockKg
		}
		n += float64(g.Number)
		kg += w * float64(g.Number)
	}
	if n < 2 {
		n = math.Max(2, b.floorM2()/0.4)
		kg = 2.5 * n
	}
	return []housing.Occupant{{Kg: kg / n, EggKgDay: 0.02, Count: n}}
}

// usualNight is the air at the perch in the usual night of a week.
func usualNight(c housing.Coop, w climate.WeekNormal, birds []housing.Occupant, wetBed bool) housing.Air {
	c.WetLitter = c.WetLitter || wetBed
	return c.VentedNight(w.MinC, w.NightHumidityPct(), w.WindMS, birds)
}

// nightsOf is the usual nights of all houses together, with the bed and the draught
// that the keeper tells of.
func (b *Book) nightsOf(coop housing.Coop, birds []housing.Occupant) (nights [measure.SlotsPerYear]housing.Air) {
	var wet [measure.SlotsPerYear]bool
	if bed, told := b.bed(); told {
		for slot, week := range housing.BedYear(coop, birds, b.year, bed) {
			wet[slot] = cakes(week)
		}
	}
	for slot, w := range b.year {
		nights[slot] = usualNight(coop, w, birds, wet[slot])
		nights[slot].MS = b.draught(nights[slot].MS)
	}
	return nights
}

// cakes reports whether the bed gives off water: it is caked, and not frozen.
func cakes(week housing.BedWeek) bool {
	return week.LitterPct > housing.LitterCakesPct && week.Day.TempC > 0
}

// draught is the air at the perch, mean of all floors: in each house as told, or as
// usual.
func (b *Book) draught(usualMS float64) float64 {
	sum, floor, told := 0.0, 0.0, false
	for _, house := range b.h.Means.Houses {
		ms := usualMS
		if house.DraughtMS > 0 {
			ms, told = house.DraughtMS, true
		}
		sum += ms * house.AreaM2
		floor += house.AreaM2
	}
	if !told || floor <= 0 {
		return usualMS
	}
	return sum / floor
}

// Part of the droppings that stays in the litter (key bed_year): a half as usual, a
// quarter where what falls under the perch is taken out every week.
const usualShare, cleanShare = 0.5, 0.25

func litterTold(house holding.House) bool { return house.LitterCM > 0 || house.BoardsClean }

func bedOf(house holding.House) housing.Litter {
	bed := housing.Litter{DepthM: house.LitterCM / 100, Share: usualShare}
	if house.BoardsClean {
		bed.Share = cleanShare
	}
	return bed
}

// usualBedM is the depth of a bed that is not told.
const usualBedM = 0.10

// bed is the litter of all houses together; told is false when no house tells of it,
// and the litter then counts as dry.
func (b *Book) bed() (mean housing.Litter, told bool) {
	floor := b.floorM2()
	for _, house := range b.h.Means.Houses {
		told = told || litterTold(house)
		bed, share := bedOf(house), house.AreaM2/floor
		if bed.DepthM == 0 {
			bed.DepthM = usualBedM
		}
		mean.DepthM += share * bed.DepthM
		mean.Share += share * bed.Share
	}
	return mean, told && floor > 0
}

// Shade (keys shade_need, shade_sun, guesses). The high of a weather service is that
// of shaded air, and birds with shade enough feel it: shade beyond that lowers
// nothing. A bird in the full sun of a clear noon overhead feels as if it were
// some 5 C hotter.
const (
	shadeM2ABird = 0.4
	sunAddsC     = 5
	sunOverhead  = 900.0 // W/m2 on level ground
)

// sunC is by how much want of shade lifts the high that birds feel in a slot. Only
// told shade counts, with the covered run beside it; a holding that tells nothing has
// enough.
func (b *Book) sunC(slot int, birds []housing.Occupant) float64 {
	m := &b.h.Means
	if m.ShadeM2 <= 0 && !m.NoShade {
		return 0
	}
	need := shadeM2ABird * birds[0].Count
	lack := 1 - min(1, (m.ShadeM2+m.CoveredRunM2)/need)
	noon := climate.ClearSkyWM2(climate.NoonSunDeg(b.h.Place.Climate.LatitudeDeg, measure.SlotMiddle(slot)))
	return lack * sunAddsC * min(1, noon/sunOverhead)
}

// runM2ABird is the run of birds that are kept off the range, where its size is not
// told: the least of common practice.
const runM2ABird = 1.0

// underSky is the part of the hawks' risk that a net leaves. On the range it is the
// part of the pasture without a net. Birds kept off the range are under the net as
// far as it covers a small run for them, or all that the holding has outdoors.
func (b *Book) underSky(pasture bool) float64 {
	p := &b.h.Place
	if p.NettedM2 <= 0 {
		return 1
	}
	open := p.PastureM2
	if !pasture {
		open = runM2ABird * b.referenceStocking()[0].Count
		if all := p.PastureM2 + b.h.Means.CoveredRunM2; all > 0 {
			open = min(open, all)
		}
	}
	return max(0, 1-p.NettedM2/open)
}
