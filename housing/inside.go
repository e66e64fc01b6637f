package housing

import "math"

// Weather is what the house stands in.
type Weather struct {
	OutC        float64 // -45 to 45
	HumidityPct float64 // over water, as weather services state it
	WindMS      float64 // at 10 m
	SunWM2      float64 // sunshine on the roof; 0 at night
}

// Inside is the air of a house at one state of vents, and the faces it meets. It
// is what Air is, with more of its reasons.
type Inside struct {
	TempC       float64
	HumidityPct float64 // over water, or over ice below 0 C, 100 at most
	DewC        float64 // below it a face takes water or frost
	// RiseGKg is the water that the birds add to each kg of dry air that passes,
	// g/kg, before any falls out.
	RiseGKg      float64
	VentM3h      float64
	CO2ppm       float64
	CondensingGH float64 // falls out of the air itself as fog, drip or rime, g/h
	VapourGH     float64 // given off by birds, and by litter when wet

	RoofC, WallC, WindowC       float64 // inner faces
	RoofWet, WallWet, WindowWet bool    // the face takes water, or frost below 0 C
	Fog                         bool    // more falls out than a thick fog holds: birds get damp
	HeatIndexC                  float64 // of laying hens: 0.6 dry, 0.4 wet bulb
}

// DayShare is the heat of light hours over the mean of 24 hours (6.5 against 6.1
// W/kg; Chepete and others).
const DayShare = 6.5 / 6.1

// Sun on a roof (textbook sol-air reckoning, from memory): weathered wood and
// painted metal take in 0.7 of it, and the film outside carries off all but what
// passes the roof. Light wind; the film of a gale would halve the heat.
const (
	roofTakes   = 0.7
	roofFilmSun = 0.045
)

// moment is a house at an instant: what heats it, what air passes.
type moment struct {
	coop   Coop
	birds  []Occupant
	share  float64 // of the birds' daily mean heat
	w      Weather
	ventAt func(inC float64) float64 // m3/h

	pressure, outPa, outRatio, volume float64
	lossWK, sunW                      float64
}

func (c Coop) moment(w Weather, birds []Occupant, share float64, ventAt func(float64) float64) moment {
	m := moment{coop: c, birds: birds, share: share, w: w, ventAt: ventAt, pressure: PressurePa(c.AltitudeM)}
	m.outPa = min(min(100, max(1, w.HumidityPct))/100*WaterPa(w.OutC), SaturationPa(w.OutC))
	m.outRatio = HumidityRatio(m.outPa, m.pressure)
	m.volume = DryAirM3Kg(w.OutC, m.outRatio, m.pressure)
	m.lossWK = c.LossWK()
	if w.SunWM2 > 0 {
		p := c.parts()
		m.sunW = p.Roof * p.RoofM2 * roofTakes * roofFilmSun * w.SunWM2
	}
	return m
}

func (m moment) dryAirKgS(inC float64) float64 { return m.ventAt(inC) / 3600 / m.volume }

// gainW is the warmth that comes in less what leaves, at a temperature inside.
func (m moment) gainW(inC float64) float64 {
	made := m.sunW
	for _, o := range m.birds {
		made += m.share * o.Count * o.SensibleW(inC, m.coop.WetLitter)
	}
	lossWK := m.lossWK + m.dryAirKgS(inC)*(1006+1860*m.outRatio)
	return made - lossWK*(inC-m.w.OutC)
}

// steadyC is the temperature at which nothing is left over.
func (m moment) steadyC() float64 {
	return bisect(m.w.OutC, m.w.OutC+80, func(t float64) bool { return m.gainW(t) > 0 })
}

// at describes the air and the faces at a temperature inside. Water follows the
// air at once: a coop's air is renewed in minutes.
func (m moment) at(inC float64) Inside {
	in := Inside{TempC: inC, VentM3h: m.ventAt(inC), CO2ppm: outdoorCO2ppm}
	latent, heat := 0.0, 0.0
	for _, o := range m.birds {
		total := o.HeatW(inC)
		latent += m.share * o.Count * (total - o.SensibleW(inC, m.coop.WetLitter))
		heat += m.share * o.Count * total
	}
	vapour := latent / vapourJKg // kg/s
	in.VapourGH = vapour * 3.6e6
	inPa := m.outPa
	if dryAir := m.dryAirKgS(inC); dryAir > 0 {
		in.CO2ppm += co2M3PerW * 1e6 * heat / in.VentM3h
		rise := vapour / dryAir
		in.RiseGKg = 1000 * rise
		ratio := m.outRatio + rise
		if most := HumidityRatio(SaturationPa(inC), m.pressure); ratio > most {
			in.CondensingGH = dryAir * (ratio - most) * 3.6e6
			ratio = most
		}
		inPa = VapourPa(ratio, m.pressure)
	}
	in.HumidityPct = min(100, 100*inPa/SaturationPa(inC))
	in.DewC = min(inC, DewPointC(inPa))
	in.Fog = in.CondensingGH > fogGM3*in.VentM3h
	m.faces(&in, inPa)
	in.HeatIndexC = 0.6*inC + 0.4*WetBulbC(inC, min(100, 100*inPa/WaterPa(inC)), m.pressure)
	return in
}

