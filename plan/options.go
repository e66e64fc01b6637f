package plan

import (
	"time"

	"henyear/bird"
	"henyear/measure"
)

// Options steer a solve; the zero value asks for the defaults.
type Options struct {
	AsOf      measure.Date       // overrides the holding's own date
	Gap       float64            // stop at this gap, default 0.01
	TimeLimit time.Duration      // default 20 s
	Nodes     int                // work limit; 0 none. With it the answer does not depend on the clock
	Lights    string             // "", "none" or "on": which light schemes may be used
	Rates     *bird.Rates        // nil: neutral
	Naive     bool               // weekly rows, every week a hatch week, no first plan: for comparison only
	Start     map[string]float64 // a former answer by column name, as a first plan

	Margin Margin // safety bought beyond the expected need; zero: the plain plan

	// ExtraBroodies is the number of hens known to sit once in each season, beside
	// what the flock offers by itself: for asking what one more would be worth.
	ExtraBroodies int

	working int // steady year: whole working cocks, the spare apart
}

func (o Options) gap() float64 {
	if o.Gap <= 0 {
		return 0.01
	}
	return o.Gap
}

func (o Options) limit() time.Duration {
	if o.TimeLimit <= 0 {
		return 20 * time.Second
	}
	return o.TimeLimit
}

func (o Options) rates() bird.Rates {
	if o.Rates == nil {
		return bird.NewRates()
	}
	return *o.Rates
}

// hatchEvery is the distance in weeks between hatches that the programme may
// choose from.
func (o Options) hatchEvery(cyclic bool) int {
	switch {
	case o.Naive:
		return 1
	case cyclic:
		return 4
	}
	return 2
}

func (o Options) orderEvery(cyclic bool) int {
	if o.Naive {
		return 1
	}
	return 4
}

// leastEggs is the smallest setting worth the work.
func (o Options) leastEggs(most float64) float64 { return min(8, most) }
