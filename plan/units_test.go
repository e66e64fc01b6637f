package plan

import (
	"testing"

	"henyear/measure"
)

func TestSentencesOfAPlanAreInTheKeepersUnits(t *testing.T) {
	for _, c := range []struct {
		units    measure.Units
		quantity measure.Quantity
		metric   float64
		decimals int
		want     string
	}{
		{measure.Metric, measure.MassKg, 16.6, 0, "17 kg"}, {measure.US, measure.MassKg, 16.6, 0, "37 lb"},
		{measure.Metric, measure.TempC, -35, 0, "-35 °C"}, {measure.US, measure.TempC, 4, 0, "39 °F"},
		{measure.Metric, measure.AreaM2, 0.8, 1, "0.8 m²"}, {measure.US, measure.AreaM2, 0.8, 1, "9 sq ft"},
	} {
		if got := inUnits(c.units, c.quantity, c.metric, c.decimals); got != c.want {
			t.Errorf("%v: %q, want %q", c.metric, got, c.want)
		}
	}
}
