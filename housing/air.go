package housing

import "math"

// Moist air by the equations of Hyland and Wexler 1983 as printed in the ASHRAE
// Handbook, Fundamentals. Temperatures in C, pressures in Pa, humidity ratios in
// kg of water a kg of dry air. Without the 0.4 % by which real moist air departs
// from ideal gases.

// SeaLevelPa is the standard atmosphere.
const SeaLevelPa = 101325.0

const waterToAir = 0.621945 // molar mass of water over that of dry air

// PressurePa is the standard air pressure at an altitude in metres, -450 to 6000.
func PressurePa(altitudeM float64) float64 {
	return SeaLevelPa * math.Pow(1-2.25577e-5*min(6000, max(-450, altitudeM)), 5.2559)
}

// WaterPa is the saturation vapour pressure over liquid water, also below
// freezing (-60 to 100 C): weather services state humidity over water at every
// temperature.
func WaterPa(tempC float64) float64 {
	t := tempC + 273.15
	return math.Exp(-5800.2206/t + 1.3914993 - 4.8640239e-2*t + 4.1764768e-5*t*t -
		1.4452093e-8*t*t*t + 6.5459673*math.Log(t))
}

// IcePa is the saturation vapour pressure over ice, -100 to 0 C.
func IcePa(tempC float64) float64 {
	t := tempC + 273.15
	return math.Exp(-5674.5359/t + 6.3925247 - 9.677843e-3*t + 6.2215701e-7*t*t +
		2.0747825e-9*t*t*t - 9.484024e-13*t*t*t*t + 4.1635019*math.Log(t))
}

// SaturationPa is what surfaces meet: over ice below 0 C, over water above.
func SaturationPa(tempC float64) float64 {
	if tempC < 0 {
		return IcePa(tempC)
	}
	return WaterPa(tempC)
}

// HumidityRatio is the water in air of a vapour pressure, kg/kg.
func HumidityRatio(vapourPa, pressurePa float64) float64 {
	return waterToAir * vapourPa / (pressurePa - vapourPa)
}

// VapourPa is the vapour pressure of air with a humidity ratio.
func VapourPa(ratio, pressurePa float64) float64 {
	return pressurePa * ratio / (waterToAir + ratio)
}

// DryAirM3Kg is the volume of moist air that holds 1 kg of dry air.
func DryAirM3Kg(tempC, ratio, pressurePa float64) float64 {
	return 0.287042 * (tempC + 273.15) * (1 + 1.607858*ratio) / (pressurePa / 1000)
}

// EnthalpyKJKg is the heat of moist air per kg of dry air above dry air at 0 C.
func EnthalpyKJKg(tempC, ratio float64) float64 {
	return 1.006*tempC + ratio*(2501+1.86*tempC)
}

// DewPointC is the temperature at which a surface begins to take water, or below
// 0 C frost, out of air of a vapour pressure: -90 to 90 C.
func DewPointC(vapourPa float64) float64 {
	return bisect(-90, 90, func(t float64) bool { return SaturationPa(t) < vapourPa })
}

// WetBulbC is the temperature of a wetted thermometer in moving air, by the
// energy balance of ASHRAE; humidity is over water.
func WetBulbC(tempC, humidityPct, pressurePa float64) float64 {
	ratio := HumidityRatio(humidityPct/100*WaterPa(tempC), pressurePa)
	return bisect(-60, tempC, func(wet float64) bool {
		saturated := HumidityRatio(SaturationPa(wet), pressurePa)
		balance := ((2501-2.326*wet)*saturated - 1.006*(tempC-wet)) / (2501 + 1.86*tempC - 4.186*wet)
		if wet < 0 {
			balance = ((2830-0.24*wet)*saturated - 1.006*(tempC-wet)) / (2830 + 1.86*tempC - 2.1*wet)
		}
		return balance < ratio
	})
}

// bisect finds where below turns from true to false between two ends.
func bisect(least, most float64, below func(float64) bool) float64 {
	for range 60 {
		middle := (least + most) / 2
		if below(middle) {
			least = middle
		} else {
			most = middle
		}
	}
	return (least + most) / 2
}

// Indexes of heat. Humidity is over water, temperatures in C.

// LayerHeatIndexC weighs dry and wet bulb for laying hens: 0.6 to 0.4.
func LayerHeatIndexC(tempC, humidityPct float64) float64 {
	return 0.6*tempC + 0.4*WetBulbC(tempC, humidityPct, SeaLevelPa)
}

// MeatBirdHeatIndexC weighs dry and wet bulb for broilers, 0.85 to 0.15, and air
// speed between 0.2 and 1.2 m/s (Tao and Xin 2003, market-size broilers at 35 to
// 41 C). At 1 m/s it is the index without wind.
func MeatBirdHeatIndexC(tempC, humidityPct, windMS float64) float64 {
	index := 0.85*tempC + 0.15*WetBulbC(tempC, humidityPct, SeaLevelPa)
	return index * math.Pow(min(1.2, max(0.2, windMS)), -0.058)
}

// PoultryHeatIndexF is the temperature-humidity index of the breeders' charts, in
// Fahrenheit-like units: below 70 comfort, 70-75 alert, 76-81 danger, above 81
// emergency. The classes are strict for shaded, acclimatised household birds.
func PoultryHeatIndexF(tempC, humidityPct float64) float64 {
	return 1.8*tempC + 32 - (0.55-0.0055*humidityPct)*(1.8*tempC-26)
}
