package housing

import (
	"henyear/climate"
	"henyear/measure"
)

// VentedNight is Night in a house whose vents are told: the keeper opens them as by
// habit (Ventilation), or wide where wide open they pass less than that. Where no
// vents are told, and in an open-sided house, it is Night itself.
func (c Coop) VentedNight(outC, rhPct, windMS float64, birds []Occupant) Air {
	night := c.Night(outC, rhPct, windMS, birds)
	if c.OpenSided || c.Vents.AreaM2 <= 0 || c.OpeningM3h(c.Vents.AreaM2, night.TempC, outC, windMS) >= night.VentM3h {
		return night
	}
	in := c.AtOpening(Weather{OutC: outC, HumidityPct: rhPct, WindMS: windMS}, birds, c.Vents.AreaM2, NightShare)
	return Air{
		TempC: in.TempC, HumidityPct: in.HumidityPct, CondensingGH: in.CondensingGH, VentM3h: in.VentM3h, CO2ppm: in.CO2ppm, MS: night.MS,
		RoofFrost: in.RoofWet, Condensation: in.Fog || in.RoofWet && in.RoofC > dripFromC,
	}
}

// dripFromC: colder faces keep their water as frost.
const dripFromC = -1

// Together is several houses as one that holds all their birds: floors, faces and
// vents add up, and what a face lets through is the mean by area. It is insulated,
// open-sided or wet as most of the floor is.
func Together(coops ...Coop) Coop {
	if len(coops) == 1 {
		return coops[0]
	}
	var t Coop
	var u UValues
	var insulated, open, wet float64
	told := false
	for _, c := range coops {
		p := c.parts()
		u.Wall += p.Wall * p.WallM2
		u.Roof += p.Roof * p.RoofM2
		u.Floor += p.Floor * p.FloorM2
		u.Window += p.Window * p.WindowM2
		u.WallM2, u.RoofM2, u.FloorM2, u.WindowM2 = u.WallM2+p.WallM2, u.RoofM2+p.RoofM2, u.FloorM2+p.FloorM2, u.WindowM2+p.WindowM2
		u.LossWK += p.LossWK
		t.HeightM += c.height() * p.FloorM2
		t.AltitudeM += c.AltitudeM * p.FloorM2
		told = told || c.Vents.AreaM2 > 0
		for _, most := range []struct {
			is  bool
			sum *float64
		}{{c.Insulated, &insulated}, {c.OpenSided, &open}, {c.WetLitter, &wet}} {
			if most.is {
				*most.sum += p.FloorM2
			}
		}
	}
	over := func(sum *float64, by float64) {
		if by > 0 {
			*sum /= by
		}
	}
	over(&u.Wall, u.WallM2)
	over(&u.Roof, u.RoofM2)
	over(&u.Floor, u.FloorM2)
	over(&u.Window, u.WindowM2)
	over(&t.HeightM, u.FloorM2)
	over(&t.AltitudeM, u.FloorM2)
	t.FloorM2, t.shell = u.FloorM2, &u
	t.Insulated, t.OpenSided, t.WetLitter = 2*insulated > u.FloorM2, 2*open > u.FloorM2, 2*wet > u.FloorM2
	if told {
		t.Vents = ventsTogether(coops)
	}
	return t
}

func ventsTogether(coops []Coop) (v Vents) {
	for _, c := range coops {
		area := c.VentAreaM2()
		v.AreaM2 += area
		v.RiseM += area * c.Vents.riseM()
		v.WindPart += area * c.Vents.windPart()
		v.Free += area * c.Vents.free()
	}
	if v.AreaM2 > 0 {
		v.RiseM, v.WindPart, v.Free = v.RiseM/v.AreaM2, v.WindPart/v.AreaM2, v.Free/v.AreaM2
	}
	return v
}

// BedWeek is the litter at the end of a week and the air that goes with it.
type BedWeek struct {
	Day       Inside // mean of the day, birds out for most of the light hours
	LitterPct float64
	Ammonia   Ammonia
}

// A bed through the year (guesses, key bed_year): laid fresh fifteen weeks before the
// middle of the coldest one, changed once a year, with three birds in ten indoors by
// day.
const (
	bedLaidBefore = 15
	indoorsByDay  = 0.3
)

// BedYear is what becomes of a bed of litter in the weeks of a usual year, vents as by
// habit. Index is the slot of the steady year.
func BedYear(c Coop, birds []Occupant, year climate.Year, bed Litter) (weeks [measure.SlotsPerYear]BedWeek) {
	first := extremeSlot(year, func(a, b float64) bool { return a < b }) + len(year) - bedLaidBefore
	for i := range year {
		slot := (first + i) % len(year)
		n := year[slot]
		share := (NightShare*(24-n.CivilH) + DayShare*n.CivilH*indoorsByDay) / 24
		vent := c.VentedNight(n.MinC, n.NightHumidityPct(), n.WindMS, birds).VentM3h
		day := c.AtFlow(Weather{OutC: n.MeanC, HumidityPct: n.HumidityPct, WindMS: n.WindMS}, birds, vent, share)
		for range 7 {
			bed.MoisturePct = bed.step(c, birds, day).MoisturePct
		}
		weeks[slot] = BedWeek{day, bed.MoisturePct, AmmoniaOf(day, bed.MoisturePct)}
	}
	return weeks
}
