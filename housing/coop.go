package housing

import "math"

// Coop is one unheated building. The zero value of a field asks for its default,
// so Coop{FloorM2: 4} is a plain wooden house.
type Coop struct {
	FloorM2   float64
	HeightM   float64 // mean clear height; 2 when zero
	Insulated bool    // walls and roof filled with 40-50 mm of wool or foam
	OpenSided bool    // a wall or more is wire
	// VentM3hPerHen is the air that passes at night for each grown bird of
	// 2.5 kg, m3/h; zero takes the keeper's habit (see Ventilation).
	VentM3hPerHen float64
	WetLitter     bool    // litter cakes: it gives off as much water as the birds
	AltitudeM     float64 // thins the air
	Vents         Vents   // used by Day, AtOpening and VentPlan
	shell         *UValues
}

// Air is the air at the perch in a steady night.
type Air struct {
	TempC        float64
	HumidityPct  float64 // over water, or over ice below 0 C, 100 at most
	Condensation bool    // birds get damp: thick fog, or an unfrozen roof drips
	RoofFrost    bool    // the roof's inner face is below the dew or frost point
	CondensingGH float64 // water falling out of the air, g/h
	MS           float64 // air speed at the perch
	VentM3h      float64 // air exchanged
	CO2ppm       float64 // above 3000 the house is too tight
}

// Thermal resistances, m2 K/W, both air films included (sums of the layers in
// published tables of building materials).
const (
	insideFilm   = 0.12
	insulatedR   = 1.63 // 9 mm ply 0.08, 40-50 mm wool 1.30, 12 mm ply 0.10, films 0.15
	boardedR     = 0.25 // 12 mm boards 0.10, films 0.15
	windowR      = 0.157
	insulatedFlR = 1.0    // floor with dry litter
	boardedFlR   = 0.35   // board floor with thin litter
	windowShare  = 0.07   // window over floor: the 5-10 % of common practice
	vapourJKg    = 2.45e6 // heat that evaporates a kg of water

	outdoorCO2ppm = 400
	co2M3PerW     = 0.185 / 1000 // carbon dioxide an hour for each watt of heat
)

// fogGM3 is the water falling out of each cubic metre of air that passes above
// which combs and feathers get wet: a thick fog holds 0.3 g (guess). Outdoor air
// in hard frost is itself next to saturation, so that a little rime is no sign of
// too little air.
const fogGM3 = 0.3

// Air speeds at the perch (guesses): a tight house is nearly still, an ordinary
// one lets in a fiftieth of the wind, and in an open-sided one birds meet about
// a seventh of the wind at 10 m, because wind at a metre in a sheltered yard is
// some 0.3 of it and a house with a wire side halves that again.
const (
	stillMS       = 0.1
	boardedShare  = 0.02
	openShare     = 0.15
	closedMostMS  = 0.3
	openSidedMost = 2.0
)

// LossWK is the heat that leaves through floor, walls, roof and window for each
// degree between inside and outside, W/K. A house is taken as a rectangle with
// sides 4 to 3.
func (c Coop) LossWK() float64 {
	if c.shell != nil {
		return c.shell.LossWK
	}
	floor := max(0.25, c.FloorM2)
	width := math.Sqrt(floor * 0.75)
	walls := 2 * (width + floor/width) * c.height()
	window := windowShare * floor
	ground := boardedFlR
	if c.Insulated {
		ground = insulatedFlR
	}
	roof := 1.06 * floor // pitched a little
	return (walls-window+roof)/c.wallR() + window/windowR + floor/ground
}

// roofR is the resistance of the roof: that of the walls, unless it was built up.
func (c Coop) roofR() float64 {
	if c.shell != nil {
		return 1 / c.shell.Roof
	}
	return c.wallR()
}

// wallR is the resistance of walls.
func (c Coop) wallR() float64 {
	if c.shell != nil {
		return 1 / c.shell.Wall
	}
	if c.Insulated {
		return insulatedR
	}
	return boardedR
}

func (c Coop) height() float64 {
	if c.HeightM > 0 {
		return c.HeightM
	}
	return 2
}

