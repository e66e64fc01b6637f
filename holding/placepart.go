package holding

import (
	"henyear/climate"
	"henyear/measure"
)

// WriteClimate returns the fields of a place that tell of its weather, as the
// [place] part of a holding file in the units given.
func WriteClimate(p climate.Place, units measure.Units) []byte {
	w := &writer{units: units}
	w.header("place")
	w.climate(p)
	return w.Bytes()[1:] // no line before the first
}

// around is a holding in order but for the part of the place.
const around = `format = 1
name = "Place"
currency = "EUR"
[[house]]
area_m2 = 1
pens = 1
[means]
minutes_a_day = 1
will_kill = true
[[eggs]]
per_week = 1
[prices]
feed_per_kg = 1
shop_eggs_per_dozen = 1
shop_chicken_per_kg = 1
[[stock]]
breed = "sussex"
form = "chicks"
price = 1
`

// ReadClimate reads what WriteClimate wrote, with every check of a holding file.
// The error is of type Problems.
func ReadClimate(part []byte) (climate.Place, error) {
	text := append([]byte(around), part...)
	h, _, err := ReadOn(text, "", measure.Date{Year: firstYear, Month: 1, Day: 1})
	if err != nil {
		return climate.Place{}, err
	}
	return h.Place.Climate, nil
}
