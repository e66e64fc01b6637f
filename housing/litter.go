package housing

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Litter takes up the water of droppings by day and night and gives it to the air,
// if the air will have it. At 20 to 30 % of moisture it is dry to the hand; above 35 %
// it cakes and ammonia rises from it. In frost air takes almost nothing, and litter
// gathers water until it thaws: that is why deep dry litter is laid in autumn.

// Litter is the state of a bed of wood shavings or straw.
type Litter struct {
	DepthM      float64 // 0.10 when zero
	MoisturePct float64 // of the whole weight; 20 when zero
	// Share is the part of the droppings that stays in it; 0.5 when zero: the
	// other half is taken out from under the perch, or falls outdoors.
	Share float64
}

// LitterDay is what a day does to a bed.
type LitterDay struct {
	AddedKg     float64 // water in droppings
	DriedKg     float64 // water that the air takes; below zero it wets the litter
	MoisturePct float64 // after the day, 5 to 75
	// DaysToCake is after how many such days it passes 35 %; 0 when it has, below
	// zero when it never does.
	DaysToCake float64
}

const (
	LitterCakesPct = 35.0 // common practice; dusty below 15
	LitterDryPct   = 30.0

	litterKgM3      = 120.0 // dry shavings, settled (guess)
	droppingsKgHen  = 0.14  // a day, fresh, of a hen that makes 14.5 W (memory)
	droppingsWater  = 0.77  // 75-80 % when fresh
	usualHenW       = 14.5
	surfaceKgHM2    = 25.0 // water that a still surface gives up, kg/h m2 a kg/kg (memory)
	litterHinders   = 0.5  // guess
	litterLeastPct  = 5.0
	litterMostPct   = 75.0
	freshLitterPct  = 20.0
	usualLitterM    = 0.10
	usualDroppings  = 0.5
	neverCakesAfter = 400
)

// litterActivity is the humidity, 0 to 1, of air at rest in litter.
func litterActivity(moisturePct float64) float64 {
	switch m := moisturePct; {
	case m <= 15:
		return 0.60 * max(0, m) / 15
	case m <= 30:
		return 0.60 + 0.25*(m-15)/15
	case m <= 50:
		return 0.85 + 0.15*(m-30)/20
	}
	return 1
}

// After is the bed after one day in the air of a house, mean of the day, with all
// droppings of the birds counted by Share.
func (l Litter) After(c Coop, birds []Occupant, air Inside) LitterDay {
	day := l.step(c, birds, air)
	day.DaysToCake = -1
	for n := 0; n <= neverCakesAfter; n++ {
		if l.moisture() > LitterCakesPct {
			day.DaysToCake = float64(n)
			break
		}
		before := l.moisture()
		l.MoisturePct = l.step(c, birds, air).MoisturePct
		if math.Abs(l.MoisturePct-before) < 1e-4 {
			break
		}
	}
	return day
}

func (l Litter) moisture() float64 {
	return min(litterMostPct, max(litterLeastPct, orDefault(l.MoisturePct, freshLitterPct)))
}

func (l Litter) step(c Coop, birds []Occupant, air Inside) LitterDay {
	var d LitterDay
	floor := max(0.25, c.FloorM2)
	for _, o := range birds {
		d.AddedKg += o.Count * droppingsKgHen * droppingsWater * o.HeatAt20W() / usualHenW
	}
	d.AddedKg *= orDefault(l.Share, usualDroppings)
	moist := l.moisture()
	dry := floor * orDefault(l.DepthM, usualLitterM) * litterKgM3
	water := dry * moist / (100 - moist)
	pressure := PressurePa(c.AltitudeM)
	saturated := SaturationPa(air.TempC)
	const parts = 6 // a wet bed dries less as it dries
	for range parts {
		moist = 100 * water / (water + dry)
		excess := HumidityRatio(litterActivity(moist)*saturated, pressure) - HumidityRatio(air.HumidityPct/100*saturated, pressure)
		dried := surfaceKgHM2 * litterHinders * floor * 24 / parts * excess
		d.DriedKg += dried
		water = max(0, water+d.AddedKg/parts-dried)
	}
	d.MoisturePct = min(litterMostPct, max(litterLeastPct, 100*water/(water+dry)))
	return d
}

// AmmoniaMark is a concentration that means something.
type AmmoniaMark struct {
	PPM             float64
	Code, What, Key string
}

//go:embed data/ammonia.csv
var ammoniaCSV string

// AmmoniaMarks lists the marks from the lowest up.
func AmmoniaMarks() []AmmoniaMark {
	rows, err := csv.NewReader(strings.NewReader(ammoniaCSV)).ReadAll()
	if err != nil {
		panic(err) // embedded and checked by a test
	}
	var marks []AmmoniaMark
	for _, r := range rows[1:] {
		ppm, err := strconv.ParseFloat(r[0], 64)
		if err != nil {
			panic(fmt.Sprintf("ammonia.csv: %v", err))
		}
		marks = append(marks, AmmoniaMark{ppm, r[1], r[2], r[3]})
	}
	return marks
}

// Ammonia is what to expect of the air.
type Ammonia struct {
	Class        string  // "frozen", "low" up to about 10 ppm, "some" 10-25, "high" above 25
	FromPPM, PPM float64 // range; 0, 0 when frozen
	Advice       Advice
}

// AmmoniaOf judges air by the water the birds add to it (published for a littered
// room of Leghorns: 6 g/kg goes with 10 ppm, and below 8 it never reached 25) and by
// the litter, which counts one class worse above 35 % moisture (common practice). It
// is a guess of a class, no measurement: the nose is a better one, but it tires.
func AmmoniaOf(air Inside, litterPct float64) Ammonia {
	class := 0
	switch {
	case air.RiseGKg > 8:
		class = 2
	case air.RiseGKg > MostRiseGKg:
		class = 1
	}
	if litterPct > LitterCakesPct {
		class = min(2, class+1)
	}
	args := map[string]float64{"rise_gkg": air.RiseGKg, "litter_pct": litterPct}
	switch {
	case air.TempC < 0:
		return Ammonia{"frozen", 0, 0, advice("ammonia-frozen", args, "Frozen droppings give off little; take them out before they thaw.")}
	case class == 0:
		return Ammonia{"low", 0, 10, advice("ammonia-low", args, "Little ammonia is to be expected. If you smell it at the height of the birds there are 20 ppm or more: act.")}
	case class == 1:
		return Ammonia{"some", 10, 25, advice("ammonia-some", args, "Expect 10 to 25 ppm of ammonia: open more, take wet litter out, lay dry litter on top.")}
	}
	return Ammonia{"high", 25, 50, advice("ammonia-high", args, "Expect more than 25 ppm of ammonia, which hurts lungs and eyes: air the house now, take out caked litter in the open air with a mask on, find the leak.")}
}