// Ventilation is the air exchanged at night, m3/h. What a keeper does with vents,
// per 2.5 kg bird (guess around published needs: 5-10 m3/h holds off condensation
// at -10 C when droppings are removed, 10 and more keeps a summer house within 2 K
// of outdoors): 6 in an insulated house and 10 in a boarded one at 0 C and below,
// rising to 25 at 20 C. Vents are never closed: that rains on the birds.
func (c Coop) Ventilation(outC float64, birds []Occupant) float64 {
	perHen := c.VentM3hPerHen
	if perHen <= 0 {
		cold := 10.0
		if c.Insulated {
			cold = 6
		}
		perHen = cold + (25-cold)*min(1, max(0, outC/20))
	}
	hens := 0.0
	for _, o := range birds {
		hens += o.Count * o.Kg / 2.5
	}
	return max(perHen*hens, 0.5*c.FloorM2*c.height()) // half an air change an hour leaks through any coop
}

// Night is the steady balance of an unheated house at night: birds' warmth
// against walls and moving air, birds' water against moving air. Outdoor humidity
// is over water, as weather services state it; wind in m/s at 10 m. It holds from
// -45 to 35 C outdoors; with no birds the house is as cold as the night. In an
// open-sided house the air is the night's own, 0.5 C warmer at most, and dry of
// drip.
func (c Coop) Night(outC, rhPct, windMS float64, birds []Occupant) Air {
	pressure := PressurePa(c.AltitudeM)
	outPa := min(min(100, max(1, rhPct))/100*WaterPa(outC), SaturationPa(outC))
	outRatio := HumidityRatio(outPa, pressure)
	if c.OpenSided {
		return c.openNight(outC, outPa, windMS, birds)
	}
	vent := c.Ventilation(outC, birds)
	dryAir := vent / 3600 / DryAirM3Kg(outC, outRatio, pressure) // kg/s
	lossWK := c.LossWK() + dryAir*(1006+1860*outRatio)
	inC := bisect(outC, outC+60, func(t float64) bool {
		return c.warmthW(t, birds) > lossWK*(t-outC)
	})
	a := Air{TempC: inC, VentM3h: vent, MS: c.perchMS(windMS), CO2ppm: outdoorCO2ppm}
	if dryAir > 0 {
		vapour := 0.0 // kg/s
		heat := 0.0
		for _, o := range birds {
			latent := o.HeatW(inC) - o.SensibleW(inC, c.WetLitter)
			vapour += NightShare * o.Count * latent / vapourJKg
			heat += NightShare * o.Count * o.HeatW(inC)
		}
		a.CO2ppm += co2M3PerW * 1e6 * heat / vent
		inRatio := outRatio + vapour/dryAir
		saturated := HumidityRatio(SaturationPa(inC), pressure)
		if inRatio > saturated {
			a.CondensingGH = dryAir * (inRatio - saturated) * 3.6e6
			inRatio = saturated
		}
		outPa = VapourPa(inRatio, pressure)
	}
	a.HumidityPct = min(100, 100*outPa/SaturationPa(inC))
	roofC := inC - (inC-outC)*insideFilm/c.roofR()
	a.RoofFrost = outPa > SaturationPa(roofC)
	// Frost on a roof stays there; water drips.
	a.Condensation = a.CondensingGH > fogGM3*vent || (a.RoofFrost && roofC > -1)
	return a
}

func (c Coop) warmthW(tempC float64, birds []Occupant) float64 {
	sum := 0.0
	for _, o := range birds {
		sum += NightShare * o.Count * o.SensibleW(tempC, c.WetLitter)
	}
	return sum
}

func (c Coop) openNight(outC, outPa, windMS float64, birds []Occupant) Air {
	warmer := min(0.5, c.warmthW(outC, birds)/(60*max(1, c.FloorM2)))
	return Air{
		TempC:       outC + warmer,
		HumidityPct: min(100, 100*outPa/SaturationPa(outC+warmer)),
		MS:          c.perchMS(windMS), CO2ppm: 400,
	}
}

func (c Coop) perchMS(windMS float64) float64 {
	windMS = max(0, windMS)
	switch {
	case c.OpenSided:
		return min(openSidedMost, max(stillMS, openShare*windMS))
	case c.Insulated:
		return stillMS
	}
	return min(closedMostMS, stillMS+boardedShare*windMS)
}
