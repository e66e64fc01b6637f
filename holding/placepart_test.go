package holding

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"henyear/climate"
	"henyear/measure"
)

func TestAPlaceGoesThroughItsPartOfTheFileUnchanged(t *testing.T) {
	for _, p := range climate.Places()[:20] {
		got, err := ReadClimate(WriteClimate(p, measure.Metric))
		if err != nil || got.Name != p.Name || got.MaxC != p.MaxC {
			t.Errorf("%s: %v", p.Name, err)
		}
	}
	own := climate.Place{Name: "Upper Meadow", SourceKey: keeperKey, LatitudeDeg: 52, LongitudeDeg: 5.5, AltitudeM: 60, ExtremeMinC: -11.3}
	for m := range 12 {
		own.MaxC[m], own.MinC[m], own.RainMM[m] = 10.1+float64(m), 2.3, 60.7
	}
	for _, units := range []measure.Units{measure.Metric, measure.US} {
		part := WriteClimate(own, units)
		got, err := ReadClimate(part)
		if err != nil || got != own {
			t.Errorf("%v\n%+v\n%s", err, got, part)
		}
		if strings.Contains(string(part), "ground") {
			t.Errorf("more than weather is written:\n%s", part)
		}
	}
}

func TestNoPartOfAPlaceCanBreakItsReader(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		part := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", "[place]", "[place]\nnear = \"Berlin\"\n[[birds]]", "[place]\nnear = 3", "format = 2"})).Draw(t, "part")
		if p, err := ReadClimate([]byte(part)); err == nil && p.Validate() != nil {
			t.Fatalf("%q gives %+v", part, p)
		}
	})
}
