package housing

import "math"

// Air through openings (textbook formulas of natural ventilation as in the ASHRAE
// Handbook, Fundamentals, from memory).

// Vents is the openings of a house that stay usable with the birds shut in: slots,
// ridge, wired windows. Half of the area lets air in, half lets it out. Zero fields
// ask for their default.
type Vents struct {
	AreaM2   float64 // all together, wide open; a tenth of the floor when zero (common practice)
	RiseM    float64 // from the middle of the low to the middle of the high ones; 0.8 when zero
	WindPart float64 // wind at the vents over wind at 10 m; 0.3, a sheltered yard, when zero
	Free     float64 // part of the area that the wire mesh leaves open; 0.7 when zero
}

const (
	dischargeStack = 0.6 // 0.60-0.65 for sharp-edged openings
	windOblique    = 0.3 // 0.25-0.35 for wind that comes askew, 0.5-0.6 straight on
	usualRiseM     = 0.8
	shelteredPart  = 0.3 // guess, as is the mesh
	meshFree       = 0.7
	gravityMS2     = 9.81
)

// StackM3h is the air that warmth alone draws through an opening, m3/h: areaM2 is
// the smaller of inlet and outlet, riseM the height between them. No flow unless it
// is warmer inside.
func StackM3h(areaM2, riseM, inC, outC float64) float64 {
	if !(inC > outC) || !(areaM2 > 0) || !(riseM > 0) {
		return 0
	}
	return 3600 * dischargeStack * areaM2 * math.Sqrt(2*gravityMS2*riseM*(inC-outC)/(inC+273.15))
}

// WindM3h is the air that wind of windMS at the opening drives through areaM2 of
// inlet, m3/h, when it blows askew.
func WindM3h(areaM2, windMS float64) float64 {
	return 3600 * windOblique * max(0, areaM2) * max(0, windMS)
}

// area, rise and so on with their defaults.
func (v Vents) riseM() float64    { return orDefault(v.RiseM, usualRiseM) }
func (v Vents) windPart() float64 { return orDefault(v.WindPart, shelteredPart) }
func (v Vents) free() float64     { return min(1, orDefault(v.Free, meshFree)) }

func orDefault(v, instead float64) float64 {
	if v > 0 {
		return v
	}
	return instead
}

// VentAreaM2 is all the openings of the house, wide open.
func (c Coop) VentAreaM2() float64 { return orDefault(c.Vents.AreaM2, c.FloorM2/10) }

// OpeningM3h is the air exchanged with openM2 of vents open, m3/h, in wind of
// windMS at 10 m: wind and warmth joined by squares, and at least the half air
// change an hour that leaks through any coop.
func (c Coop) OpeningM3h(openM2, inC, outC, windMS float64) float64 {
	inlet := max(0, openM2) / 2 * c.Vents.free()
	stack := StackM3h(inlet, c.Vents.riseM(), inC, outC)
	wind := WindM3h(inlet, windMS*c.Vents.windPart())
	return max(math.Hypot(stack, wind), 0.5*max(0.25, c.FloorM2)*c.height()) // no house is smaller than a crate
}
