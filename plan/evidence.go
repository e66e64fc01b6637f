package plan

import (
	"embed"

	"henyear/bird"
	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Evidence holds published values against the few figures that are the plan's
// own; docs/models/plan.md lists them all.
func Evidence() ([]source.Check, error) {
	return source.ReadChecks("plan", published, "testdata/published", map[string]source.Model{
		"minutes": func(in source.Inputs) float64 {
			return new(programme).choreMinutes() + minutesPerBird*in.Float("birds")
		},
		"between_hens": func(source.Inputs) float64 { return 100 * betweenHensCV },
		"lift": func(in source.Inputs) float64 {
			culled := in.Float("culled")
			return 100 * min(mostLift, culledLaysLess*culled/(1-culled))
		},
		"shared_year": func(source.Inputs) float64 { return 100 * sharedYearCV },
		"water":       func(in source.Inputs) float64 { return waterL(in.Float("feed_g"), in.Float("temp")) },
		"water_rise": func(in source.Inputs) float64 {
			return waterOfAppetite(in.Float("temp")) / waterOfAppetite(in.Float("against"))
		},
	})
}

// betweenHensCV is the coefficient of variation of a year's eggs between hens
// that stands behind culledLaysLess and mostLift.
const betweenHensCV = 0.29

// waterOfAppetite is the water for what a hen still eats at a mean temperature.
func waterOfAppetite(tempC float64) float64 { return waterL(bird.HeatFeedFactor(tempC), tempC) }
