package climate

import (
	"math"

	"henyear/measure"
)

// Altitudes of the sun at which a day begins and ends, in degrees.
const (
	// SunUpDeg is sunrise and sunset: the upper edge of the sun, lifted by
	// 34 minutes of arc of refraction.
	SunUpDeg = -0.833
	// WindowDeg is the day of birds behind windows. A coop lets in about one
	// hundredth of the light, hens count dim light from about 1.25 lux, and
	// 125 lux outside belong to a sun 2 degrees below the horizon (guess built
	// on published thresholds).
	WindowDeg = -2
	// CivilDeg is civil dawn and dusk, about 3.4 lux: the day of birds outdoors.
	CivilDeg = -6
)

// sun is where the sun stands at an instant.
type sun struct {
	sinDecl, cosDecl float64 // of the declination
	equationMin      float64 // sundial less clock, minutes
}

// sunAt follows the equations of the NOAA solar calculator after J. Meeus,
// Astronomical Algorithms (1991). Centuries are Julian, from noon of 1 January
// 2000 UTC; valid 1901 to 2099.
func sunAt(centuries float64) sun {
	t := centuries
	sin := func(deg float64) float64 { return math.Sin(deg * math.Pi / 180) }
	cos := func(deg float64) float64 { return math.Cos(deg * math.Pi / 180) }

	longitude := 280.46646 + t*(36000.76983+0.0003032*t)
	anomaly := 357.52911 + t*(35999.05029-0.0001537*t)
	eccentricity := 0.016708634 - t*(0.000042037+0.0000001267*t)
	centre := sin(anomaly)*(1.914602-t*(0.004817+0.000014*t)) +
		sin(2*anomaly)*(0.019993-0.000101*t) + 0.000289*sin(3*anomaly)
	node := 125.04 - 1934.136*t
	apparent := longitude + centre - 0.00569 - 0.00478*sin(node)
	obliquity := 23 + (26+(21.448-t*(46.815+t*(0.00059-0.001813*t)))/60)/60 + 0.00256*cos(node)

	sinDecl := sin(obliquity) * sin(apparent)
	half := math.Tan(obliquity / 2 * math.Pi / 180)
	y := half * half
	equation := y*sin(2*longitude) - 2*eccentricity*sin(anomaly) +
		4*eccentricity*y*sin(anomaly)*cos(2*longitude) -
		0.5*y*y*sin(4*longitude) - 1.25*eccentricity*eccentricity*sin(2*anomaly)
	return sun{sinDecl, math.Sqrt(1 - sinDecl*sinDecl), 4 * equation * 180 / math.Pi}
}

// hourAngleDeg is half the day, as an angle, above the altitude: 0 when the sun
// stays below it, 180 when it stays above. It never divides by zero, so the
// poles are days and nights of half a year, not faults.
func (s sun) hourAngleDeg(sinLat, cosLat, sinAltitude float64) float64 {
	need := sinAltitude - sinLat*s.sinDecl
	span := cosLat * s.cosDecl
	switch {
	case need >= span:
		return 0
	case need <= -span:
		return 180
	}
	return math.Acos(need/span) * 180 / math.Pi
}

func sinCosLatitude(latDeg float64) (sin, cos float64) {
	if math.IsNaN(latDeg) {
		latDeg = 0
	}
	sin, cos = math.Sincos(min(90, max(-90, latDeg)) * math.Pi / 180)
	return sin, max(0, cos)
}

var noon2000 = measure.Date{Year: 2000, Month: 1, Day: 1}

// SunTimes returns when the centre of the sun passes altitudeDeg on the date
// (SunUpDeg for sunrise and sunset), in minutes after midnight UTC, which may be
// below 0 or above 1440 far from Greenwich, and the hours between. Longitude is
// east positive. Where the sun stays below all day the times are both solar
// noon and the length is 0; where it stays above they are 12 hours either side
// and the length is 24. Good to 2 minutes for 1901-2099 up to 72 degrees.
func SunTimes(lat, lon float64, d measure.Date, altitudeDeg float64) (riseUTCmin, setUTCmin, lengthH float64) {
	sinLat, cosLat := sinCosLatitude(lat)
	sinAltitude := math.Sin(altitudeDeg * math.Pi / 180)
	if math.IsNaN(lon) {
		lon = 0
	}
	days := float64(d.DaysSince(noon2000))
	event := func(side float64) float64 {
		minutes := 720 - 4*lon
		for range 3 {
			s := sunAt((days + (minutes-720)/1440) / 36525)
			minutes = 720 - 4*(lon+side*s.hourAngleDeg(sinLat, cosLat, sinAltitude)) - s.equationMin
		}
		return minutes
	}
	rise, set := event(1), event(-1)
	return rise, set, min(24, max(0, (set-rise)/60))
}

// The sun at noon of each day of a common year, Greenwich. 2025 stands for any
// year: over the leap-year cycle a date moves by at most a day.
var commonYear = func() (year [366]sun) {
	first := measure.Date{Year: 2025, Month: 1, Day: 1}.DaysSince(noon2000)
	for i := range year {
		year[i] = sunAt(float64(first+i) / 36525)
	}
	return year
}()

// DayLengthH is the hours of a usual year's day (1 to 366, others wrap) during
// which the sun stands above altitudeDeg at a latitude: 0 in the polar night,
// 24 in the polar day, never NaN. Within 2 minutes of SunTimes up to 65 degrees.
func DayLengthH(latDeg float64, dayOfYear int, altitudeDeg float64) float64 {
	sinLat, cosLat := sinCosLatitude(latDeg)
	i := (dayOfYear - 1) % 365
	if i < 0 {
		i += 365
	}
	return commonYear[i].hourAngleDeg(sinLat, cosLat, math.Sin(altitudeDeg*math.Pi/180)) * 2 / 15
}
