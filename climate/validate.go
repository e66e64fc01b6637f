package climate

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// Validate says what in the description of a place cannot be true, one sentence
// a fault, joined. Months without humidity or wind (zero) are allowed.
func (p Place) Validate() error {
	var faults []error
	fault := func(format string, args ...any) { faults = append(faults, fmt.Errorf(format, args...)) }
	outside := func(v, least, most float64) bool { return math.IsNaN(v) || v < least || v > most }

	if outside(p.LatitudeDeg, -90, 90) {
		fault("latitude %g is outside -90 to 90 degrees; north is positive, south negative", p.LatitudeDeg)
	}
	if outside(p.LongitudeDeg, -180, 180) {
		fault("longitude %g is outside -180 to 180 degrees; east is positive, west negative", p.LongitudeDeg)
	}
	if outside(p.AltitudeM, -450, 6000) {
		fault("altitude %g m is outside -450 to 6000 m", p.AltitudeM)
	}
	if p.MaxC == [12]float64{} && p.MinC == [12]float64{} {
		fault("the place has no temperatures; name a place of the catalogue or give the mean high and low of each month")
	}
	lowest := math.Inf(1)
	for m := range 12 {
		month := time.Month(m + 1)
		high, low := p.MaxC[m], p.MinC[m]
		lowest = min(lowest, low)
		switch {
		case outside(high, -60, 55) || outside(low, -65, 45):
			fault("%s: a mean high of %g C and a mean low of %g C are not on this earth; are they in Fahrenheit?", month, high, low)
		case high < low:
			fault("%s: the mean high (%g C) is below the mean low (%g C)", month, high, low)
		case high-low > 30:
			fault("%s: the mean high (%g C) and low (%g C) are more than 30 C apart", month, high, low)
		}
		if outside(p.HumidityPct[m], 0, 100) {
			fault("%s: humidity %g %% is outside 0 to 100 %%", month, p.HumidityPct[m])
		}
		if outside(p.RainMM[m], 0, 3000) {
			fault("%s: rain %g mm a month is outside 0 to 3000 mm", month, p.RainMM[m])
		}
		if outside(p.WindMS[m], 0, 25) {
			fault("%s: a mean wind of %g m/s is outside 0 to 25 m/s", month, p.WindMS[m])
		}
	}
	if outside(p.ExtremeMinC, -70, 30) {
		fault("a coldest night of %g C is outside -70 to 30 C", p.ExtremeMinC)
	} else if p.ExtremeMinC != 0 && p.ExtremeMinC > lowest {
		fault("the coldest night of a usual year (%g C) cannot be warmer than the mean low of the coldest month (%g C)", p.ExtremeMinC, lowest)
	}
	if outside(p.DaysAbove38, 0, 366) {
		fault("%g days above 38 C do not fit a year", p.DaysAbove38)
	}
	if p.Stray != nil {
		faults = append(faults, p.Stray.faults()...)
	}
	return errors.Join(faults...)
}
