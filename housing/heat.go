package housing

import "math"

// Heat of birds (CIGR, 4th report of the working group on climatisation of animal
// houses, 2002, from memory; sensible share at bird level from the report of
// 1984). A hen is a stove of about 14 W: what she does not shed as warmth she
// breathes out as water.

// Occupant is a number of like birds in a house.
type Occupant struct {
	Kg       float64 // live weight of one
	EggKgDay float64 // egg mass a day of one: 0.05 commercial layer, 0.03-0.045 dual-purpose, 0 cock
	Count    float64
}

// NightShare is the heat of dark hours over the mean of 24 hours, measured on
// White Leghorn layers (3.2 + 2.2 against 6.1 W/kg; Chepete and others).
const NightShare = 0.885

// mostCold caps the heat that cold makes a bird produce, against 20 C (guess;
// nobody measured lower temperatures).
const mostCold = 1.6

// vapourWhG is the heat that evaporates a gram of water, W h.
const vapourWhG = 0.68

// HeatAt20W is the total heat of one layer kept on the floor at 20 C, mean of the
// day: 6.8 m^0.75 + 25 Y.
func (o Occupant) HeatAt20W() float64 {
	return 6.8*math.Pow(max(0, o.Kg), 0.75) + 25*o.EggKgDay
}

// BroilerHeatAt20W is the total heat of one fast-growing meat bird at 20 C.
func BroilerHeatAt20W(kg float64) float64 { return 10.62 * math.Pow(max(0, kg), 0.75) }

// HeatW is the total heat of one bird at tempC, mean of the day: 2 % more for each
// degree below 20, stated for 10 to 30 C, held between 0.5 and 1.6 of that at 20.
func (o Occupant) HeatW(tempC float64) float64 {
	return o.HeatAt20W() * min(mostCold, max(0.5, 1+0.02*(20-tempC)))
}

// SensibleW is the part of HeatW that warms the air, and the rest leaves as
// vapour. With dry droppings (removed, or frozen) it is what the birds
// themselves give off; with wet litter, part of their warmth dries the litter.
func (o Occupant) SensibleW(tempC float64, wetLitter bool) float64 {
	total := o.HeatW(tempC)
	warm := max(0, tempC) // the power terms were fitted above freezing
	if !wetLitter {
		return max(0, total*(0.8-1.85e-7*math.Pow(warm+10, 4)))
	}
	sensible := 0.67*total - o.HeatAt20W()*9.8e-11*math.Pow(warm, 6)
	return max(0, sensible)
}

// VapourGH is the water that one bird, and its litter when wet, gives the air in
// an hour, mean of the day.
func (o Occupant) VapourGH(tempC float64, wetLitter bool) float64 {
	return (o.HeatW(tempC) - o.SensibleW(tempC, wetLitter)) / vapourWhG
}
