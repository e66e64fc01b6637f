package climate

import "math"

// NoonSunDeg is how high the sun stands at noon of a day of a usual year (1 to 366,
// others wrap), degrees above the horizon; below zero in the polar night. Without
// refraction.
func NoonSunDeg(latDeg float64, dayOfYear int) float64 {
	sinLat, cosLat := sinCosLatitude(latDeg)
	i := (dayOfYear - 1) % 365
	if i < 0 {
		i += 365
	}
	s := commonYear[i]
	return math.Asin(min(1, max(-1, sinLat*s.sinDecl+cosLat*s.cosDecl))) * 180 / math.Pi
}

// ClearSkyWM2 is the sunshine on level ground under a clear sky, W/m2, with the sun
// at a height in degrees: 1098 sin h exp(-0.057/sin h) (Haurwitz 1945, from memory).
// Dry mountain air lets a tenth more through.
func ClearSkyWM2(sunDeg float64) float64 {
	s := math.Sin(sunDeg * math.Pi / 180)
	if !(s > 0.01) {
		return 0
	}
	return 1098 * s * math.Exp(-0.057/s)
}
