package report

import (
	"strings"
	"testing"

	"henyear/holding"
	"henyear/measure"
)

// A household of US units gets its winds in miles an hour, to a tenth, and not in
// metres a second to a millionth.
func TestATidiedPlaceIsWrittenInTheUnitsOfItsHousehold(t *testing.T) {
	h := example(t, "us-units", func(h *holding.Holding) {
		for m := range 12 {
			h.Place.Climate.WindMS[m] = 3.4 + 0.11*float64(m)
		}
		h.Place.Climate = tidyWeather(h.Place.Climate, measure.US)
	})
	text := string(h.Write())
	if !strings.Contains(text, "wind_mph = [7.6, ") || strings.Contains(text, "wind_ms") {
		t.Error(text[strings.Index(text, "wind"):][:120])
	}
}
