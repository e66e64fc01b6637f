package climate

import (
	"fmt"
	"math"

	"henyear/measure"
)

// ExtremeMin is the mean of the coldest night of each year, in C: as given, or
// estimated from the lowest monthly mean low as -8.1 + 1.22 low, a line fitted
// to 89 places of the catalogue with a scatter of 2.7 C.
func (p Place) ExtremeMin() float64 {
	if p.ExtremeMinC != 0 {
		return p.ExtremeMinC
	}
	low := p.MinC[0]
	for _, v := range p.MinC {
		low = min(low, v)
	}
	return -8.1 + 1.22*low
}

// HardinessZone is the plant hardiness zone of the United States map, by which
// many nurseries and hatcheries describe winters: steps of 10 F of the mean
// yearly extreme minimum from -60 F (zone 1), in halves a and b of 5 F. Beyond
// the ends of the scale it is 1a or 13b.
func HardinessZone(extremeMinC float64) string {
	if math.IsNaN(extremeMinC) {
		return ""
	}
	half := int(math.Floor((measure.CtoF(extremeMinC) + 60) / 5 * (1 + 1e-12)))
	half = min(25, max(0, half))
	return fmt.Sprintf("%d%c", 1+half/2, 'a'+rune(half%2))
}

// Class is the climate class of the place: as given, or computed.
func (p Place) Class() string {
	if p.ClassKoppen != "" {
		return p.ClassKoppen
	}
	return Koppen(p)
}

// Koppen is the Koppen-Geiger class by the rules of Peel, Finlayson and McMahon
// 2007, from the monthly means (high plus low over two) and rain. Polar is
// tried before dry; where a dry summer and a dry winter both hold, the wetter
// half decides.
func Koppen(p Place) string {
	k := climateFigures(p)
	switch {
	case k.hot < 10 && k.hot > 0:
		return "ET"
	case k.hot < 10:
		return "EF"
	case k.rainYear < 10*k.threshold:
		return k.dryClass()
	case k.cold >= 18:
		return k.tropicalClass()
	case k.cold > 0:
		return "C" + k.seasonLetter() + k.heatLetter(false)
	default:
		return "D" + k.seasonLetter() + k.heatLetter(true)
	}
}

type koppenFigures struct {
	mean, hot, cold      float64 // of the year, warmest and coldest month, C
	monthsAbove10        int
	rainYear, rainDriest float64 // mm
	threshold            float64 // of dryness, cm
	summerDry, summerWet float64 // driest and wettest month of the warm half
	winterDry, winterWet float64
	summerRain           float64
}

func climateFigures(p Place) koppenFigures {
	k := koppenFigures{hot: math.Inf(-1), cold: math.Inf(1), rainDriest: math.Inf(1),
		summerDry: math.Inf(1), winterDry: math.Inf(1)}
	halfMean := [2]float64{} // October to March, April to September
	halfOf := func(m int) int {
		if m >= 3 && m <= 8 {
			return 1
		}
		return 0
	}
	for m := range 12 {
		t := (p.MaxC[m] + p.MinC[m]) / 2
		k.mean += t / 12
		k.hot, k.cold = max(k.hot, t), min(k.cold, t)
		if t >= 10 {
			k.monthsAbove10++
		}
		halfMean[halfOf(m)] += t / 6
	}
	summer := 0
	if halfMean[1] > halfMean[0] {
		summer = 1
	}
	for m, r := range p.RainMM {
		k.rainYear += r
		k.rainDriest = min(k.rainDriest, r)
		if halfOf(m) == summer {
			k.summerDry, k.summerWet = min(k.summerDry, r), max(k.summerWet, r)
			k.summerRain += r
		} else {
			k.winterDry, k.winterWet = min(k.winterDry, r), max(k.winterWet, r)
		}
	}
	k.threshold = 2*k.mean + 14
	if k.summerRain >= 0.7*k.rainYear {
		k.threshold = 2*k.mean + 28
	} else if k.rainYear-k.summerRain >= 0.7*k.rainYear {
		k.threshold = 2 * k.mean
	}
	return k
}

func (k koppenFigures) dryClass() string {
	class := "BS"
	if k.rainYear < 5*k.threshold {
		class = "BW"
	}
	if k.mean >= 18 {
		return class + "h"
	}
	return class + "k"
}

func (k koppenFigures) tropicalClass() string {
	switch {
	case k.rainDriest >= 60:
		return "Af"
	case k.rainDriest >= 100-k.rainYear/25:
		return "Am"
	}
	return "Aw"
}

func (k koppenFigures) seasonLetter() string {
	drySummer := k.summerDry < 40 && k.summerDry < k.winterWet/3
	dryWinter := k.winterDry < k.summerWet/10
	if drySummer && dryWinter {
		drySummer = k.rainYear-k.summerRain > k.summerRain
		dryWinter = !drySummer
	}
	switch {
	case drySummer:
		return "s"
	case dryWinter:
		return "w"
	}
	return "f"
}

func (k koppenFigures) heatLetter(snow bool) string {
	switch {
	case k.hot >= 22:
		return "a"
	case k.monthsAbove10 >= 4:
		return "b"
	case snow && k.cold < -38:
		return "d"
	}
	return "c"
}
