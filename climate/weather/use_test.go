package weather

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// valley is made-up weather of thirty years.
func valley() *Record {
	return made{firstYear: 1995, years: 30, meanC: 9, halfC: 9, dayRangeC: 9, sdC: 3.5, dayPersistence: 0.7, seed: 5}.record()
}

func at(v float64) *float64 { return &v }

func TestAStationThatDoesNotSayWhereItStandsIsGivenAPlace(t *testing.T) {
	r, err := Whole([]*Record{valley()}, Given{Name: "Upper Meadow", LatitudeDeg: at(52), LongitudeDeg: at(5.5), AltitudeM: at(40)})
	if err != nil || *r.At != (Location{52, 5.5, 40}) || r.Station != "Upper Meadow" {
		t.Fatalf("%+v %v", r, err)
	}
	p, _, err := r.Planned()
	if err != nil || p.Stray == nil || p.Validate() != nil {
		t.Fatalf("%+v %v", p, err)
	}
	for m := range 12 {
		// The spread that was put in; seven days that hang together by 0.7 a day
		// keep 0.72 of it (closed form).
		if math.Abs(p.Stray.DayC[m]-3.5) > 0.35 || math.Abs(p.Stray.WeekC[m]-0.72*3.5) > 0.3 {
			t.Errorf("month %d: %g a day, %g a week", m+1, p.Stray.DayC[m], p.Stray.WeekC[m])
		}
	}
	if math.Abs(p.Stray.DayMemory-0.7) > 0.02 {
		t.Errorf("days go together by %g", p.Stray.DayMemory)
	}
}

func TestAHalfPositionOrOneOffTheGlobeIsRefused(t *testing.T) {
	for want, g := range map[string]Given{
		"go together":               {LatitudeDeg: at(52)},
		"from -90 to 90":            {LatitudeDeg: at(520), LongitudeDeg: at(5)},
		"from -180 to 180":          {LatitudeDeg: at(52), LongitudeDeg: at(math.NaN())},
		"from -450 to 6000":         {LatitudeDeg: at(52), LongitudeDeg: at(5), AltitudeM: at(1e9)},
		"a height alone is no plac": {AltitudeM: at(5)},
	} {
		if _, err := Whole([]*Record{valley()}, g); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, not %q", err, want)
		}
	}
}

func TestAFileWithoutAltitudeSaysThatSeaLevelIsTaken(t *testing.T) {
	r, err := Whole([]*Record{valley()}, Given{LatitudeDeg: at(52), LongitudeDeg: at(5.5)})
	if err != nil || r.Notes[len(r.Notes)-1].Code != "no-altitude" {
		t.Errorf("%+v %v", r.Notes, err)
	}
}

func TestFilesOfTwoStationsAreJoinedWithAWord(t *testing.T) {
	a, b := valley(), valley()
	a.Station, b.Station = "Upper Meadow", "Lower Meadow"
	r, err := Whole([]*Record{a, b}, Given{})
	if err != nil || !strings.Contains(r.Notes[len(r.Notes)-1].Text, "Upper Meadow and Lower Meadow") {
		t.Errorf("%+v %v", r, err)
	}
	if a.Notes != nil {
		t.Error("the record handed in was changed")
	}
}

func TestColdestNightsAreThoseOfTheSummary(t *testing.T) {
	r := valley()
	s, nights := r.Summary(), r.ColdestNights()
	if len(nights) != s.Coldest.Years {
		t.Fatalf("%d nights of %d winters", len(nights), s.Coldest.Years)
	}
	sum := 0.0
	for _, n := range nights {
		sum += n.TempC / float64(len(nights))
	}
	if math.Abs(sum-s.Coldest.MeanC) > 1e-9 {
		t.Errorf("%g, not %g", sum, s.Coldest.MeanC)
	}
}

func TestPositionsAreReadAsKeepersWriteThem(t *testing.T) {
	for text, want := range map[string]float64{"52.1": 52.1, "-31.2": -31.2, "31.2 S": -31.2, "31,2s": -31.2, "52.1°N": 52.1, " 5.6 n": 5.6} {
		if got, err := Degrees(text, "N", "S"); err != nil || got != want {
			t.Errorf("%q is %g (%v)", text, got, err)
		}
	}
	for _, text := range []string{"", "N", "52°06'", "-31 S", "1e400", "NaN", "fifty", "5.6 E"} {
		if got, err := Degrees(text, "N", "S"); err == nil {
			t.Errorf("%q is %g", text, got)
		}
	}
}

func TestNoSpreadMakesAPlaceThatAHoldingRefuses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := made{firstYear: 2000, years: 6, meanC: 5, halfC: rapid.Float64Range(0, 25).Draw(t, "half"), dayRangeC: rapid.Float64Range(0, 20).Draw(t, "range"),
			sdC: rapid.Float64Range(0, 12).Draw(t, "sd"), dayPersistence: rapid.Float64Range(-0.9, 0.99).Draw(t, "persistence"), seed: rapid.Uint64().Draw(t, "seed")}
		r, err := Whole([]*Record{w.record()}, Given{LatitudeDeg: at(52), LongitudeDeg: at(5.5)})
		if err != nil {
			t.Fatal(err)
		}
		if p, _, err := r.Planned(); err == nil && p.Validate() != nil {
			t.Fatalf("%+v: %v", p.Stray, p.Validate())
		}
	})
}
