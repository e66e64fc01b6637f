package measure

import (
	"math"
	"strconv"
)

// Units names the system in which a keeper writes and reads figures.
type Units string

const (
	Metric Units = "metric"
	US     Units = "us"
)

// Exact by the international yard and pound agreement of 1959 (from memory),
// but for the US liquid gallon.
const (
	KgPerPound     = 0.45359237
	GPerOunce      = 28.349523125
	MPerFoot       = 0.3048
	M2PerFoot2     = MPerFoot * MPerFoot
	MMPerInch      = 25.4
	LitrePerGallon = 3.785411784
	LitrePerFoot3  = 28.316846592
)

func FtoC(f float64) float64 { return (f - 32) / 1.8 }
func CtoF(c float64) float64 { return c*1.8 + 32 }

// A Quantity is a kind of figure that has a metric and a US unit.
type Quantity int

const (
	MassKg Quantity = iota
	TempC
	AreaM2
	LengthM
	VolumeL
	RainMM
)

// Show converts a metric figure for display and returns it with its unit.
func (u Units) Show(q Quantity, metric float64) (value float64, unit string) {
	if u != US {
		return metric, [...]string{"kg", "°C", "m²", "m", "l", "mm"}[q]
	}
	switch q {
	case MassKg:
		return metric / KgPerPound, "lb"
	case TempC:
		return CtoF(metric), "°F"
	case AreaM2:
		return metric / M2PerFoot2, "sq ft"
	case LengthM:
		return metric / MPerFoot, "ft"
	case VolumeL:
		return metric / LitrePerFoot3, "cu ft"
	default:
		return metric / MMPerInch, "in"
	}
}

// ToMetric converts a figure that the keeper wrote in their own units.
func (u Units) ToMetric(q Quantity, written float64) float64 {
	if u != US {
		return written
	}
	switch q {
	case MassKg:
		return written * KgPerPound
	case TempC:
		return FtoC(written)
	case AreaM2:
		return written * M2PerFoot2
	case LengthM:
		return written * MPerFoot
	case VolumeL:
		return written * LitrePerFoot3
	default:
		return written * MMPerInch
	}
}

// Round writes x with the given number of decimals, never "-0".
func Round(x float64, decimals int) string {
	p := math.Pow10(decimals)
	x = math.RoundToEven(x*p) / p
	if x == 0 {
		x = 0
	}
	return strconv.FormatFloat(x, 'f', decimals, 64)
}

// Significant rounds x to n significant digits. Coefficients are rounded this
// way before they reach the solver, so that the last bits of a machine's
// arithmetic cannot choose another plan.
func Significant(x float64, n int) float64 {
	if x == 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	p := math.Pow(10, float64(n)-math.Ceil(math.Log10(math.Abs(x))))
	return math.Round(x*p) / p
}