func (m moment) faces(in *Inside, inPa float64) {
	p := m.coop.parts()
	face := func(u float64) (float64, bool) {
		c := in.TempC - (in.TempC-m.w.OutC)*min(1, insideFilm*u)
		return c, inPa > SaturationPa(c)*(1+1e-9)
	}
	in.RoofC, in.RoofWet = face(p.Roof)
	in.WallC, in.WallWet = face(p.Wall)
	in.WindowC, in.WindowWet = face(p.Window)
	if m.w.SunWM2 > 0 { // the sun warms the sheet from without
		in.RoofC += roofTakes * roofFilmSun * m.w.SunWM2 * insideFilm * p.Roof
		in.RoofWet = inPa > SaturationPa(in.RoofC)
	}
}

// AtOpening is the steady air of the house with openM2 of its vents open (0 shuts
// them; more than there are is allowed, as doors may stand open). Share is the
// birds' heat against the mean of the day: NightShare, DayShare, or 1. An open-sided
// house is reckoned as its Night is.
func (c Coop) AtOpening(w Weather, birds []Occupant, openM2, share float64) Inside {
	return c.steady(w, birds, share, func(inC float64) float64 {
		return c.OpeningM3h(openM2, inC, w.OutC, w.WindMS)
	})
}

// AtFlow is AtOpening for a known exchange of air, m3/h.
func (c Coop) AtFlow(w Weather, birds []Occupant, ventM3h, share float64) Inside {
	return c.steady(w, birds, share, func(float64) float64 { return max(0, ventM3h) })
}

func (c Coop) steady(w Weather, birds []Occupant, share float64, ventAt func(float64) float64) Inside {
	m := c.moment(w, birds, share, ventAt)
	if c.OpenSided {
		return m.openAir()
	}
	return m.at(m.steadyC())
}

// openAir is the day's own air, as in an open-sided house by night, dry of drip;
// its wire side is taken for a flow of 300 air changes an hour.
func (m moment) openAir() Inside {
	a := m.coop.openNight(m.w.OutC, m.outPa, m.w.WindMS, m.birds)
	flow := 300 * max(1, m.coop.FloorM2) * m.coop.height()
	m.ventAt = func(float64) float64 { return flow }
	in := m.at(a.TempC)
	in.HumidityPct, in.CondensingGH, in.Fog = a.HumidityPct, 0, false
	return in
}

// HeatRow is one line of the table of what a bird gives off.
type HeatRow struct {
	AirC, TotalW, SensibleW, LatentW, VapourGH float64
}

// HeatTable is what one bird gives off, mean of the day, at each temperature of
// the air.
func HeatTable(o Occupant, wetLitter bool, airC ...float64) []HeatRow {
	var rows []HeatRow
	for _, t := range airC {
		total, sensible := o.HeatW(t), o.SensibleW(t, wetLitter)
		rows = append(rows, HeatRow{t, total, sensible, total - sensible, o.VapourGH(t, wetLitter)})
	}
	return rows
}

// OccupantOf is a number of like birds as stoves. Class is as in SpaceFor, kg the
// live weight of one, eggsWeek and eggG what one lays. Birds below 20 weeks and
// cocks lay nothing. A fast meat bird burns like a heavier layer, and is counted as
// the layer that gives off as much.
func OccupantOf(class string, ageWeeks int, kg, eggsWeek, eggG, count float64) Occupant {
	o := Occupant{Kg: max(0, kg), EggKgDay: max(0, eggsWeek) * max(0, eggG) / 7000, Count: max(0, count)}
	if classAt(class, max(0, ageWeeks)) != "hen" {
		o.EggKgDay = 0
	}
	if class == "meat" {
		o.Kg *= math.Pow(BroilerHeatAt20W(1)/(Occupant{Kg: 1}).HeatAt20W(), 4.0/3)
	}
	return o
}
